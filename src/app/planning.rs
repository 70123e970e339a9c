//! Making plans of the open yard, and keeping them.

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::{DateTime, Utc};

use super::owner::App;
use super::problem::{Problem, ProblemKind};
use super::record::{Learned, own_record};
use crate::domain::{Phase, Season, Yard};
use crate::planner::check::check;
use crate::planner::{Effort, Expected, Plan, Request, plan_again};
use crate::steps::{DeriveError, Derived, Facts, Scope, StepKey, derive};
use crate::store::KeptStep;

/// Schedules for a plan that a screen or a quick command waits for.
pub const QUICK: u64 = 16;
/// Schedules for a plan that was asked for by name.
pub const THOROUGH: u64 = 2_000;

/// What people go by, as facts that a thread can take along.
pub(super) struct Expects {
    standing: Option<Arc<Plan>>,
    running: Vec<StepKey>,
    /// Keys in the order that people expect.
    pub(super) kept: Vec<StepKey>,
}

impl Expects {
    pub(super) fn expected(&self) -> Expected<'_> {
        Expected { standing: self.standing.as_deref(), running: &self.running }
    }
}

impl App {
    /// Derives the steps of a phase.
    ///
    /// # Errors
    /// `no-season`; `cycle` names the facts that contradict each other.
    pub fn steps(&self, phase: Phase) -> Result<Arc<Derived>, Problem> {
        self.steps_of(Scope { season: self.season_for(phase)?.id, phase, day: self.tonight() })
    }

    /// Steps as plans take them: with the durations of the owner's own record.
    fn steps_of(&self, scope: Scope) -> Result<Arc<Derived>, Problem> {
        let key = (scope.season, scope.phase, scope.day);
        if let Some(known) = self.known.steps.borrow().get(&key) {
            return Ok(Arc::clone(known));
        }
        let mut derived = (*self.derived(scope)?).clone();
        drawn(&self.yard, &mut derived, self.own_times);
        let derived = Arc::new(derived);
        self.known.steps.borrow_mut().insert(key, Arc::clone(&derived));
        Ok(derived)
    }

    /// Steps with the recipes' own times.
    ///
    /// # Errors
    /// `no-season`; `cycle` names the facts that contradict each other.
    pub(super) fn derived(&self, scope: Scope) -> Result<Arc<Derived>, Problem> {
        let key = (scope.season, scope.phase, scope.day);
        if let Some(known) = self.known.derived.borrow().get(&key) {
            return Ok(Arc::clone(known));
        }
        let derived = Arc::new(derive(&self.facts(), scope).map_err(|e| refuse(&e))?);
        self.known.derived.borrow_mut().insert(key, Arc::clone(&derived));
        Ok(derived)
    }

    /// The plan of a phase, made once for the same facts and hour.
    ///
    /// # Errors
    /// As [`App::steps`].
    pub fn plan(&mut self, phase: Phase, schedules: u64) -> Result<Arc<Plan>, Problem> {
        let id = self.season_for(phase)?.id;
        let fresh = |p: &Arc<Plan>| p.schedules >= schedules || p.stopped_by == "bound" || schedules <= QUICK;
        if !self.plans.get(&(id, phase)).is_some_and(fresh) {
            let plan = self.make_plan(phase, Effort { schedules, stop: &|| false, progress: &|_| () })?;
            self.plans.insert((id, phase), Arc::new(plan));
            self.made_from.insert((id, phase), (self.facts_version, schedules >= THOROUGH));
            self.odds.remove(&(id, phase));
        }
        self.plans
            .get(&(id, phase))
            .cloned()
            .ok_or_else(|| Problem::new(ProblemKind::Data, "no-season", "no season is told yet"))
    }

    /// Plans a phase without keeping it in memory.
    ///
    /// # Errors
    /// As [`App::steps`].
    pub fn make_plan(&self, phase: Phase, effort: Effort) -> Result<Plan, Problem> {
        let expects = self.expects(phase)?;
        self.with_request(phase, &expects.kept, |request| plan_again(request, &expects.expected(), effort))
    }

    /// Hands on what a plan of a phase is made from.
    ///
    /// # Errors
    /// As [`App::steps`].
    pub(super) fn with_request<T>(
        &self,
        phase: Phase,
        kept: &[StepKey],
        use_it: impl FnOnce(&Request) -> T,
    ) -> Result<T, Problem> {
        let season = self.season_for(phase)?;
        let derived = self.steps(phase)?;
        let (facts, derived, now, seed) = (&self.facts(), &*derived, self.now(), self.seed);
        Ok(use_it(&Request { facts, derived, season, phase, now, seed, kept }))
    }

    /// What people go by in a phase: the plan that showed last, and the walk of the session that runs now.
    pub(super) fn expects(&self, phase: Phase) -> Result<Expects, Problem> {
        let key = (self.season_for(phase)?.id, phase);
        let standing = self.plans.get(&key).or_else(|| self.standing.get(&key)).cloned();
        let kept = self.kept_plan(phase)?;
        let here = self.session_now().and_then(|id| self.yard.sessions.iter().find(|s| s.id == id));
        let mut running: Vec<StepKey> = Vec::new();
        if let Some(here) = here {
            let mine = kept.iter().filter(|k| k.session_code.as_deref() == Some(here.code.as_str()));
            running.extend(mine.map(|k| StepKey::from_text(&k.step_key)));
            let known: BTreeSet<StepKey> = running.iter().cloned().collect();
            let plan = standing.as_ref();
            let at = plan.and_then(|p| p.sessions.iter().position(|s| s.code == here.code));
            let shown = plan.into_iter().flat_map(|p| &p.steps).filter(|p| at.is_some() && p.session == at);
            running.extend(shown.map(|p| p.step.key.clone()).filter(|k| !known.contains(k)));
        }
        let mut order = running.clone();
        match &standing {
            Some(p) => order.extend(p.steps.iter().filter(|p| p.from.is_some()).map(|p| p.step.key.clone())),
            None => order.extend(kept.iter().map(|k| StepKey::from_text(&k.step_key))),
        }
        Ok(Expects { standing, running, kept: order })
    }

