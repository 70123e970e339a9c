//! Where one stands in Yard.

use crate::answers::view::{YardMap, YardPlace};

/// What the map marks.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Marks {
    #[default]
    Progress,
    Faults,
    Load,
}

impl Marks {
    pub const fn word(self) -> &'static str {
        match self {
            Self::Progress => "progress",
            Self::Faults => "faults",
            Self::Load => "load",
        }
    }

    #[must_use]
    pub const fn next(self) -> Self {
        match self {
            Self::Progress => Self::Faults,
            Self::Faults => Self::Load,
            Self::Load => Self::Progress,
        }
    }
}

/// The map and the marked place.
#[derive(Debug, Clone, Default)]
pub struct YardState {
    pub page: Option<YardMap>,
    pub at: usize,
    pub marks: Marks,
}

impl YardState {
    /// Takes in a map; the mark goes with the place where the plan goes on, until it was put elsewhere.
    pub fn set(&mut self, page: YardMap) {
        if self.place().is_none_or(|p| p.first) {
            self.at = page.places.iter().position(|p| p.first).unwrap_or(0);
        }
        self.at = self.at.min(page.places.len().saturating_sub(1));
        self.page = Some(page);
    }

    pub fn places(&self) -> &[YardPlace] {
        self.page.as_ref().map(|p| p.places.as_slice()).unwrap_or_default()
    }

    pub fn place(&self) -> Option<&YardPlace> {
        self.places().get(self.at)
    }
}
