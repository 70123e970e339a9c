//! Where one stands in Plan.

use crate::answers::view::{Aim, HELPS_MOST, Plan, PlanSession, PlanStep};

/// The parts of Plan.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Part {
    #[default]
    Days,
    Month,
    Unplaced,
    Figures,
}

impl Part {
    pub const ALL: [(Self, &'static str); 4] = [
        (Self::Days, "Days"),
        (Self::Month, "Month"),
        (Self::Unplaced, "Not placed"),
        (Self::Figures, "Figures"),
    ];
}

/// The plan and the marked step, among all steps of all sessions.
#[derive(Debug, Clone, Default)]
pub struct PlanState {
    pub page: Option<Plan>,
    pub part: Part,
    pub at: usize,
    /// The marked session where it has no steps.
    pub bare: Option<String>,
    /// Finish and odds before the last deed that moved them.
    pub before: Option<(Option<String>, Option<String>)>,
    /// What helps most, once weighed, with the odds that it was weighed against.
    pub help: Option<(Option<String>, String)>,
    /// The marked row of the other parts.
    pub row: usize,
}

impl PlanState {
    fn is_next(&self, key: &str) -> bool {
        let first = self.page.as_ref().and_then(|p| p.begins.as_ref().or(p.next.as_ref()));
        first.is_some_and(|n| n.key == key)
    }

    /// Takes in a plan; the mark stays on its step, or goes to what is next, as a mark that was there before does.
    pub fn set(&mut self, page: Plan) {
        let first = self.step().is_none_or(|(_, s)| self.is_next(&s.key));
        let before = self.step().filter(|_| !first).map(|(_, s)| s.key.clone());
        self.page = Some(page);
        let at = |key: &str| self.steps().position(|(_, s)| s.key == key);
        let next = || self.steps().position(|(_, s)| self.is_next(&s.key));
        let ahead = || self.steps().position(|(session, _)| !session.past);
        let found = before.as_ref().map_or_else(|| next().or_else(ahead), |key| at(key));
        self.at = found.unwrap_or(self.at).min(self.steps().count().saturating_sub(1));
    }

    /// Keeps what was weighed to help most, to stand beside the odds.
    pub fn helped(&mut self, weighed: &[(String, String)]) {
        if let Some((_, text)) = weighed.iter().find(|(label, _)| label == HELPS_MOST) {
            self.help = Some((self.page.as_ref().and_then(|p| p.odds.clone()), text.clone()));
        }
    }

    /// Marks a step, or shows what has no place.
    pub fn aim(&mut self, aim: &Aim) {
        (self.part, self.row, self.bare) = (Part::Days, 0, None);
        match aim {
            Aim::Unplaced => self.part = Part::Unplaced,
            Aim::Step(key, _) => {
                let at = self.steps().position(|(_, s)| s.key == *key);
                self.at = at.unwrap_or(self.at);
            }
            Aim::First | Aim::Phase(_) | Aim::Fault(_) | Aim::Row(_) | Aim::Apart(_) => {}
        }
    }

    /// All steps with their session, in order.
    pub fn steps(&self) -> impl Iterator<Item = (&PlanSession, &PlanStep)> {
        self.page
            .iter()
            .flat_map(|p| p.sessions.iter().flat_map(|s| s.steps.iter().map(move |step| (s, step))))
    }

    /// The marked session: that of the marked step, or one without steps.
    pub fn session(&self) -> Option<&PlanSession> {
        let sessions = || self.page.iter().flat_map(|p| p.sessions.iter());
        let bare = self.bare.as_ref().and_then(|code| sessions().find(|s| &s.code == code));
        bare.or_else(|| self.step().map(|(s, _)| s)).or_else(|| sessions().find(|s| !s.past))
    }

    pub fn step(&self) -> Option<(&PlanSession, &PlanStep)> {
        self.steps().nth(self.at)
    }
}
