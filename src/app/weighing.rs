//! Weighing a change beside the screens: off their thread, with progress, and stopped when asked.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use super::app::App;
use super::low_priority::run_later;
use super::planning::QUICK;
use crate::answers::plan::what_if::{
    Change, Side, against, both, difference, difference_words, side_words, weigh,
};
use crate::answers::problem::{Problem, ProblemKind};
use crate::domain::Phase;
use crate::planner::{Effort, Prefer};

/// A change being weighed.
pub(super) struct Weighing {
    change: Change,
    result: Receiver<Result<(Side, Side), Problem>>,
    stop: Arc<AtomicBool>,
    made: Arc<AtomicU64>,
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
        let phase = phase.unwrap_or_else(|| self.outlook().phase_now());
        let base = self.plan_to_show(phase)?.0;
        let of = (self.current.shared(), self.plan_now(), base);
        let both = both(&self.outlook(), of, phase, std::slice::from_ref(&change))?;
        self.stop_weighing();
        // What was asked for comes before what goes on by itself.
        self.give_way();
        let (send, result) = channel();
        let (stop, made) = (Arc::new(AtomicBool::new(false)), Arc::new(AtomicU64::new(0)));
        self.weighing = Some(Weighing { change, result, stop: Arc::clone(&stop), made: Arc::clone(&made) });
        run_later(move || {
            let effort = Effort {
                schedules: QUICK,
                stop: &|| stop.load(Ordering::Relaxed),
                progress: &|n| made.store(n, Ordering::Relaxed),
                known: None,
                prefer: Prefer::Few,
            };
            // Nobody waits for what was stopped.
            let _ = send.send(weigh(&both, effort));
        });
        Ok(())
    }

    /// Finish and odds as they are and with the change, in lines with a label, once they are there; `wait` waits.
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
        let change = self.weighing.take()?.change.clone();
        Some(result.map(|(before, after)| {
            let brings = difference(&before, &after).map_or_else(String::new, difference_words);
            let note = against(std::slice::from_ref(&change), &before, &after);
            let mut lines = vec![
                ("what if".to_owned(), change.words()),
                ("as it is".to_owned(), side_words(&self.outlook(), &before)),
                ("then".to_owned(), side_words(&self.outlook(), &after)),
                ("brings".to_owned(), brings),
            ];
            lines.extend(note.map(|n| ("note".to_owned(), n.to_owned())));
            lines.push((String::new(), "No fact was touched.".to_owned()));
            lines
        }))
    }

    /// Thousandths of the planning done, while a change is being weighed.
    pub fn weighing(&self) -> Option<u32> {
        let made = self.weighing.as_ref()?.made.load(Ordering::Relaxed).min(QUICK);
        u32::try_from(made * 1000 / QUICK).ok()
    }

    /// Lets go of a change being weighed; true where there was one.
    pub fn stop_weighing(&mut self) -> bool {
        self.weighing.take().is_some()
    }
}
