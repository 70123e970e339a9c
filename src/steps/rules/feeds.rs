//! A box hangs, plugged in and closed, before its first round; on the way down it comes off after what it feeds.

use super::carries::add;
use super::{of, takes_down};
use crate::domain::{Phase, SeasonId, StepDeed};
use crate::steps::facts::Facts;
use crate::steps::key::StepKey;
use crate::steps::step::{Edge, Reason, Step};

/// Up: the box's own last step, then the "off" of each of its rounds.
pub(in crate::steps) fn feeds_up(facts: &Facts, season: SeasonId, steps: &mut [Step]) {
    let mut edges: Vec<(StepKey, Edge)> = Vec::new();
    for (piece, name) in boxes(facts, season) {
        let Some(placed) = facts.placement_of_piece(season, piece) else { continue };
        let Some(last) = of(steps, placed.id).rfind(|s| s.phase == Phase::Up) else { continue };
        let prefix = format!("box:{piece}:");
        let offs = steps.iter().filter(|s| s.key.as_str().starts_with(&prefix) && s.deed == StepDeed::Power);
        for off in offs {
            let why = format!("{name} hangs, plugged in and closed, before anything is connected to it");
            edges.push((off.key.clone(), Edge::after(last.key.clone(), Reason::Feeds, why)));
        }
    }
    add(steps, edges);
}

/// Down: everything the box feeds is disconnected before the box comes off.
pub(in crate::steps) fn feeds_down(facts: &Facts, season: SeasonId, steps: &mut [Step]) {
    let mut edges: Vec<(StepKey, Edge)> = Vec::new();
    for (prop, piece) in facts.fed_by(season) {
        let Some(placed) = facts.placement_of_piece(season, piece) else { continue };
        let off = of(steps, prop).find(|s| s.deed == StepDeed::Disconnect);
        let first = of(steps, placed.id)
            .find(|s| takes_down(s.deed))
            .or_else(|| of(steps, placed.id).find(|s| s.deed == StepDeed::Disconnect));
        if let (Some(before), Some(then)) = (off, first) {
            let name = facts.placement(prop).map_or("", |p| p.name.as_str());
            let why = format!("{name} is disconnected before its box comes off");
            edges.push((then.key.clone(), Edge::after(before.key.clone(), Reason::Feeds, why)));
        }
    }
    add(steps, edges);
}

fn boxes(facts: &Facts, season: SeasonId) -> Vec<(crate::domain::PieceId, String)> {
    let mut all: Vec<_> = facts.fed_by(season).into_values().collect();
    all.sort_unstable();
    all.dedup();
    all.into_iter().filter_map(|p| facts.piece(p).map(|piece| (p, piece.code.clone()))).collect()
}
