//! Plans of the open yard: made for the facts, the hour and what people expect, and from nothing else, so that a
//! program opened afresh makes the same.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::app::App;
use super::current::{MadeFrom, OddsKnown, PlanOf};
use super::solved::Solved;
use crate::answers::plan::choices::{ALL, Choice, Wish, calmest};
use crate::answers::plan::drops::drops;
use crate::answers::plan::odds::odds_of;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::record::own_record;
use crate::domain::{KeptStep, Phase};
use crate::planner::check::check;
use crate::planner::{DropList, Effort, Expected, Known, Odds, Plan, Prefer, Request, make_plan};
use crate::steps::{Derived, Scope, StepKey};

/// Schedules for a plan that a screen or a quick command waits for.
pub const QUICK: u64 = 16;
/// Schedules for a plan that was asked for by name.
pub const THOROUGH: u64 = 2_000;

/// What people go by, as facts that a thread can take along.
pub(super) struct Expects {
    /// Keys of the session that runs now, in the order in which they are walked.
    pub(super) running: Vec<StepKey>,
    /// All keys in the order that people expect.
    pub(super) kept: Vec<StepKey>,
    /// Those that were kept with their times.
    pub(super) spots: Vec<Expected>,
}

/// Looks up without keeping, and remembers whether anything asked for is not known.
struct Asked<'a> {
    of: &'a Solved,
    /// Something was asked for that is not known.
    missed: AtomicBool,
}

impl Known for Asked<'_> {
    fn get(&self, key: u128) -> Option<Vec<i64>> {
        let known = self.of.get(key);
        self.missed.fetch_or(known.is_none(), Ordering::Relaxed);
        known
    }

    fn put(&self, _: u128, _: Vec<i64>) {}
}

impl App {
    /// Derives the steps of a phase.
    ///
    /// # Errors
    /// `no-season`; `cycle` names the facts that contradict each other.
    pub fn steps(&self, phase: Phase) -> Result<Arc<Derived>, Problem> {
        self.outlook().steps(phase)
    }

    pub(super) fn plan_of(&self, phase: Phase) -> Result<PlanOf, Problem> {
        Ok((self.outlook().season_for(phase)?.id, phase))
    }

    pub(super) fn made_from(&self) -> MadeFrom {
        MadeFrom {
            version: self.current.version(),
            now: self.plan_now(),
            night: self.outlook().tonight(),
            own_times: self.own_times,
        }
    }

    /// The plan of a phase for the facts as they are.
    ///
    /// # Errors
    /// As [`App::steps`].
    pub fn plan(&mut self, phase: Phase, schedules: u64) -> Result<Arc<Plan>, Problem> {
        self.catch_up()?;
        let (of, from) = (self.plan_of(phase)?, self.made_from());
        let enough = |p: &Plan| p.schedules >= schedules || p.stopped_by == "bound" || schedules <= QUICK;
        if let Some(made) = self.current.plan(of, from).filter(|made| enough(&made.plan)) {
            return Ok(Arc::clone(&made.plan));
        }
        let solved = Arc::clone(&self.solved);
        let known: Option<&dyn Known> = if schedules >= THOROUGH { Some(&*solved) } else { None };
        let effort = Effort { known, ..Effort::of(schedules) };
        let mut plan = self.make_plan(phase, effort)?;
        plan.now = plan.now.max(self.now());
        let plan = Arc::new(plan);
        self.current.keep(of, Arc::clone(&plan), from, schedules >= THOROUGH);
        Ok(plan)
    }

    /// The plan that a page shows, with its odds where they are known: the one that holds, one that may stand in for it
    /// until it was made beside the screens, else a quick one.
    ///
    /// # Errors
    /// As [`App::steps`].
    pub(super) fn plan_to_show(&mut self, phase: Phase) -> Result<(Arc<Plan>, Option<Odds>), Problem> {
        let (of, from) = (self.plan_of(phase)?, self.made_from());
        if let Some(made) = self.current.plan(of, from) {
            let odds = if let OddsKnown::Known(odds) = &made.odds { odds.as_deref().cloned() } else { None };
            return Ok((Arc::clone(&made.plan), odds));
        }
        // A tick waits for no plan, not even to ask what is known: that is found beside the screens.
        if let Some(made) = self.current.stand_in(of) {
            return Ok((Arc::clone(&made.plan), None));
        }
        // What was found before, by another program too, is there at once.
        if self.solved.any()
            && let Some(plan) = self.plan_known(phase)?
        {
            self.current.keep(of, Arc::clone(&plan), from, true);
            return Ok((plan, None));
        }
        Ok((self.plan(phase, QUICK)?, None))
    }