    /// Judges a plan by the independent checker.
    ///
    /// # Errors
    /// `plan-breach` names everything that is wrong with it: a fault of this program, never of the facts.
    pub fn judge(&self, plan: &Plan) -> Result<(), Problem> {
        let Some(season) = self.yard.seasons.iter().find(|s| s.code == plan.season) else { return Ok(()) };
        let derived = self.steps_of(Scope { season: season.id, phase: plan.phase, day: self.tonight() })?;
        let breaches = check(plan, &self.facts(), &derived, season, plan.now);
        if breaches.is_empty() {
            return Ok(());
        }
        let lines: Vec<String> =
            breaches.iter().map(|b| format!("{} [{}] {}", b.what, b.code, b.key)).collect();
        Err(Problem::new(ProblemKind::Stop, "plan-breach", lines.join("\n"))
            .hint("this is a mistake in ladderday: please tell its makers"))
    }

    pub(super) fn kept_keys(&self, phase: Phase) -> Result<Vec<StepKey>, Problem> {
        Ok(self.kept_plan(phase)?.iter().map(|k| StepKey::from_text(&k.step_key)).collect())
    }

    /// The kept plan of a phase of its season, in its order; empty where none was kept.
    pub(super) fn kept_plan(&self, phase: Phase) -> Result<Vec<KeptStep>, Problem> {
        let season = self.season_for(phase)?.code.clone();
        let mut kept = self.store.load_kept_plan()?;
        kept.retain(|k| k.season_code == season && k.phase == phase.as_str());
        kept.sort_by_key(|k| k.position);
        Ok(kept)
    }

    /// Keeps the plan of a phase as what people expect.
    ///
    /// # Errors
    /// As [`App::steps`]; what the store says where nothing can be written.
    pub fn keep_plan(&mut self, phase: Phase, schedules: u64) -> Result<String, Problem> {
        let zone = self.zone();
        let plan = self.plan(phase, schedules)?;
        let local = |t: Option<chrono::DateTime<chrono::Utc>>| t.map(|t| t.with_timezone(&zone).to_rfc3339());
        let mut rows: Vec<KeptStep> = Vec::new();
        for p in plan.steps.iter().filter(|p| p.from.is_some() || !plan.told.sessions) {
            rows.push(KeptStep {
                step_key: p.step.key.to_string(),
                season_code: plan.season.clone(),
                phase: phase.as_str().to_owned(),
                position: p.order as i64,
                session_code: p.session.and_then(|s| plan.sessions.get(s)).map(|s| s.code.clone()),
                from: local(p.from),
                to: local(p.to),
                people: p.people.join(", "),
            });
        }
        let season = plan.season.clone();
        let others = |k: &KeptStep| k.season_code != season || k.phase != phase.as_str();
        let said = format!("kept: {} steps of {} {}", rows.len(), plan.season, phase.as_str());
        let before = self.store.load_kept_plan()?;
        rows.extend(before.into_iter().filter(|k| others(k)));
        self.store.keep_plan(&rows)?;
        Ok(said)
    }
}

/// Draws the estimates of steps towards the owner's own record, unless that is switched off, and says which; gives the
/// record it went by.
pub(super) fn drawn(yard: &Yard, derived: &mut Derived, own_times: bool) -> Learned {
    let record = own_record(yard, own_times);
    if own_times {
        record.apply(derived);
    } else if !yard.ticks.is_empty() {
        derived.assumed.push("durations are the recipes': your own record is switched off".to_owned());
    }
    record
}

/// Derives the steps of a phase from the facts of any yard, and hands on what a plan is made from.
pub(super) fn with_request<T>(
    facts: &Facts,
    season: &Season,
    phase: Phase,
    (now, seed, own_times): (DateTime<Utc>, u64, bool),
    kept: &[StepKey],
    use_it: impl FnOnce(&Request) -> T,
) -> Result<T, Problem> {
    let yard = facts.yard;
    let day = super::owner::night_of(now, super::owner::zone_of(yard));
    let mut derived = derive(facts, Scope { season: season.id, phase, day }).map_err(|e| refuse(&e))?;
    drawn(yard, &mut derived, own_times);
    Ok(use_it(&Request { facts, derived: &derived, season, phase, now, seed, kept }))
}

/// Says in words which facts contradict each other.
fn refuse(error: &DeriveError) -> Problem {
    match error {
        DeriveError::NoSeason => Problem::new(ProblemKind::Data, "no-season", "no season is told yet"),
        DeriveError::Cycle(lines) => {
            let mut what = "these steps wait for each other in a circle:".to_owned();
            for line in lines {
                what.push_str("\n  ");
                what.push_str(line);
            }
            Problem::new(ProblemKind::Data, "cycle", what)
                .hint("change what carries what, or the order of the recipe")
        }
    }
}
