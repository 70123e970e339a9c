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
    /// Takes in a map; the mark goes with the place to which the plan comes first, until it was put elsewhere.
    pub fn set(&mut self, page: YardMap) {
        let follows =
            |p: &YardPlace| self.page.as_ref().is_some_and(|map| map.soonest.as_ref() == Some(&p.code));
        if self.place().is_none_or(|p| p.first || follows(p)) {
            let first = page.places.iter().position(|p| p.first);
            let soonest = || page.places.iter().position(|p| Some(&p.code) == page.soonest.as_ref());
            self.at = first.or_else(soonest).unwrap_or(0);
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
