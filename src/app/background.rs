//! Improving a plan beside the screens: off their thread, with progress, and stopped when asked.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use super::app::App;
use super::current::{MadeFrom, OddsKnown};
use super::low_priority::run_later;
use super::planning::THOROUGH;
use crate::answers::outlook::drawn;
use crate::answers::plan::odds::odds_of;
use crate::answers::problem::Problem;
use crate::answers::record::Learned;
use crate::domain::{Phase, Rows, SeasonId, Yard};
use crate::planner::{Effort, Odds, Plan, Prefer, Request, make_plan};
use crate::steps::{Derived, Facts, Index, Scope};

/// A plan being improved.
pub(super) struct Job {
    season: SeasonId,
    phase: Phase,
    from: MadeFrom,
    result: Receiver<(Plan, Option<Odds>)>,
    stop: Arc<AtomicBool>,
    /// Nobody waits for it any more.
    left: Arc<AtomicBool>,
    /// What is improved once it has ended: one search at a time has the memory and the cores.
    then: Option<Phase>,
    made: Arc<AtomicU64>,
}

impl Drop for Job {
    /// What nobody can take in any more holds up no other work.
    fn drop(&mut self) {
        self.left.store(true, Ordering::Relaxed);
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// What a search takes along: nothing of what happens while it runs, so that a tick changes its tables where they are
/// instead of copying them.
struct SearchFacts {
    yard: Yard,
    index: Arc<Index>,
    derived: Derived,
    record: Learned,
}

impl SearchFacts {
    fn of(yard: Arc<Yard>, index: Arc<Index>, derived: Arc<Derived>, own_times: bool) -> Self {
        let mut steps = Derived::clone(&derived);
        steps.progress = Arc::new(derived.progress_of_steps());
        let record = drawn(&yard, &mut steps, own_times);
        let before = Yard {
            ticks: Rows::default(),
            time_corrections: Rows::default(),
            repair_entries: Rows::default(),
            ..Yard::clone(&yard)
        };
        Self { yard: before, index: Arc::new(index.without_progress()), derived: steps, record }
    }
}

impl App {
    /// Starts improving the plan of a phase, unless that is going on.
    ///
    /// # Errors
    /// As [`App::steps`].
    pub fn improve(&mut self, phase: Phase) -> Result<(), Problem> {
        let season = self.outlook().season_for(phase)?.clone();
        if self.current.yard.sessions.is_empty() {
            return Ok(());
        }
        let from = self.made_from();
        if let Some(job) = &mut self.job {
            let same = job.season == season.id && job.phase == phase && job.from == from;
            if !same || job.then.is_some() {
                job.then = Some(phase);
                job.left.store(true, Ordering::Relaxed);
                job.stop.store(true, Ordering::Relaxed);
            }
            return Ok(());
        }
        let (send, result) = channel();
        let (stop, made) = (Arc::new(AtomicBool::new(false)), Arc::new(AtomicU64::new(0)));
        let job = Job {
            season: season.id,
            phase,
            from,
            result,
            stop: Arc::clone(&stop),
            left: Arc::default(),
            then: None,
            made: Arc::clone(&made),
        };
        let derived =
            self.outlook().derived(Scope { season: season.id, phase, day: self.outlook().tonight() })?;
        let (yard, index) = (Arc::clone(&self.current.yard), Arc::clone(&self.current.remembered.index));
        let expects = self.expects(phase)?;
        let (now, seed, own_times) = (self.plan_now(), self.seed, self.own_times);
        let (left, known) = (Arc::clone(&job.left), Arc::clone(&self.solved));
        run_later(move || {
            let effort = Effort {
                schedules: THOROUGH,
                stop: &|| stop.load(Ordering::Relaxed),
                progress: &|n| made.store(n, Ordering::Relaxed),
                known: Some(&*known),
                prefer: Prefer::Few,
            };
            let own = SearchFacts::of(yard, index, derived, own_times);
            let facts = &Facts::with(&own.yard, own.index);
            let (season, derived) = (&season, &own.derived);
            let request = Request { facts, derived, season, phase, now, seed, kept: &expects.kept };
            let plan = make_plan(&request, &expects.running, &expects.spots, effort);
            // Facts have changed since, or the screens are gone: nobody asks for its odds.
            let odds =
                if left.load(Ordering::Relaxed) { None } else { odds_of(&request, &plan, &own.record) };
            // The screens may be gone by now; then nobody wants it.
            let _ = send.send((plan, odds));
        });
        self.job = Some(job);
        Ok(())
    }

    /// Improves the plan that shows, where it was only made quickly, facts have changed since (a tick), or its odds are
    /// not known; and after it that of the build, which days to buy and to mend by follow from.
    ///
    /// # Errors
    /// As [`App::steps`].
    pub fn improve_once(&mut self, phase: Phase) -> Result<(), Problem> {
        for phase in [phase, Phase::Up] {
            let of = self.plan_of(phase)?;
            let made = self.current.plan(of, self.made_from());
            if !made.is_some_and(|made| made.thorough && made.odds != OddsKnown::NotYet) {
                return self.improve(phase);
            }
        }
        Ok(())
    }

    /// Takes in a plan that was improved meanwhile; true where it changed what shows.
    ///
    /// A plan made from facts that have changed since is let go: the next one is under way.
    pub fn take_improved(&mut self) -> bool {
        let result = match self.job.as_ref().map(|job| job.result.try_recv()) {
            None | Some(Err(TryRecvError::Empty)) => return false,
            Some(Err(TryRecvError::Disconnected)) => None,
            Some(Ok(made)) => Some(made),
        };
        let Some(job) = self.job.take() else { return false };
        let fresh = job.from == self.made_from() && !job.left.load(Ordering::Relaxed);
        let made = result.filter(|_| fresh);
        let changed = made.is_some();
        if let Some((mut plan, odds)) = made {
            plan.now = plan.now.max(self.now());
            let of = (job.season, job.phase);
            self.current.keep(of, Arc::new(plan), job.from, true);
            self.current.keep_odds(of, odds);
        }
        // Where the season is gone meanwhile there is nothing to improve.
        let _ = match job.then {
            Some(phase) => self.improve(phase),
            None if changed => self.improve_once(job.phase),
            None => Ok(()),
        };
        changed
    }

    /// Thousandths of the work done, while a plan is being improved.
    pub fn improving(&self) -> Option<u32> {
        let job = self.job.as_ref()?;
        if job.then.is_some() {
            return Some(0);
        }
        let made = job.made.load(Ordering::Relaxed).min(THOROUGH);
        u32::try_from(made * 1000 / THOROUGH).ok()
    }

    /// Lets go of the improving for other work; it begins again after it.
    pub(super) fn give_way(&mut self) {
        if let Some(job) = &mut self.job {
            job.then = job.then.or(Some(job.phase));
            job.left.store(true, Ordering::Relaxed);
            job.stop.store(true, Ordering::Relaxed);
        }
    }

    /// Ends the improving; the best so far comes in as soon as its thread looks up.
    pub fn stop_improving(&mut self) {
        if let Some(job) = &mut self.job {
            job.then = None;
            job.stop.store(true, Ordering::Relaxed);
        }
    }
}
