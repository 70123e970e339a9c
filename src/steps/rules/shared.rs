//! Two shows: a shared piece is busy from its first step up in one show to its last step down. Wanted at the same
//! place with the same method it simply stays; otherwise it moves straight across.

use std::collections::BTreeSet;

use super::{of, puts_up, takes_down};
use crate::domain::{PlacementId, SeasonId, StepDeed};
use crate::steps::facts::Facts;
use crate::steps::key::StepKey;
use crate::steps::step::{Edge, Reason, Step};

/// `downs` are the steps of the show before, `ups` those of the next. What stays loses its steps down, except
/// looking after, and those steps up that put it there; what moves across skips drying and packing.
pub(in crate::steps) fn shared(
    facts: &Facts,
    before: SeasonId,
    next: SeasonId,
    downs: &mut Vec<Step>,
    ups: &mut Vec<Step>,
) {
    let mut gone: BTreeSet<StepKey> = BTreeSet::new();
    let mut edges: Vec<(StepKey, Edge)> = Vec::new();
    for old in facts.placements_in(before) {
        let old_pieces = facts.pieces_of(old.id);
        for new in facts.placements_in(next) {
            if !facts.pieces_of(new.id).iter().any(|p| old_pieces.contains(p)) {
                continue;
            }
            if old.place_id == new.place_id && old.method_id == new.method_id {
                gone.extend(of(downs, old.id).filter(|s| s.deed != StepDeed::Care).map(|s| s.key.clone()));
                gone.extend(of(ups, new.id).filter(|s| put_there(s)).map(|s| s.key.clone()));
            } else {
                gone.extend(
                    of(downs, old.id)
                        .filter(|s| matches!(s.deed, StepDeed::Dry | StepDeed::Pack))
                        .map(|s| s.key.clone()),
                );
                edges.extend(across(downs, ups, old.id, new.id, &old.name));
            }
        }
    }
    bridge(downs, &gone);
    bridge(ups, &gone);
    super::carries::add(ups, edges);
}

fn put_there(step: &Step) -> bool {
    puts_up(step.deed)
        || matches!(
            step.deed,
            StepDeed::Mark | StepDeed::Prepare | StepDeed::BenchTest | StepDeed::GroundLight
        )
}

fn across(
    downs: &[Step],
    ups: &[Step],
    old: PlacementId,
    new: PlacementId,
    name: &str,
) -> Option<(StepKey, Edge)> {
    let off = of(downs, old).rfind(|s| takes_down(s.deed))?;
    let first = of(ups, new).next()?;
    let why = format!("{name} of the show before moves straight across");
    Some((first.key.clone(), Edge::after(off.key.clone(), Reason::Shared, why)))
}

/// Takes steps out; what came after one of them comes after what it came after.
fn bridge(steps: &mut Vec<Step>, gone: &BTreeSet<StepKey>) {
    while let Some(at) = steps.iter().position(|s| gone.contains(&s.key)) {
        let out = steps.remove(at);
        for step in steps.iter_mut().filter(|s| s.after.iter().any(|e| e.key == out.key)) {
            step.after.retain(|e| e.key != out.key);
            for edge in &out.after {
                step.add_edge(edge.clone());
            }
        }
    }
}
