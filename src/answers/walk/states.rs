//! How the steps of a plan stand now: ticks may be later than the plan.

use crate::answers::Outlook;
use crate::planner::{Plan, PlannedStep};
use crate::steps::{State, StepKey};

/// States to be looked up, in the order of the plan's steps.
#[derive(Default)]
pub(crate) struct States<'p> {
    /// Nothing where there is no plan.
    plan: Option<&'p Plan>,
    of: Vec<State>,
}

impl<'p> States<'p> {
    /// Still to be done, or begun.
    pub(crate) fn open(&self, p: &PlannedStep) -> bool {
        matches!(self.of(p), State::Open | State::Doing)
    }

    /// The same of the step at a place of the plan.
    pub(crate) fn open_at(&self, at: usize) -> bool {
        matches!(self.of.get(at), Some(State::Open | State::Doing))
    }

    /// Nothing where the plan has no such step.
    pub(crate) fn at(&self, key: &StepKey) -> Option<State> {
        self.of.get(self.plan?.at(key.as_str())?).copied()
    }

    pub(crate) fn step(&self, key: &StepKey) -> Option<&'p PlannedStep> {
        self.plan?.step(key)
    }

    pub(crate) fn of(&self, p: &PlannedStep) -> State {
        self.at(&p.step.key).unwrap_or(p.state)
    }

    /// Done or skipped: nothing waits for it.
    pub(crate) fn over(&self, key: &StepKey) -> bool {
        matches!(self.at(key), Some(State::Done | State::Skipped))
    }

    /// Every step of the plan, in its order.
    pub(crate) fn all(&self) -> impl Iterator<Item = (&'p PlannedStep, State)> {
        self.plan.iter().flat_map(|plan| &plan.steps).zip(self.of.iter().copied())
    }
}

/// The state of each step of a plan by the ticks as they are now.
pub(crate) fn states<'p>(outlook: &Outlook, plan: &'p Plan) -> States<'p> {
    let progress = outlook.progress();
    let state = |p: &PlannedStep| {
        let ticked = progress.get(&p.step.key).map_or(State::Open, |t| t.state_for(p.step.of));
        let held = ticked == State::Open && p.step.held.is_some();
        if held { State::Held } else { ticked }
    };
    States { plan: Some(plan), of: plan.steps.iter().map(state).collect() }
}
