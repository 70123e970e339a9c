//! Where one stands in Power.

use crate::app::view::Power;

/// The three parts of Power.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Part {
    #[default]
    Tree,
    Voltage,
    Findings,
}

impl Part {
    pub const ALL: [(Self, &'static str); 3] =
        [(Self::Tree, "Loads"), (Self::Voltage, "Voltage"), (Self::Findings, "Findings")];

    #[must_use]
    pub const fn turned(self, on: bool) -> Self {
        match (self, on) {
            (Self::Tree, true) | (Self::Findings, false) => Self::Voltage,
            (Self::Voltage, true) | (Self::Tree, false) => Self::Findings,
            (Self::Findings, true) | (Self::Voltage, false) => Self::Tree,
        }
    }
}

/// The page, its part and the marked row.
#[derive(Debug, Clone, Default)]
pub struct State {
    pub page: Option<Power>,
    pub part: Part,
    pub at: usize,
}

impl State {
    pub fn set(&mut self, page: Power) {
        self.page = Some(page);
        self.at = self.at.min(self.len().saturating_sub(1));
    }

    /// Rows of the part that is shown.
    pub fn len(&self) -> usize {
        self.page.as_ref().map_or(0, |p| match self.part {
            Part::Tree => p.nodes.len(),
            Part::Voltage => p.strings.len(),
            Part::Findings => p.findings.len(),
        })
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}
