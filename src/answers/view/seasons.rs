//! The Seasons screen: past seasons, planned against taken, and the dates to come.

use chrono::{NaiveDate, NaiveTime};

use crate::units::Money;

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Seasons {
    pub rows: Vec<SeasonRow>,
    /// Planned against taken by recipe step: name, planned minutes, taken minutes, times done.
    pub durations: Vec<(String, i64, i64, usize)>,
    /// What the record says, one sentence each.
    pub findings: Vec<String>,
    /// Shares of unit-seasons that failed, by what they are grouped by, worst first.
    pub bars: Vec<RecordBar>,
    pub dates: Dates,
}

/// The dates of all shows that are not over, the first first, and what contradicts itself.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Dates {
    pub rows: Vec<DateRow>,
    pub conflicts: Vec<DateConflict>,
    /// What keeps something from being compared.
    pub not_told: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DateRow {
    pub day: NaiveDate,
    pub time: Option<NaiveTime>,
    /// The season's code, and the name of its show.
    pub season: String,
    pub show: String,
    /// The season's column, or a duty's code.
    pub what: String,
    pub title: String,
    pub past: bool,
}

/// Dates or pieces of shows that can't all hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DateConflict {
    pub code: &'static str,
    /// Codes of one season or two.
    pub seasons: Vec<String>,
    pub what: String,
    pub remedy: String,
    pub pieces: Vec<String>,
}

impl DateRow {
    /// "Fri 27 Nov 2026 17:00".
    pub fn on(&self) -> String {
        let time = self.time.map_or_else(String::new, |t| t.format(" %H:%M").to_string());
        format!("{}{time}", self.day.format("%a %-d %b %Y"))
    }
}

/// A share with its interval, in thousandths.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordBar {
    /// "kind", "product", "batch", "IP class", "method", "place": failed unit-seasons; "seasons of use": the share
    /// without a failure; "week", "weather": faults counted.
    pub by: &'static str,
    pub name: String,
    pub lower: u16,
    pub estimate: u16,
    pub upper: u16,
    /// "9 of 12".
    pub text: String,
    /// The share drawn towards the usual one, where the sample is small enough to matter.
    pub drawn: Option<u16>,
    /// The drawn share and the rate per thousand pixel-hours, in words.
    pub note: String,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeasonRow {
    pub code: String,
    pub name: String,
    pub lit: String,
    /// "38 nights of 4 h 30, 171 h"; nothing where they are not told.
    pub hours: Option<String>,
    /// Still open once its lights are off: takedown, faults, counts, orders.
    pub open: Vec<String>,
    pub placements: usize,
    pub steps_done: usize,
    pub planned_min: i64,
    pub taken_min: i64,
    /// Paid for the whole yard in the year up to its lights off, where a price is told.
    pub spent: Option<Money>,
    pub currency: String,
    pub faults: usize,
    /// "closed", "lit", "to close", "planned".
    pub state: String,
    /// What was done differently and is not decided on.
    pub differences: Vec<String>,
}
