//! Whether a step can be done: all that comes before it is over, what cures, dries or runs has done so, its day has come.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::answers::Outlook;
use crate::answers::walk::not_yet::NotYet;
use crate::answers::walk::states::States;
use crate::planner::{Plan, PlannedStep};
use crate::steps::{Facts, Progress, State, StepKey};

/// Asked of the steps of one plan at the moment of the outlook.
pub(crate) struct Readiness<'a> {
    progress: Arc<BTreeMap<StepKey, Progress>>,
    not_yet: Option<NotYet<'a>>,
    states: &'a States<'a>,
    plan: &'a Plan,
    now_ms: i64,
}

impl<'a> Readiness<'a> {
    pub(crate) fn of(
        outlook: &Outlook,
        facts: &'a Facts<'a>,
        plan: &'a Plan,
        states: &'a States<'a>,
    ) -> Self {
        let season = outlook.yard.seasons.iter().find(|s| s.code == plan.season);
        let not_yet = season.map(|s| NotYet::of(outlook, facts, s.id));
        Self { progress: outlook.progress(), not_yet, states, plan, now_ms: outlook.now_ms() }
    }

    /// Whether it could be done this minute.
    pub(crate) fn now(&self, p: &PlannedStep) -> bool {
        self.free(p, self.now_ms) && self.day_has_come(p)
    }

    /// Whether nothing that is still to be done stands before it: what cures has cured by now, or by its hour where its
    /// session is still to come.
    pub(crate) fn in_turn(&self, p: &PlannedStep) -> bool {
        let session = p.session.and_then(|n| self.plan.sessions.get(n));
        let ahead = session.is_some_and(|s| s.from.timestamp_millis() > self.now_ms);
        let at = p.from.filter(|_| ahead).map_or(self.now_ms, |t| t.timestamp_millis());
        self.free(p, at) && (p.session.is_some() || self.day_has_come(p))
    }

    /// What is still to be done before a step, where nothing else keeps it.
    pub(crate) fn before(&self, p: &PlannedStep) -> Vec<String> {
        let open = p
            .after
            .iter()
            .filter(|e| self.states.step(&e.key).is_some_and(|b| !self.states.over(&b.step.key)));
        let open: Vec<_> = open.collect();
        let waits = open.iter().any(|e| e.wait_min > 0) || !self.day_has_come(p);
        if waits { Vec::new() } else { open.iter().map(|e| e.key.to_string()).collect() }
    }

    fn day_has_come(&self, p: &PlannedStep) -> bool {
        self.not_yet.as_ref().is_none_or(|n| n.why(&p.step).is_none())
    }

    fn free(&self, p: &PlannedStep, at_ms: i64) -> bool {
        p.after.iter().filter(|e| self.states.step(&e.key).is_some()).all(|e| {
            let ended = self.progress.get(&e.key).filter(|d| d.state == State::Done).and_then(|d| d.to);
            self.states.over(&e.key) && ended.is_none_or(|t| t.0 + e.wait_min * 60_000 <= at_ms)
        })
    }
}
