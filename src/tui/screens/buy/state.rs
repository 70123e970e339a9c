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
}

/// The page, its part, the marked need and the first line of the other parts.
#[derive(Debug, Clone, Default)]
pub struct BuyState {
    pub page: Option<Buy>,
    pub part: Part,
    pub list: Listing,
    pub top: usize,
    /// What is tried without touching facts.
    pub choice: BuyChoice,
}

impl BuyState {
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
