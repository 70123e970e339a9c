//! Where one stands in Totes.

use crate::answers::view::{ToteRow, Totes};
use crate::tui::listing::Listing;

/// The containers and the marked one.
#[derive(Debug, Clone, Default)]
pub struct TotesState {
    pub page: Option<Totes>,
    pub list: Listing,
    /// The list was shown before: its mark stays on its row.
    pub listed: bool,
    /// Whether the map of shelves stands in place of the list.
    pub map: bool,
    /// The tote that labels are scanned into, until nothing is scanned.
    pub scanning: Option<String>,
}

impl TotesState {
    pub fn set(&mut self, page: Totes) {
        let counting = self.row().filter(|r| to_count(r)).map(|r| r.code.clone());
        self.page = Some(page);
        self.refill();
        // What is counted gives the mark to the next that is to be.
        if counting.is_some_and(|code| self.row().is_some_and(|r| r.code == code && !to_count(r))) {
            let rows = self.page.as_ref().map_or(&[][..], |p| p.rows.as_slice());
            let next = self.list.shown.iter().position(|n| rows.get(*n).is_some_and(to_count));
            self.list.at = next.unwrap_or(self.list.at);
        }
    }

    /// Shows the totes that match by name or by what lies in them.
    pub fn refill(&mut self) {
        let Some(page) = &self.page else { return };
        let text = |row: &ToteRow| {
            let inside: Vec<String> =
                row.contents.iter().map(|(code, name, now)| format!("{code} {name} {now}")).collect();
            let stands = format!("{} {} {}", row.kind, row.stands, row.goes_to);
            format!("{} {} {stands} {}", row.code, row.name, inside.join(" "))
        };
        let texts: Vec<String> = page.rows.iter().map(text).collect();
        self.list.refill(texts.iter().map(String::as_str));
        if self.list.filter.is_empty() {
            // What the time of the year asks for stands first.
            let kept = self.list.marked().filter(|_| self.listed);
            self.list.shown.sort_by_key(|n| page.rows.get(*n).is_none_or(|r| r.due.is_none()));
            self.list.at = kept.and_then(|k| self.list.shown.iter().position(|n| *n == k)).unwrap_or(0);
        }
        self.listed = true;
    }

    /// Marks a tote by its code.
    pub fn mark(&mut self, code: &str) {
        if let Some(at) = self.page.as_ref().and_then(|p| p.rows.iter().position(|r| r.code == code)) {
            self.list.mark(at);
        }
    }

    pub fn row(&self) -> Option<&ToteRow> {
        self.page.as_ref()?.rows.get(self.list.marked()?)
    }
}

fn to_count(row: &ToteRow) -> bool {
    row.due.as_ref().is_some_and(|due| due.starts_with("count"))
}
