//! What is hung is tightened or tied in the same session: nothing is left hanging loose over night.

use super::of;
use crate::domain::{Phase, SeasonId, StepDeed};
use crate::steps::facts::Facts;
use crate::steps::key::StepKey;
use crate::steps::step::Step;

/// Marks each step that hangs, sets or raises something, with what ties or tightens it and all between, as one stretch.
pub(in crate::steps) fn tied(facts: &Facts, season: SeasonId, steps: &mut [Step]) {
    let mut stretches: Vec<Vec<StepKey>> = Vec::new();
    for placement in facts.placements_in(season) {
        let mut open: Vec<StepKey> = Vec::new();
        for s in of(steps, placement.id).filter(|s| s.phase == Phase::Up) {
            match s.deed {
                StepDeed::Hang | StepDeed::Set | StepDeed::Raise => open = vec![s.key.clone()],
                StepDeed::Tie | StepDeed::Tension if !open.is_empty() => {
                    open.push(s.key.clone());
                    stretches.push(std::mem::take(&mut open));
                }
                // Once it is connected it has been let go of.
                StepDeed::Connect | StepDeed::Test => open.clear(),
                _ if !open.is_empty() => open.push(s.key.clone()),
                _ => {}
            }
        }
    }
    for keys in stretches {
        let Some(first) = keys.first() else { continue };
        for step in steps.iter_mut().filter(|s| keys.contains(&s.key)) {
            step.stretch = Some(first.clone());
        }
    }
}
