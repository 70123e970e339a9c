//! High before low in the same fall line: nothing is set where a ladder foot or a dropped tool will land.

use super::carries::add;
use super::{of, puts_up, takes_down};
use crate::domain::{Access, Phase, PlaceId, PlacementId, SeasonId};
use crate::steps::facts::Facts;
use crate::steps::key::StepKey;
use crate::steps::order::Reach;
use crate::steps::step::{Edge, Reason, Step};

/// Up: the last high step above, then what puts things below. Down: what is below is taken away first, then the
/// high work above. An edge that would close a circle (what is above stands on what is below) is left out: there
/// the carrying order holds.
pub(in crate::steps) fn above(facts: &Facts, season: SeasonId, phase: Phase, steps: &mut [Step]) {
    let mut reach = Reach::new(steps);
    let mut edges: Vec<(StepKey, Edge)> = Vec::new();
    let mut lines: Vec<(PlaceId, PlaceId)> =
        facts.yard.fall_lines.iter().map(|f| (f.upper_place_id, f.lower_place_id)).collect();
    lines.sort_unstable();
    lines.dedup();
    let placements = facts.placements_in(season);
    for (upper, lower) in lines {
        let at = |place: PlaceId| -> Vec<PlacementId> {
            placements.iter().filter(|p| p.place_id == Some(place)).map(|p| p.id).collect()
        };
        let (highs, lows) = (at(upper), at(lower));
        for high in &highs {
            for low in &lows {
                let Some((before, then, why)) = pair(facts, phase, steps, *high, *low) else { continue };
                if !reach.before(&then, &before) {
                    reach.add(&before, &then);
                    edges.push((then, Edge::after(before, Reason::Above, why)));
                }
            }
        }
    }
    add(steps, edges);
}

fn pair(
    facts: &Facts,
    phase: Phase,
    steps: &[Step],
    high: PlacementId,
    low: PlacementId,
) -> Option<(StepKey, StepKey, String)> {
    let (h, l) = (facts.placement(high)?, facts.placement(low)?);
    let is_high = |s: &&Step| s.phase == phase && s.access != Access::Ground;
    if phase == Phase::Down {
        let before = of(steps, low).rfind(|s| takes_down(s.deed))?;
        let then = of(steps, high).find(|s| is_high(s) && takes_down(s.deed))?;
        let why = format!("{} is taken away before work overhead at {}", l.name, h.name);
        return Some((before.key.clone(), then.key.clone(), why));
    }
    let before = of(steps, high).filter(is_high).rfind(|s| puts_up(s.deed))?;
    let then = of(steps, low).find(|s| s.phase == phase && puts_up(s.deed))?;
    let why = format!("work overhead at {} is done before {} is set below", h.name, l.name);
    Some((before.key.clone(), then.key.clone(), why))
}
