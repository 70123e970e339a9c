//! A topological order that is the same for the same steps, and the cycle where there is none.

use std::collections::{BTreeMap, BTreeSet};

use super::key::StepKey;
use super::step::Step;

/// Steps that wait for each other, in order, the first named again at the end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cycle(pub Vec<StepKey>);

/// Indexes of `steps` in an order that keeps every edge; among those free, the one listed first comes first.
/// Edges to steps that are not in the list are left out.
///
/// # Errors
/// [`Cycle`] names steps that wait for each other.
pub fn topological(steps: &[Step]) -> Result<Vec<usize>, Cycle> {
    let at: BTreeMap<&StepKey, usize> = steps.iter().enumerate().map(|(i, s)| (&s.key, i)).collect();
    let mut waits = vec![0_usize; steps.len()];
    let mut frees: Vec<Vec<usize>> = vec![Vec::new(); steps.len()];
    for (i, step) in steps.iter().enumerate() {
        for edge in &step.after {
            if let Some(before) = at.get(&edge.key).copied()
                && let (Some(w), Some(f)) = (waits.get_mut(i), frees.get_mut(before))
            {
                *w += 1;
                f.push(i);
            }
        }
    }
    let mut free: BTreeSet<usize> =
        waits.iter().enumerate().filter(|(_, w)| **w == 0).map(|(i, _)| i).collect();
    let mut order = Vec::with_capacity(steps.len());
    while let Some(i) = free.pop_first() {
        order.push(i);
        for next in frees.get(i).into_iter().flatten() {
            if let Some(w) = waits.get_mut(*next) {
                *w -= 1;
                if *w == 0 {
                    free.insert(*next);
                }
            }
        }
    }
    if order.len() == steps.len() { Ok(order) } else { Err(find_cycle(steps, &at, &waits)) }
}

/// Walks back from any step still waiting until one comes up twice.
fn find_cycle(steps: &[Step], at: &BTreeMap<&StepKey, usize>, waits: &[usize]) -> Cycle {
    let waiting = |i: usize| waits.get(i).is_some_and(|w| *w > 0);
    let mut path: Vec<usize> = Vec::new();
    let mut here = (0..steps.len()).find(|i| waiting(*i)).unwrap_or(0);
    while !path.contains(&here) {
        path.push(here);
        let before = steps
            .get(here)
            .into_iter()
            .flat_map(|s| &s.after)
            .filter_map(|e| at.get(&e.key).copied())
            .find(|i| waiting(*i));
        match before {
            Some(b) => here = b,
            None => break,
        }
    }
    let start = path.iter().position(|i| *i == here).unwrap_or(0);
    let mut keys: Vec<StepKey> =
        path.iter().skip(start).rev().filter_map(|i| steps.get(*i)).map(|s| s.key.clone()).collect();
    keys.extend(keys.first().cloned());
    Cycle(keys)
}

/// Whether `from` must come before `to` by the edges there are: used before an edge is added that must not close
/// a circle.
pub(super) struct Reach {
    at: BTreeMap<StepKey, usize>,
    after: Vec<Vec<usize>>,
}

impl Reach {
    pub(super) fn new(steps: &[Step]) -> Self {
        let at: BTreeMap<StepKey, usize> =
            steps.iter().enumerate().map(|(i, s)| (s.key.clone(), i)).collect();
        let after =
            steps.iter().map(|s| s.after.iter().filter_map(|e| at.get(&e.key).copied()).collect()).collect();
        Self { at, after }
    }

    /// Whether `first` is among what `then` waits for, directly or not.
    pub(super) fn before(&self, first: &StepKey, then: &StepKey) -> bool {
        let (Some(first), Some(then)) = (self.at.get(first).copied(), self.at.get(then).copied()) else {
            return false;
        };
        let mut seen = BTreeSet::new();
        let mut todo = vec![then];
        while let Some(i) = todo.pop() {
            if i == first {
                return true;
            }
            if seen.insert(i) {
                todo.extend(self.after.get(i).into_iter().flatten().copied());
            }
        }
        false
    }

    /// Says that `then` waits for `first` from now on.
    pub(super) fn add(&mut self, first: &StepKey, then: &StepKey) {
        if let (Some(first), Some(then)) = (self.at.get(first).copied(), self.at.get(then).copied())
            && let Some(list) = self.after.get_mut(then)
        {
            list.push(first);
        }
    }
}
