//! Where one stands in Seasons.

use crate::answers::view::{Aim, SeasonRow, Seasons};

/// The parts of Seasons.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Part {
    #[default]
    Years,
    Dates,
    Durations,
    Rates,
    Record,
}

impl Part {
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Years, "Seasons"),
        (Self::Dates, "Dates"),
        (Self::Durations, "Planned and taken"),
        (Self::Rates, "Failures"),
        (Self::Record, "What the record says"),
    ];
}

/// The page, its part and the marked row.
#[derive(Debug, Clone, Default)]
pub struct SeasonsState {
    pub page: Option<Seasons>,
    pub part: Part,
    pub at: usize,
}

impl SeasonsState {
    /// Takes in a page; the first one marks the season that the year asks about: to close, lit, or the next one.
    pub fn set(&mut self, page: Seasons) {
        if self.page.is_none() {
            // The rows begin with the latest.
            let last = |state: &str| page.rows.iter().position(|r| r.state == state);
            let next = || page.rows.iter().rposition(|r| r.state == "planned");
            self.at = last("to close").or_else(|| last("lit")).or_else(next).unwrap_or(0);
        }
        self.page = Some(page);
        self.at = self.at.min(self.len().saturating_sub(1));
    }

    /// Marks the season of a code.
    pub fn aim(&mut self, aim: &Aim) {
        self.part = Part::Years;
        if let (Aim::Row(code), Some(page)) = (aim, &self.page) {
            self.at = page.rows.iter().position(|r| r.code == *code).unwrap_or(self.at);
        }
    }

    /// The row that is marked where a part is come to: of the dates the next one.
    pub fn first(&self) -> usize {
        let dates = self.page.as_ref().filter(|_| self.part == Part::Dates).map(|p| &p.dates.rows);
        dates.and_then(|rows| rows.iter().position(|r| !r.past)).unwrap_or(0)
    }

    pub fn len(&self) -> usize {
        self.page.as_ref().map_or(0, |p| match self.part {
            Part::Years => p.rows.len(),
            Part::Dates => p.dates.rows.len(),
            Part::Durations => p.durations.len(),
            Part::Rates => p.bars.len(),
            Part::Record => p.findings.len(),
        })
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    pub fn row(&self) -> Option<&SeasonRow> {
        self.page.as_ref()?.rows.get(self.at).filter(|_| self.part == Part::Years)
    }
}
