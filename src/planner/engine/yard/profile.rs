//! What is free of one resource over time, as a step function.

use crate::planner::engine::problem::{FAR, Resource, Time};

/// Steps (from, free) in order of time; each holds until the next.
#[derive(Clone, Debug)]
pub(super) struct Profile {
    steps: Vec<(Time, i32)>,
}

impl Profile {
    pub(super) fn new(r: &Resource) -> Self {
        let mut cuts: Vec<Time> = r.dips.iter().flat_map(|d| [d.0, d.1]).chain([-2 * FAR]).collect();
        cuts.sort_unstable();
        cuts.dedup();
        let free =
            |t: Time| r.dips.iter().filter(|d| d.0 <= t && t < d.1).map(|d| d.2).fold(r.capacity, i32::min);
        Self { steps: cuts.into_iter().map(|t| (t, free(t))).collect() }
    }

    /// The end of the last stretch within `from..to` that has less than `amount`; `None`: there is enough all along.
    pub(super) fn lacking_until(&self, from: Time, to: Time, amount: i32) -> Option<Time> {
        if from >= to || amount == 0 {
            return None;
        }
        let hi = self.steps.partition_point(|s| s.0 < to);
        let lo = self.steps.partition_point(|s| s.0 <= from).saturating_sub(1);
        let k = self.steps.get(lo..hi)?.iter().rposition(|s| s.1 < amount)? + lo;
        Some(self.steps.get(k + 1).map_or(2 * FAR, |s| s.0))
    }

    fn cut(&mut self, t: Time) -> usize {
        let i = self.steps.partition_point(|s| s.0 < t);
        match self.steps.get(i) {
            Some(s) if s.0 == t => i,
            _ => {
                let free = i.checked_sub(1).and_then(|k| self.steps.get(k)).map_or(0, |s| s.1);
                self.steps.insert(i, (t, free));
                i
            }
        }
    }

    /// Takes `amount` during `from..to`.
    pub(super) fn take(&mut self, from: Time, to: Time, amount: i32) {
        if from >= to || amount == 0 {
            return;
        }
        let lo = self.cut(from);
        let hi = self.cut(to);
        for s in self.steps.get_mut(lo..hi).into_iter().flatten() {
            s.1 -= amount;
        }
    }

    /// Becomes the same as another, in its own memory.
    pub(super) fn copy(&mut self, o: &Self) {
        self.steps.clone_from(&o.steps);
    }

    /// The most that is ever free.
    pub(super) fn most(&self) -> i32 {
        self.steps.iter().map(|s| s.1).max().unwrap_or(0)
    }
}
