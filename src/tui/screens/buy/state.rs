//! Where one stands in Buy.

use crate::answers::view::Buy;
use crate::app::BuyChoice;
use crate::tui::listing::Listing;

/// The four parts of Buy.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Part {
    #[default]
    Needs,
    Baskets,
    Calendar,
    /// What a trial changes.
    Tried,
}

impl Part {
    pub const ALL: [(Self, &'static str); 4] = [
        (Self::Needs, "Needs"),
        (Self::Baskets, "Baskets"),
        (Self::Calendar, "Order by"),
        (Self::Tried, "What if"),
    ];

    /// The part before or after, around the end.
    #[must_use]
    pub const fn turned(self, on: bool) -> Self {
        match (self, on) {
            (Self::Needs, true) | (Self::Calendar, false) => Self::Baskets,
            (Self::Baskets, true) | (Self::Tried, false) => Self::Calendar,
            (Self::Calendar, true) | (Self::Needs, false) => Self::Tried,
            (Self::Tried, true) | (Self::Baskets, false) => Self::Needs,
        }
    }
}

/// The page, its part, the marked need and the first line of the other parts.
#[derive(Debug, Clone, Default)]
pub struct State {
    pub page: Option<Buy>,
    pub part: Part,
    pub list: Listing,
    pub top: usize,
    /// What is tried without touching facts.
    pub choice: BuyChoice,
}

impl State {
    pub fn set(&mut self, page: Buy) {
        self.page = Some(page);
        self.refill();
    }

    pub fn refill(&mut self) {
        let Some(page) = &self.page else { return };
        let texts: Vec<String> =
            page.needs.iter().map(|n| format!("{} {}", n.title, n.reasons.join(" "))).collect();
        self.list.refill(texts.iter().map(String::as_str));
    }
}
