//! Where one stands in Walk.

use std::collections::BTreeSet;

use crate::answers::view::{StepState, Walk, WalkStep};

/// The checklist and the marked step.
#[derive(Debug, Clone, Default)]
pub struct State {
    pub page: Option<Walk>,
    /// The session asked for; nothing takes the one that is due.
    pub session: Option<usize>,
    /// The marked step, among all steps of the session.
    pub at: usize,
    /// The key of the step to mark on the next page.
    pub want: Option<String>,
    /// The place to go to once the page is there.
    pub place_wanted: Option<String>,
    /// One step in big letters instead of the list.
    pub big: bool,
    /// Sessions whose fetch list was shown.
    pub fetched: BTreeSet<String>,
    /// Ticks whose long pause was asked about, by step and time.
    pub asked: BTreeSet<(String, i64)>,
    /// Keys of the steps ticked, latest last.
    pub ticked: Vec<String>,
    /// What happens once the deed is on disk.
    pub pending: Option<Pending>,
}

/// What happens once a deed is on disk.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Pending {
    /// The step that the deed was about.
    pub key: String,
    /// The step to mark then.
    pub next: Option<String>,
    /// Where to go, where a place is done.
    pub say: Option<String>,
}

impl State {
    /// Takes in a page; the mark goes to the wanted step, or stays on its own, or goes to the first open one.
    pub fn set(&mut self, page: Walk) {
        let before = self.step().map(|s| s.key.clone());
        let fresh = before.is_none();
        self.page = Some(page);
        let wanted = self.want.take().or(before);
        let found = wanted.and_then(|key| self.steps().position(|s| s.key == key));
        let first_open = || self.steps().position(is_open).unwrap_or(0);
        self.at = match found {
            Some(at) => at,
            None if fresh => first_open(),
            None => self.at.min(self.steps().count().saturating_sub(1)),
        };
    }

    /// All steps of the session, in order.
    pub fn steps(&self) -> impl Iterator<Item = &WalkStep> {
        self.page.iter().flat_map(|p| p.places.iter().flat_map(|place| place.steps.iter()))
    }

    /// The marked step.
    pub fn step(&self) -> Option<&WalkStep> {
        self.steps().nth(self.at)
    }

    /// The place of the marked step: its index, and that of its first step.
    pub fn place(&self) -> Option<(usize, usize)> {
        let mut first = 0;
        for (at, place) in self.page.as_ref()?.places.iter().enumerate() {
            if self.at < first + place.steps.len() {
                return Some((at, first));
            }
            first += place.steps.len();
        }
        None
    }

    /// The next open step after the marked one, else the first open one before; never one of `done`.
    pub fn next_open(&self, done: &[String]) -> Option<&WalkStep> {
        let open = |s: &&WalkStep| is_open(s) && !done.contains(&s.key);
        self.steps().skip(self.at + 1).find(open).or_else(|| self.steps().take(self.at).find(open))
    }
}

/// Whether a step is still to do now.
pub fn is_open(step: &WalkStep) -> bool {
    matches!(step.state, StepState::Open | StepState::Doing)
}
