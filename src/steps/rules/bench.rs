//! Nothing goes out untested: the bench test is due before the placement's first step up.

use super::carries::add;
use super::{first_handling, of};
use crate::domain::{Phase, SeasonId};
use crate::steps::facts::Facts;
use crate::steps::key::StepKey;
use crate::steps::step::{Edge, Reason, Step};

/// Puts an edge from each bench test to the first up step of its placement that handles the prop.
///
/// Spots may be marked and stakes driven weeks earlier, before the ground freezes: they don't wait for the bench.
pub(in crate::steps) fn bench(facts: &Facts, season: SeasonId, steps: &mut [Step]) {
    let mut edges: Vec<(StepKey, Edge)> = Vec::new();
    for placement in facts.placements_in(season) {
        let Some(test) = of(steps, placement.id).rfind(|s| s.phase == Phase::Bench) else {
            continue;
        };
        if let Some(then) = first_handling(steps, placement.id) {
            let why = format!("{} is tested on the bench before it goes out", placement.name);
            edges.push((then.key.clone(), Edge::after(test.key.clone(), Reason::Bench, why)));
        }
    }
    add(steps, edges);
}
