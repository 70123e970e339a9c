//! The list that is walked is kept from its first tick on: a better plan moves nothing under the hand.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::app::App;
use super::planning::kept_rows;
use crate::answers::problem::Problem;
use crate::answers::walk::list::List;
use crate::answers::walk::states::states;
use crate::domain::Phase;
use crate::planner::{Plan, PlannedStep};
use crate::steps::{State, StepKey};

/// A plan, and the session of it that is walked; nothing where none is told.
type Walked = (Arc<Plan>, Option<String>);

impl App {
    /// Keeps the list that is walked, whatever the hour: from its first tick on people go by it, and what has come into it
    /// since goes at its end. Of all other steps only the order is kept, which a later plan begins from.
    ///
    /// The list is that of the session that runs or is due, if it has the step; all steps where no session is told. Without
    /// a step only what is walked for sure is kept: the session that runs, or the list without sessions.
    pub(super) fn keep_walked(&mut self, key: Option<&StepKey>) -> Result<(), Problem> {
        let Some((plan, session)) = self.walked(key)? else { return Ok(()) };
        let kept = self.outlook().kept_plan(plan.phase);
        let here = |code: &Option<String>| *code == session;
        let walked: BTreeSet<&str> =
            kept.iter().filter(|k| here(&k.session_code)).map(|k| k.step_key.as_str()).collect();
        let told = plan.told.sessions;
        let timed = |p: &PlannedStep| p.from.is_some() || !told;
        let planned_here = |p: &PlannedStep| {
            p.session.and_then(|n| plan.sessions.get(n)).map(|s| &s.code) == session.as_ref()
        };
        if !walked.is_empty() {
            let last = kept.iter().filter(|k| here(&k.session_code)).map(|k| k.position).max().unwrap_or(0);
            let new = |p: &PlannedStep| planned_here(p) && !walked.contains(p.step.key.as_str());
            let mut rows = kept_rows(&plan, |p| timed(p) && p.state == State::Open && new(p));
            if rows.is_empty() {
                return Ok(());
            }
            for (row, position) in rows.iter_mut().zip(last + 1..) {
                row.position = position;
            }
            let new: BTreeSet<String> = rows.iter().map(|r| r.step_key.clone()).collect();
            return self.keep_rows(&plan, rows, |k| !new.contains(&k.step_key));
        }
        let runs = self.outlook().session_now().is_some_and(|s| Some(&s.code) == session.as_ref());
        let promised: BTreeSet<String> =
            kept.iter().filter(|k| k.session_code.is_some()).map(|k| k.step_key.clone()).collect();
        // Of a session still to come nothing else is kept: until it runs the plan is free around it.
        let free = |p: &PlannedStep| runs && !promised.contains(p.step.key.as_str());
        let mut rows = kept_rows(&plan, |p| timed(p) && (planned_here(p) || free(p)));
        for row in rows.iter_mut().filter(|r| !here(&r.session_code)) {
            (row.session_code, row.from, row.to) = (None, None, None);
        }
        let now: BTreeSet<String> = rows.iter().map(|r| r.step_key.clone()).collect();
        self.keep_rows(&plan, rows, |k| k.session_code.is_some() && !now.contains(&k.step_key))
    }

    /// The plan by which a step is walked, and the session of the list: that of the phase of the day. A step of the bench
    /// or of the show that comes off stands in the plan of the phase that needs it.
    fn walked(&self, key: Option<&StepKey>) -> Result<Option<Walked>, Problem> {
        let phase = self.outlook().phase_now();
        if phase == Phase::Tonight || self.outlook().season_for(phase).is_err() {
            return Ok(None);
        }
        let (of, from) = (self.plan_of(phase)?, self.made_from());
        let shown =
            self.current.plan(of, from).or_else(|| self.current.stand_in(of)).map(|m| Arc::clone(&m.plan));
        let plan = match shown {
            None if self.solved.any() => self.plan_known(phase)?,
            shown => shown,
        };
        let Some(plan) = plan else { return Ok(None) };
        let outlook = self.outlook();
        let list = List::of(&outlook, &plan);
        let due = list.due(&outlook, &states(&outlook, &plan));
        let session = list.codes.get(due).cloned().flatten();
        let runs = outlook.session_now().is_some_and(|s| Some(&s.code) == session.as_ref());
        let has = |key: &StepKey| list.session(due).any(|r| r.step.step.key == *key);
        let walks =
            if plan.told.sessions { session.is_some() && key.map_or(runs, has) } else { key.is_none_or(has) };
        drop(list);
        Ok(walks.then_some((plan, session)))
    }
}
