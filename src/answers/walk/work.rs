//! What of a plan is counted as work: one count for Today, Walk and the checklist.

use crate::answers::walk::states::States;
use crate::domain::Phase;
use crate::planner::{Plan, PlannedStep};
use crate::steps::{Role, State};

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

    fn take(&mut self, p: &PlannedStep, state: State) {
        self.total += 1;
        if matches!(state, State::Done | State::Skipped) {
            self.done += 1;
        } else {
            self.minutes_left += p.minutes_left() * p.step.hands;
        }
    }
}

/// Whether a step is work: the rehearsal and lights on are dates of the season, the watch is a night's own list.
pub(crate) fn counts(phase: Phase, p: &PlannedStep) -> bool {
    phase == Phase::Tonight || p.step.role == Role::Work
}

/// The work of a plan, and beside it what the season itself asks for.
pub(crate) fn work(plan: &Plan, states: &States) -> (Work, Work) {
    let (mut work, mut season) = (Work::default(), Work::default());
    for (p, state) in states.all() {
        if counts(plan.phase, p) { work.take(p, state) } else { season.take(p, state) }
    }
    (work, season)
}
