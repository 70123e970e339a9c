//! Sheets for paper and for a calendar program, before they are written in a format.

use chrono::{DateTime, NaiveDate, Utc};

/// One step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChecklistLine {
    /// By which it is ticked from paper; it belongs to this sheet alone.
    pub number: usize,
    /// Its key, by ids.
    pub key: String,
    /// "09:40", or its number where no dates are told.
    pub when: String,
    pub title: String,
    /// "0 of 8", empty for a single deed.
    pub count: String,
    /// How many pieces it is over; nothing for a single deed.
    pub of: Option<i64>,
    pub minutes: String,
    pub people: Vec<String>,
    /// Ladder, tools.
    pub with: String,
    /// Names of its cautions; the first step of a session that needs one has its words, too.
    pub cautions: Vec<(String, Option<String>)>,
    /// Notes such as what goes into which port.
    pub notes: Vec<String>,
}

/// Steps at one place, in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChecklistGroup {
    /// The session; empty where no dates are told or it is that of the group before.
    pub session: String,
    pub place: String,
    pub lines: Vec<ChecklistLine>,
}

/// A whole checklist.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChecklistSheet {
    /// Under which its numbers are kept; empty where they are not.
    pub code: String,
    pub title: String,
    /// Dates, sums, what was assumed and not told.
    pub head: Vec<String>,
    pub groups: Vec<ChecklistGroup>,
    /// Steps without a place in the plan, with why and what helps.
    pub unplaced: Vec<String>,
    /// Name and source of every caution used.
    pub sources: Vec<(String, String)>,
}

impl ChecklistSheet {
    pub fn lines(&self) -> impl Iterator<Item = &ChecklistLine> {
        self.groups.iter().flat_map(|g| &g.lines)
    }
}

/// What of a checklist is wanted: all where nothing is named. Codes or names.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Pick {
    pub session: Option<String>,
    pub person: Option<String>,
    pub place: Option<String>,
}

/// One thing at one vendor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShoppingLine {
    /// "2 packs of 5".
    pub count: String,
    pub item: String,
    pub price: String,
    /// The day of the price, in words; empty where it is not told.
    pub priced: String,
    /// Why it is bought.
    pub reasons: Vec<String>,
}

/// One vendor's basket.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShoppingVendor {
    pub vendor: String,
    /// "order by Mon 3 Aug 2026", with "LATE" where that is past.
    pub order_by: String,
    pub lines: Vec<ShoppingLine>,
    /// Goods, shipping, total.
    pub sums: String,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShoppingSheet {
    pub title: String,
    pub vendors: Vec<ShoppingVendor>,
    /// What no basket holds, with why.
    pub unmet: Vec<String>,
    pub total: String,
}

/// One port's lead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CardLine {
    /// The lead's row.
    pub link: crate::domain::LinkId,
    /// Its tag.
    pub lead: String,
    /// It was done differently since the card was made; then `was` has what stood there, where that is known.
    pub changed: bool,
    pub was: Option<String>,
    pub port: String,
    /// `dc` or `data`.
    pub kind: String,
    pub prop: String,
    /// Empty where not told, like all that follow.
    pub pixels: String,
    /// The pixel at which it enters.
    pub at: String,
    pub universe: String,
    pub slot: String,
    /// Multicast group of its universe, or the first and the last of several.
    pub group: String,
    /// As told, or as proposed.
    pub fuse: String,
    pub wire: String,
    pub colour: String,
}

/// One box.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoxCard {
    pub title: String,
    pub address: String,
    /// Something was done differently since the card was printed.
    pub stale: bool,
    /// When it is switched on among the boxes of its circuit; empty where that is all the same or not known.
    pub start: String,
    pub lines: Vec<CardLine>,
}

/// When something is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// A whole day.
    Day(NaiveDate),
    /// From, to, in UTC.
    Span(DateTime<Utc>, DateTime<Utc>),
}

/// One entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// Stays the same as long as it is the same event, so that a calendar replaces it.
    pub uid: String,
    pub when: When,
    pub title: String,
    pub note: String,
    /// It is told the morning before.
    pub alarm: bool,
}
