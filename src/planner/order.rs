//! No sessions told: an order without dates that stays at a place and on a ladder while it can.

use std::collections::BTreeMap;

use super::stretches::climbs;
use crate::domain::{Access, Phase, PlaceId, StepDeed};
use crate::steps::{Role, Step, StepKey};

/// Positions of `steps` in a walkable order: every edge kept; among what is free, what is due earlier in the year,
/// then what needs no change of place, then none of ladder, then as listed.
pub(super) fn walk_order(steps: &[&Step], before: &[Vec<usize>]) -> Vec<usize> {
    let mut waits: Vec<usize> = before.iter().map(Vec::len).collect();
    let mut frees: Vec<Vec<usize>> = vec![Vec::new(); steps.len()];
    for (i, list) in before.iter().enumerate() {
        for b in list {
            if let Some(f) = frees.get_mut(*b) {
                f.push(i);
            }
        }
    }
    let mut free: Vec<usize> = (0..steps.len()).filter(|i| waits.get(*i) == Some(&0)).collect();
    let mut order = Vec::with_capacity(steps.len());
    let mut at: (Option<PlaceId>, Access) = (None, Access::Ground);
    // What is begun together is ended before anything else, and all is lit before somebody goes up.
    let mut left: BTreeMap<&StepKey, usize> = BTreeMap::new();
    let mut unlit: BTreeMap<PlaceId, usize> = BTreeMap::new();
    for step in steps {
        if let Some(key) = &step.stretch {
            *left.entry(key).or_default() += 1;
        }
        if let Some(place) = step.place.filter(|_| step.deed == StepDeed::GroundLight) {
            *unlit.entry(place).or_default() += 1;
        }
    }
    let mut together: Option<&StepKey> = None;
    while let Some((pick, _)) = free
        .iter()
        .enumerate()
        .filter_map(|(n, i)| {
            let s = steps.get(*i)?;
            let apart = together.is_some() && s.stretch.as_ref() != together;
            let early = climbs(s.access) && s.place.is_some_and(|p| unlit.get(&p).is_some_and(|n| *n > 0));
            Some((n, (apart, early, rank(s, at, *i))))
        })
        .min_by_key(|(_, r)| *r)
    {
        let i = free.swap_remove(pick);
        if let Some(step) = steps.get(i).filter(|s| s.place.is_some()) {
            at = (step.place, step.access);
        }
        if let Some(step) = steps.get(i) {
            let lit = step.place.filter(|_| step.deed == StepDeed::GroundLight);
            if let Some(n) = lit.and_then(|p| unlit.get_mut(&p)) {
                *n = n.saturating_sub(1);
            }
            if let Some(key) = &step.stretch {
                let n = left.entry(key).or_default();
                *n = n.saturating_sub(1);
                together = (*n > 0).then_some(key);
            }
        }
        order.push(i);
        for next in frees.get(i).into_iter().flatten() {
            if let Some(w) = waits.get_mut(*next) {
                *w -= 1;
                if *w == 0 {
                    free.push(*next);
                }
            }
        }
    }
    order
}

fn rank(step: &Step, at: (Option<PlaceId>, Access), listed: usize) -> (u8, bool, bool, usize) {
    let season = match (step.role, step.phase) {
        (Role::Rehearsal | Role::LightsOn, _) => 3,
        (_, Phase::Once) => 0,
        (_, Phase::Bench) => 1,
        _ => 2,
    };
    let moves = step.place.is_some() && step.place != at.0;
    (season, moves, moves || step.access != at.1, listed)
}

/// What each of `keys` waits for among them, by position.
pub(super) fn positions<'a>(keys: impl Iterator<Item = &'a StepKey>) -> BTreeMap<&'a StepKey, usize> {
    keys.enumerate().map(|(i, k)| (k, i)).collect()
}
