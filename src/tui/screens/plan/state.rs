//! Where one stands in Plan.

use crate::app::view::{Plan, PlanSession, PlanStep};

/// The three parts of Plan.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Part {
    #[default]
    Days,
    Unplaced,
    Figures,
}

impl Part {
    pub const ALL: [(Self, &'static str); 3] =
        [(Self::Days, "Days"), (Self::Unplaced, "Not placed"), (Self::Figures, "Figures")];

    #[must_use]
    pub const fn turned(self, on: bool) -> Self {
        match (self, on) {
            (Self::Days, true) | (Self::Figures, false) => Self::Unplaced,
            (Self::Unplaced, true) | (Self::Days, false) => Self::Figures,
            (Self::Figures, true) | (Self::Unplaced, false) => Self::Days,
        }
    }
}

/// The plan and the marked step, among all steps of all sessions.
#[derive(Debug, Clone, Default)]
pub struct State {
    pub page: Option<Plan>,
    pub part: Part,
    pub at: usize,
    /// The marked row of the other parts.
    pub row: usize,
}

impl State {
    /// Takes in a plan; the mark stays on its step, or goes to the first one that is not past.
    pub fn set(&mut self, page: Plan) {
        let before = self.step().map(|(_, s)| s.key.clone());
        self.page = Some(page);
        let found = match before {
            Some(key) => self.steps().position(|(_, s)| s.key == key),
            None => self.steps().position(|(session, _)| !session.past),
        };
        self.at = found.unwrap_or(self.at).min(self.steps().count().saturating_sub(1));
    }

    /// All steps with their session, in order.
    pub fn steps(&self) -> impl Iterator<Item = (&PlanSession, &PlanStep)> {
        self.page
            .iter()
            .flat_map(|p| p.sessions.iter().flat_map(|s| s.steps.iter().map(move |step| (s, step))))
    }

    pub fn step(&self) -> Option<(&PlanSession, &PlanStep)> {
        self.steps().nth(self.at)
    }
}
