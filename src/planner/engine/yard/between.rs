//! How long it is at least from one activity of a place to another, and how much of that can be spent on work there.

use super::decode::hands;
use super::model::Model;
use super::reach::{least, length};
use super::visits::after;
use crate::planner::engine::problem::{Activity, FAR, Lag, Time};
use std::collections::BTreeSet;

/// How many looks at an activity may be spent on all places.
pub(super) const MOST_LOOKS: usize = 400_000;

/// Pairs of activities of one place, the second after the first, for both of which nobody stays without waiting for as
/// long as a way there takes. Nothing where waiting is not given, or work elsewhere does not end a stay.
pub(super) fn far(m: &Model, list: &[usize], rank: &[usize], looks: &mut usize) -> BTreeSet<(usize, usize)> {
    let setup = &m.p.setup;
    let act = |i: usize| &m.p.activities[i];
    let unbroken = |a: &Activity| a.place.is_none() && hands(a) > 0;
    let mut pairs = BTreeSet::new();
    if !setup.waiting
        || setup.place_minutes <= 0
        || (!setup.inside_breaks && m.p.activities.iter().any(unbroken))
    {
        return pairs;
    }
    let group: Vec<usize> = list.iter().copied().filter(|i| hands(act(*i)) > 0).collect();
    // From start to start, by positions in the group.
    let mut apart: Vec<Vec<Option<Time>>> = Vec::with_capacity(group.len());
    let mut from: Vec<Option<Time>> = vec![None; m.n];
    for i in &group {
        let after = after(m, *i, rank);
        if *looks < after.len() + group.len() {
            return pairs;
        }
        *looks -= after.len() + group.len();
        from[*i] = Some(0);
        for j in &after {
            let way = |(q, lag): &(usize, Lag)| {
                let start = from[*q]?;
                match lag {
                    Lag::FinishStart { wait, .. } => {
                        Some(start.saturating_add(length(m, *q) + least(m, *wait)))
                    }
                    Lag::StartStart { min } => Some(start.saturating_add(*min)).filter(|_| *min > -FAR),
                }
            };
            from[*j] = m.preds[*j].iter().filter_map(way).max();
        }
        apart.push(group.iter().map(|j| from[*j]).collect());
        for k in after.iter().chain([i]) {
            from[*k] = None;
        }
    }
    // What one worker can be busy with at the place for the sake of this activity, with the moves of others and of tools.
    let busy = |i: usize| {
        let come = if hands(act(i)) > 1 { setup.place_minutes } else { 0 };
        length(m, i) + come + if act(i).tools.is_empty() { 0 } else { setup.tool_minutes }
    };
    for (a, i) in group.iter().enumerate() {
        for (b, j) in group.iter().enumerate() {
            let Some(gap) = apart[a][b].filter(|_| a != b) else { continue };
            let own = busy(*j) - length(m, *j);
            let mut left = gap - length(m, *i) - own - setup.place_minutes;
            for (k, x) in group.iter().enumerate().filter(|(k, _)| *k != a && *k != b) {
                if left < 0 || *looks == 0 {
                    break;
                }
                *looks -= 1;
                let before = apart[k][a].is_some_and(|t| t + length(m, *i) >= length(m, *x));
                let behind = apart[b][k].is_some_and(|t| t >= 0);
                left -= if before || behind { 0 } else { busy(*x) };
            }
            if left >= 0 && *looks > 0 {
                pairs.insert((*i, *j));
            }
        }
    }
    pairs
}
