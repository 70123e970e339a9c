//! How the steps of a plan stand now: ticks may be later than the plan.

use std::collections::HashMap;

use crate::answers::Outlook;
use crate::planner::{Plan, PlannedStep};
use crate::steps::{State, StepKey};

/// States to be looked up; never walked through, for they stand in no order.
#[derive(Default)]
pub(crate) struct States<'p>(HashMap<&'p StepKey, (State, &'p PlannedStep)>);

impl<'p> States<'p> {
    /// Still to be done, or begun.
    pub(crate) fn open(&self, p: &PlannedStep) -> bool {
        matches!(self.of(p), State::Open | State::Doing)
    }

    /// Nothing where the plan has no such step.
    pub(crate) fn at(&self, key: &StepKey) -> Option<State> {
        self.0.get(key).map(|s| s.0)
    }

    pub(crate) fn step(&self, key: &StepKey) -> Option<&'p PlannedStep> {
        self.0.get(key).map(|s| s.1)
    }

    pub(crate) fn of(&self, p: &PlannedStep) -> State {
        self.at(&p.step.key).unwrap_or(p.state)
    }

    /// Done or skipped: nothing waits for it.
    pub(crate) fn over(&self, key: &StepKey) -> bool {
        matches!(self.at(key), Some(State::Done | State::Skipped))
    }
}

/// The state of each step of a plan by the ticks as they are now.
pub(crate) fn states<'p>(outlook: &Outlook, plan: &'p Plan) -> States<'p> {
    let progress = outlook.progress();
    let state = |p: &'p PlannedStep| {
        let ticked = progress.get(&p.step.key).map_or(State::Open, |t| t.state_for(p.step.of));
        let held = ticked == State::Open && p.step.held.is_some();
        (&p.step.key, (if held { State::Held } else { ticked }, p))
    };
    States(plan.steps.iter().map(state).collect())
}
