//! What carries comes before what is carried; on the way down, the other way round.

use super::{of, puts_up, takes_down};
use crate::domain::{Phase, SeasonId, StepDeed};
use crate::steps::facts::Facts;
use crate::steps::key::StepKey;
use crate::steps::step::{Edge, Reason, Step};

/// The last structural step of the carrier, then the first step that puts the carried thing on it.
pub(in crate::steps) fn carries_up(facts: &Facts, season: SeasonId, steps: &mut [Step]) {
    let mut edges: Vec<(StepKey, Edge)> = Vec::new();
    for placement in facts.placements_in(season) {
        let Some(carrier) = placement.carried_by_id.and_then(|id| facts.placement(id)) else { continue };
        // What comes after its light test, as guys tensioned again after a windy night, carries nothing new: waiting
        // for it would close a circle through the test of a box that feeds both.
        let ups: Vec<&Step> = of(steps, carrier.id).filter(|s| s.phase == Phase::Up).collect();
        // A frame carries once it is squared, which is an adjustment before anything is lit.
        let lit = |s: &Step| matches!(s.deed, StepDeed::Connect | StepDeed::Test | StepDeed::Desk);
        let structural = ups.iter().take_while(|s| !lit(s)).last().or(ups.last()).copied();
        let first = of(steps, placement.id)
            .find(|s| s.phase == Phase::Up && puts_up(s.deed))
            .or_else(|| of(steps, placement.id).find(|s| s.phase == Phase::Up));
        if let (Some(before), Some(then)) = (structural, first) {
            let why = format!("{} carries {}", carrier.name, placement.name);
            edges.push((then.key.clone(), Edge::after(before.key.clone(), Reason::Carries, why)));
        }
    }
    add(steps, edges);
}

/// What is carried is off before its carrier comes down.
pub(in crate::steps) fn carries_down(facts: &Facts, season: SeasonId, steps: &mut [Step]) {
    let mut edges: Vec<(StepKey, Edge)> = Vec::new();
    for placement in facts.placements_in(season) {
        let Some(carrier) = placement.carried_by_id.and_then(|id| facts.placement(id)) else { continue };
        let off = of(steps, placement.id)
            .rfind(|s| takes_down(s.deed))
            .or_else(|| of(steps, placement.id).find(|s| s.deed == StepDeed::Disconnect));
        let first = of(steps, carrier.id).find(|s| takes_down(s.deed));
        if let (Some(before), Some(then)) = (off, first) {
            let why = format!("{} is taken off {} first", placement.name, carrier.name);
            edges.push((then.key.clone(), Edge::after(before.key.clone(), Reason::Carries, why)));
        }
    }
    add(steps, edges);
}

pub(super) fn add(steps: &mut [Step], edges: Vec<(StepKey, Edge)>) {
    for (key, edge) in edges {
        if let Some(step) = steps.iter_mut().find(|s| s.key == key) {
            step.add_edge(edge);
        }
    }
}
