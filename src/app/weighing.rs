//! Weighing a change beside the screens: off their thread, with progress, and stopped when asked.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use super::app::App;
use super::low_priority::run_later;
use super::planning::QUICK;
use crate::answers::plan::helps::{Help, ask, helps};
use crate::answers::plan::what_if::{
    Change, OTHERS, Side, against, both, difference, difference_words, side_words, weigh,
};
use crate::answers::problem::{Problem, ProblemKind};
use crate::domain::Phase;
use crate::exchange::commands as say;
use crate::planner::{Effort, Prefer};

/// What came of weighing.
enum Weighed {
    /// A change with both sides.
    Change(Change, Box<(Side, Side)>),
    Helps(Box<Side>, Vec<Help>),
}

/// Something being weighed.
pub(super) struct Weighing {
    result: Receiver<Result<Weighed, Problem>>,
    stop: Arc<AtomicBool>,
    made: Arc<AtomicU64>,
    /// Schedules that will be made.
    of: u64,
}

impl Drop for Weighing {
    /// What nobody can take in any more holds up no other work.
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

impl App {
    /// Starts weighing one change, quickly; one that is being weighed is let go. No fact is touched.
    ///
    /// # Errors
    /// As [`App::what_if`], where the change makes no sense here.
    pub fn begin_what_if(&mut self, phase: Option<Phase>, change: &str) -> Result<(), Problem> {
        let change = Change::parse(change)?;
        let phase = phase.unwrap_or_else(|| self.outlook().phase_planned());
        let base = self.plan_to_show(phase)?.0;
        let of = (self.current.shared(), self.plan_now(), base);
        let both = both(&self.outlook(), of, phase, std::slice::from_ref(&change))?;
        self.begin_weighing(1, move |effort| Ok(Weighed::Change(change, Box::new(weigh(&both, effort)?))));
        Ok(())
    }

    /// Starts weighing what would help most to be in time.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub fn begin_what_helps(&mut self, phase: Option<Phase>) -> Result<(), Problem> {
        let phase = phase.unwrap_or_else(|| self.outlook().phase_planned());
        let base = self.plan_to_show(phase)?.0;
        let asked = ask(&self.outlook(), &base, self.plan_now(), &self.current.shared())?;
        self.begin_weighing(asked.many() as u64, move |effort| {
            let (before, all) = helps(asked, effort)?;
            Ok(Weighed::Helps(Box::new(before), all))
        });
        Ok(())
    }

    fn begin_weighing(
        &mut self,
        plans: u64,
        weigh: impl FnOnce(Effort) -> Result<Weighed, Problem> + Send + 'static,
    ) {
        self.stop_weighing();
        // What was asked for comes before what goes on by itself.
        self.give_way();
        let (send, result) = channel();
        let (stop, made) = (Arc::new(AtomicBool::new(false)), Arc::new(AtomicU64::new(0)));
        let of = QUICK * (plans.max(1) + OTHERS);
        self.weighing = Some(Weighing { result, stop: Arc::clone(&stop), made: Arc::clone(&made), of });
        run_later(move || {
            // Each plan counts from nothing.
            let (last, before) = (AtomicU64::new(0), AtomicU64::new(0));
            let progress = |n: u64| {
                let was = last.swap(n, Ordering::Relaxed);
                if n < was {
                    before.fetch_add(was, Ordering::Relaxed);
                }
                made.store(before.load(Ordering::Relaxed) + n, Ordering::Relaxed);
            };
            let effort = Effort {
                schedules: QUICK,
                stop: &|| stop.load(Ordering::Relaxed),
                progress: &progress,
                known: None,
                prefer: Prefer::Few,
            };
            // Nobody waits for what was stopped.
            let _ = send.send(weigh(effort));
        });
    }

    /// What came of weighing, in lines with a label, once it is there; `wait` waits.
    pub fn weighed(&mut self, wait: bool) -> Option<Result<Vec<(String, String)>, Problem>> {
        let weighing = self.weighing.as_ref()?;
        let lost = || Problem::new(ProblemKind::Data, "not-weighed", "the change could not be weighed");
        let result = if wait {
            weighing.result.recv().unwrap_or_else(|_| Err(lost()))
        } else {
            match weighing.result.try_recv() {
                Ok(result) => result,
                Err(TryRecvError::Empty) => return None,
                Err(TryRecvError::Disconnected) => Err(lost()),
            }
        };
        self.weighing = None;
        Some(result.map(|weighed| match weighed {
            Weighed::Change(change, both) => {
                let (before, after) = &*both;
                let note = against(std::slice::from_ref(&change), before, after);
                let brings = difference(before, after).map_or_else(String::new, difference_words);
                let mut lines = vec![
                    ("what if".to_owned(), change.words()),
                    ("as it is".to_owned(), side_words(&self.outlook(), before)),
                    ("then".to_owned(), side_words(&self.outlook(), after)),
                    ("brings".to_owned(), brings),
                ];
                lines.extend(note.map(|n| ("note".to_owned(), n.to_owned())));
                lines.push((String::new(), "No fact was touched.".to_owned()));
                lines
            }
            Weighed::Helps(before, all) => say::helps::lines(&before, &all),
        }))
    }

    /// Thousandths of the planning done, while a change is being weighed.
    pub fn weighing(&self) -> Option<u32> {
        let weighing = self.weighing.as_ref()?;
        let made = weighing.made.load(Ordering::Relaxed).min(weighing.of);
        u32::try_from(made * 1000 / weighing.of).ok()
    }

    /// Lets go of a change being weighed; true where there was one.
    pub fn stop_weighing(&mut self) -> bool {
        self.weighing.take().is_some()
    }
}
