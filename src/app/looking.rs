//! Looking the yard file over beside the screens, once a day or after an end that was not clean: off their thread,
//! on a connection of its own, and stopped when asked or when the yard is closed.
//!
//! Commands look before they read; the screens show first and say afterwards what was found.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread::JoinHandle;

use super::app::App;
use crate::answers::problem::Problem;
use crate::store::StoreError;

/// The note in the file of when it was last found whole.
const LOOKED: &str = "looked_over_ms";
const DAY_MS: i64 = 24 * 60 * 60 * 1000;

/// How it stands with looking the file over.
#[derive(Default)]
pub(super) enum Looking {
    #[default]
    NotDue,
    Due,
    On(Job),
}

pub(super) struct Job {
    result: Receiver<Result<(), StoreError>>,
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Drop for Job {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        // The yard is closed after it, as the last to have the file open tidies up.
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

/// Whether a file last found whole at `last_ms` is to be looked over at `now_ms`.
fn due(last_ms: Option<i64>, now_ms: i64, left_open: bool) -> bool {
    // A clock that went back tells nothing of how long ago it was.
    left_open || last_ms.is_none_or(|last| !(0..DAY_MS).contains(&now_ms.saturating_sub(last)))
}

impl App {
    /// Leaves it to [`App::begin_looking`] to look the file over, where that is due.
    pub(super) fn look_later(&mut self) -> Result<(), Problem> {
        let last = self.store.meta(LOOKED)?.and_then(|text| text.parse().ok());
        let due = due(last, self.now().timestamp_millis(), self.store.was_left_open());
        self.looking = if due { Looking::Due } else { Looking::NotDue };
        Ok(())
    }

    /// Begins to look the file over, where that is due.
    pub fn begin_looking(&mut self) {
        if !matches!(self.looking, Looking::Due) {
            return;
        }
        let (send, result) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let (look, stopped) = (self.store.look_over(), Arc::clone(&stop));
        let thread = std::thread::spawn(move || {
            // Nobody waits for what was stopped.
            let _ = send.send(look(&stopped));
        });
        self.looking = Looking::On(Job { result, stop, thread: Some(thread) });
    }

    /// What was found wrong, once; from then on nothing is written any more.
    pub fn take_looked(&mut self) -> Option<Problem> {
        let Looking::On(job) = &self.looking else { return None };
        let stopped = job.stop.load(Ordering::Relaxed);
        let result = match job.result.try_recv() {
            Ok(result) => result,
            Err(TryRecvError::Empty) => return None,
            Err(TryRecvError::Disconnected) => Ok(()),
        };
        self.looking = Looking::NotDue;
        match result {
            _ if stopped => None,
            Ok(()) => {
                // Not noted, it is looked over again at the next start.
                let _ = self.store.set_meta(LOOKED, &self.now().timestamp_millis().to_string());
                None
            }
            Err(error) => {
                if let StoreError::Damaged { what, .. } = &error {
                    self.store.distrust(what);
                }
                Some(error.into())
            }
        }
    }

    /// Whether the file is being looked over now.
    pub fn is_looking(&self) -> bool {
        matches!(self.looking, Looking::On(_))
    }

    /// Stops looking the file over; it is due again at the next start.
    pub fn stop_looking(&mut self) {
        if let Looking::On(job) = &self.looking {
            job.stop.store(true, Ordering::Relaxed);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_due_once_a_day_and_after_an_unclean_end() {
        assert!(due(None, 5, false));
        assert!(!due(Some(5), 5, false));
        assert!(!due(Some(5), 4 + DAY_MS, false));
        assert!(due(Some(5), 5 + DAY_MS, false));
        assert!(due(Some(5), 6, true));
        assert!(due(Some(5), 4, false), "the clock went back");
    }
}
