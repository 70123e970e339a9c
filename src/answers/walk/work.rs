//! What of a plan is counted as work: one count for Today, Walk and the checklist.

use crate::answers::walk::states::States;
use crate::domain::Phase;
use crate::planner::{Plan, PlannedStep};
use crate::steps::Role;

/// Steps and minutes of people's hands.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Work {
    pub(crate) done: usize,
    pub(crate) total: usize,
    pub(crate) minutes_left: i64,
}

impl Work {
    pub(crate) const fn open(&self) -> usize {
        self.total - self.done
    }

    fn of<'p>(steps: impl Iterator<Item = &'p PlannedStep>, states: &States) -> Self {
        let mut work = Self::default();
        for p in steps {
            work.total += 1;
            if states.over(&p.step.key) {
                work.done += 1;
            } else {
                work.minutes_left += p.minutes_left() * p.step.hands;
            }
        }
        work
    }
}

/// Whether a step is work: the rehearsal and lights on are dates of the season, the watch is a night's own list.
pub(crate) fn counts(phase: Phase, p: &PlannedStep) -> bool {
    phase == Phase::Tonight || p.step.role == Role::Work
}

/// The work of a plan, and beside it what the season itself asks for.
pub(crate) fn work(plan: &Plan, states: &States) -> (Work, Work) {
    let is_work = |p: &&PlannedStep| counts(plan.phase, p);
    let steps = plan.steps.iter();
    (Work::of(steps.clone().filter(is_work), states), Work::of(steps.filter(|p| !is_work(p)), states))
}