    /// The plan that was found for these facts before, if it is still known.
    pub(super) fn plan_known(&self, phase: Phase) -> Result<Option<Arc<Plan>>, Problem> {
        let asked = Asked { of: &self.solved, missed: AtomicBool::new(false) };
        // Where nothing is known the search ends with its first schedule, and what it has is let go.
        let effort = Effort { known: Some(&asked), stop: &|| true, ..Effort::of(THOROUGH) };
        let mut plan = self.make_plan(phase, effort)?;
        plan.now = plan.now.max(self.now());
        Ok((!asked.missed.into_inner()).then(|| Arc::new(plan)))
    }

    /// Plans a phase without keeping it in memory.
    ///
    /// # Errors
    /// As [`App::steps`].
    pub fn make_plan(&self, phase: Phase, effort: Effort) -> Result<Plan, Problem> {
        let expects = self.expects(phase)?;
        self.with_request(phase, &expects.kept, |request| {
            make_plan(request, &expects.running, &expects.spots, effort)
        })
    }

    /// Plans to choose from, made afresh whatever was kept.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub(super) fn choices(&mut self, phase: Phase, schedules: u64) -> Result<Vec<Choice>, Problem> {
        self.catch_up()?;
        let expects = self.expects(phase)?;
        let record = own_record(self.current.yard(), self.own_times);
        let mut all: Vec<Choice> = Vec::new();
        for prefer in ALL {
            let effort = Effort { known: Some(&*self.solved), prefer, ..Effort::of(schedules) };
            let (mut plan, odds) = self.with_request(phase, &[], |request| {
                let plan = make_plan(request, &expects.running, &[], effort);
                let odds = odds_of(request, &plan, &record);
                (plan, odds)
            })?;
            plan.now = plan.now.max(self.now());
            if all.iter().all(|c| c.plan.steps != plan.steps) {
                all.push(Choice { prefer, plan, odds });
            }
        }
        Ok(all)
    }

    /// The plan of a wish, with its odds.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub(super) fn wished(&mut self, phase: Phase, schedules: u64, wish: Wish) -> Result<Choice, Problem> {
        let mut all = self.choices(phase, schedules)?;
        let of = |prefer: Prefer| all.iter().position(|c| c.prefer == prefer);
        let at = match wish {
            Wish::Few => of(Prefer::Few),
            Wish::Early => of(Prefer::Early),
            Wish::Calm => calmest(&all),
        };
        // Where two are the same plan it stands once, under the first name.
        Ok(all.swap_remove(at.unwrap_or(0)))
    }

    /// Hands on what a plan of a phase is made from.
    ///
    /// # Errors
    /// As [`App::steps`].
    fn with_request<T>(
        &self,
        phase: Phase,
        kept: &[StepKey],
        use_it: impl FnOnce(&Request) -> T,
    ) -> Result<T, Problem> {
        let outlook = self.outlook();
        let season = outlook.season_for(phase)?;
        let derived = outlook.steps(phase)?;
        let (facts, derived, now, seed) = (&outlook.facts(), &*derived, self.plan_now(), self.seed);
        Ok(use_it(&Request { facts, derived, season, phase, now, seed, kept }))
    }

    /// What people go by in a phase: the plan that was kept, and of it the session that runs now.
    pub(super) fn expects(&self, phase: Phase) -> Result<Expects, Problem> {
        let outlook = self.outlook();
        outlook.season_for(phase)?;
        let kept = outlook.kept_plan(phase);
        let here = outlook.session_now().map(|s| s.code.as_str());
        let key = |k: &KeptStep| StepKey::from_text(&k.step_key);
        let running = kept.iter().filter(|k| here.is_some() && k.session_code.as_deref() == here).map(key);
        let spot = |k: &KeptStep| {
            let from = chrono::DateTime::parse_from_rfc3339(k.from.as_deref()?).ok()?;
            let people = k.people.split(", ").filter(|n| !n.is_empty()).map(str::to_owned).collect();
            Some(Expected { key: key(k), from: from.with_timezone(&chrono::Utc), people })
        };
        Ok(Expects {
            running: running.collect(),
            kept: kept.iter().map(key).collect(),
            spots: kept.iter().filter_map(spot).collect(),
        })
    }

    /// The odds of a plan of a phase, computed once.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub fn odds(&mut self, phase: Phase, schedules: u64) -> Result<Option<Odds>, Problem> {
        let plan = self.plan(phase, schedules)?;
        let (of, from) = (self.plan_of(phase)?, self.made_from());
        if let Some(OddsKnown::Known(known)) = self.current.plan(of, from).map(|made| &made.odds) {
            return Ok(known.as_deref().cloned());
        }
        let kept = self.expects(phase)?.kept;
        let record = own_record(self.current.yard(), self.own_times);
        let made = self.with_request(phase, &kept, |r| odds_of(r, &plan, &record))?;
        self.current.keep_odds(of, made.clone());
        Ok(made)
    }

    /// The placements to leave out so that lights on in time reaches `wanted` percent.
    ///
    /// # Errors
    /// As [`App::plan`]; `no-odds` where there are no sessions, no date, or a phase without odds.
    pub fn drop_list(&mut self, phase: Phase, wanted: u8, schedules: u64) -> Result<DropList, Problem> {
        let plan = self.plan(phase, schedules)?;
        let kept = self.expects(phase)?.kept;
        let record = own_record(self.current.yard(), self.own_times);
        self.with_request(phase, &kept, |request| drops(request, &plan, &record, wanted))?
    }

    /// Judges a plan by the independent checker.
    ///
    /// # Errors
    /// `plan-breach` names everything that is wrong with it: a fault of this program, never of the facts.
    pub fn judge(&self, plan: &Plan) -> Result<(), Problem> {
        let outlook = self.outlook();
        let Some(season) = outlook.yard.seasons.iter().find(|s| s.code == plan.season) else { return Ok(()) };
        let derived =
            outlook.steps_of(Scope { season: season.id, phase: plan.phase, day: outlook.tonight() })?;
        let breaches = check(plan, &outlook.facts(), &derived, season, plan.now);
        if breaches.is_empty() {
            return Ok(());
        }
        let lines: Vec<String> =
            breaches.iter().map(|b| format!("{} [{}] {}", b.what, b.code, b.key)).collect();
        Err(Problem::new(ProblemKind::Stop, "plan-breach", lines.join("\n"))
            .hint("this is a mistake in ladderday: please tell its makers"))
    }

    /// Keeps the plan of a phase as what people expect.
    ///
    /// # Errors
    /// As [`App::steps`]; what the store says where nothing can be written.
    pub fn keep_plan(&mut self, phase: Phase, schedules: u64) -> Result<String, Problem> {
        let plan = self.plan(phase, schedules)?;
        self.keep_this(phase, &plan)
    }

    /// Keeps a plan of a phase that was chosen.
    ///
    /// # Errors
    /// As [`App::keep_plan`].
    pub(super) fn keep_this(&mut self, phase: Phase, plan: &Plan) -> Result<String, Problem> {
        let rows = kept_rows(plan, |p| p.from.is_some() || !plan.told.sessions);
        let name = self.outlook().season_for(phase).map_or_else(|_| plan.season.clone(), |s| s.name.clone());
        let said = format!("Kept: the plan {} of {name}, {} steps", phase.as_str(), rows.len());
        self.keep_rows(plan, rows, |_| false)?;
        Ok(said)
    }

    /// Writes kept rows of a plan; of those kept before, other phases and seasons stay, and what `stays` says.
    pub(super) fn keep_rows(
        &mut self,
        plan: &Plan,
        mut rows: Vec<KeptStep>,
        stays: impl Fn(&KeptStep) -> bool,
    ) -> Result<(), Problem> {
        let mine = |k: &KeptStep| k.season_code == plan.season && k.phase == plan.phase.as_str();
        rows.extend(self.current.kept().iter().filter(|k| !mine(k) || stays(k)).cloned());
        // As the file gives them, which need not be asked for it: a tick waits for this.
        rows.sort_by(|a, b| of_row(a).cmp(&of_row(b)));
        self.store.keep_plan(&rows)?;
        debug_assert_eq!(rows, self.store.load_kept_plan()?);
        self.current.take_kept(rows);
        Ok(())
    }
}

/// The order of kept rows.
fn of_row(k: &KeptStep) -> (&str, &str, i64, &str) {
    (&k.season_code, &k.phase, k.position, &k.step_key)
}

/// Steps of a plan as they are kept.
pub(super) fn kept_rows(plan: &Plan, which: impl Fn(&crate::planner::PlannedStep) -> bool) -> Vec<KeptStep> {
    let local =
        |t: Option<chrono::DateTime<chrono::Utc>>| t.map(|t| t.with_timezone(&plan.zone).to_rfc3339());
    plan.steps
        .iter()
        .filter(|p| which(p))
        .map(|p| KeptStep {
            step_key: p.step.key.to_string(),
            season_code: plan.season.clone(),
            phase: plan.phase.as_str().to_owned(),
            position: p.order as i64,
            session_code: p.session.and_then(|s| plan.sessions.get(s)).map(|s| s.code.clone()),
            from: local(p.from),
            to: local(p.to),
            people: p.people.join(", "),
        })
        .collect()
}
