//! Improving a plan beside the screens: off their thread, with progress, and stopped when asked.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use super::odds::odds_of;
use super::owner::App;
use super::planning::{THOROUGH, with_request};
use super::problem::Problem;
use crate::domain::{Phase, SeasonId};
use crate::planner::{Effort, Odds, Plan, make_plan};

/// A plan being improved.
pub(super) struct Job {
    season: SeasonId,
    phase: Phase,
    /// The facts it is made from.
    version: u64,
    result: Receiver<(Plan, Option<Odds>)>,
    stop: Arc<AtomicBool>,
    made: Arc<AtomicU64>,
}

impl App {
    /// Starts improving the plan of a phase, unless that is going on.
    ///
    /// # Errors
    /// As [`App::steps`].
    pub fn improve(&mut self, phase: Phase) -> Result<(), Problem> {
        let season = self.season_for(phase)?.clone();
        if self.yard.sessions.is_empty()
            || self
                .job
                .as_ref()
                .is_some_and(|j| j.season == season.id && j.phase == phase && j.version == self.facts_version)
        {
            return Ok(());
        }
        let (send, result) = channel();
        let (stop, made) = (Arc::new(AtomicBool::new(false)), Arc::new(AtomicU64::new(0)));
        let job = Job {
            season: season.id,
            phase,
            version: self.facts_version,
            result,
            stop: Arc::clone(&stop),
            made: Arc::clone(&made),
        };
        let (yard, kept) = (Arc::clone(&self.yard), self.kept_keys(phase)?);
        let (now, seed, own_times) = (self.now(), self.seed, self.own_times);
        std::thread::spawn(move || {
            let effort = Effort {
                schedules: THOROUGH,
                stop: &|| stop.load(Ordering::Relaxed),
                progress: &|n| made.store(n, Ordering::Relaxed),
            };
            let made = with_request(&yard, &season, phase, (now, seed, own_times), &kept, |request| {
                let plan = make_plan(request, effort);
                let odds = odds_of(request, &plan, own_times);
                (plan, odds)
            });
            // The screens may be gone by now; then nobody wants it.
            if let Ok(made) = made {
                let _ = send.send(made);
            }
        });
        self.stop_improving();
        self.job = Some(job);
        Ok(())
    }

    /// Improves the plan that shows, where it was only made quickly or its odds are not known.
    ///
    /// # Errors
    /// As [`App::steps`].
    pub fn improve_once(&mut self, phase: Phase) -> Result<(), Problem> {
        let id = self.season_for(phase)?.id;
        let quick = self
            .plans
            .get(&(id, phase))
            .is_none_or(|p| p.schedules < THOROUGH && p.stopped_by == "schedules");
        let unsure = !self.odds.contains_key(&(id, phase));
        if quick || unsure { self.improve(phase) } else { Ok(()) }
    }

    /// Takes in a plan that was improved meanwhile; true where it changed what shows.
    ///
    /// A plan made from facts that have changed since is let go: ticks while walking don't shift the walk.
    pub fn take_improved(&mut self) -> bool {
        let Some(job) = &self.job else { return false };
        match job.result.try_recv() {
            Ok((plan, odds)) => {
                let key = (job.season, job.phase);
                let fresh = job.version == self.facts_version;
                self.job = None;
                if fresh {
                    self.plans.insert(key, plan);
                    self.odds.insert(key, odds);
                }
                fresh
            }
            Err(TryRecvError::Empty) => false,
            Err(TryRecvError::Disconnected) => {
                self.job = None;
                false
            }
        }
    }

    /// Thousandths of the work done, while a plan is being improved.
    pub fn improving(&self) -> Option<u32> {
        let job = self.job.as_ref()?;
        let made = job.made.load(Ordering::Relaxed).min(THOROUGH);
        u32::try_from(made * 1000 / THOROUGH).ok()
    }

    /// Ends the improving; the best so far comes in as soon as its thread looks up.
    pub fn stop_improving(&mut self) {
        if let Some(job) = &self.job {
            job.stop.store(true, Ordering::Relaxed);
        }
    }
}
