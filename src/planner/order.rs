//! No sessions told: an order without dates that stays at a place and on a ladder while it can.

use std::collections::BTreeMap;

use crate::domain::{Access, Phase, PlaceId};
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
    while let Some((pick, _)) = free
        .iter()
        .enumerate()
        .filter_map(|(n, i)| steps.get(*i).map(|s| (n, rank(s, at, *i))))
        .min_by_key(|(_, r)| *r)
    {
        let i = free.swap_remove(pick);
        if let Some(step) = steps.get(i).filter(|s| s.place.is_some()) {
            at = (step.place, step.access);
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
