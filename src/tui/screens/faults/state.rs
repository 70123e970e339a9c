//! Where one stands in Faults.

use crate::answers::view::{Aim, FaultDetail, FaultRow, Faults};
use crate::app::DetailOf;
use crate::tui::listing::Listing;

/// The faults and the marked one.
#[derive(Debug, Clone, Default)]
pub struct FaultsState {
    pub page: Option<Faults>,
    /// All about one fault, the marked one as a rule.
    pub detail: Option<(DetailOf, FaultDetail)>,
    pub list: Listing,
    /// Only what waits on the bench.
    pub bench: bool,
    /// The fault to mark once its page is there.
    pub want: Option<String>,
}

impl FaultsState {
    pub fn set(&mut self, page: Faults) {
        let before = self.want.take().or_else(|| self.row().map(|r| r.code.clone()));
        let kept = before.and_then(|code| page.rows.iter().position(|r| r.code == code));
        self.page = Some(page);
        self.detail = None;
        self.refill();
        // A new fault above must not move the mark to another one.
        if let Some(row) = kept {
            self.list.mark(row);
        }
    }

    /// Shows what matches; on the bench list only what waits there.
    pub fn refill(&mut self) {
        let Some(page) = &self.page else { return };
        let texts: Vec<String> =
            page.rows.iter().map(|r| format!("{} {} {} {}", r.code, r.target, r.symptom, r.state)).collect();
        self.list.refill(texts.iter().map(String::as_str));
        if self.bench {
            let kept = self.list.marked();
            self.list.shown.retain(|n| page.rows.get(*n).is_some_and(|r| r.bench));
            self.list.at = kept.and_then(|k| self.list.shown.iter().position(|n| *n == k)).unwrap_or(0);
        }
    }

    /// Marks a fault, or the first one.
    pub fn aim(&mut self, aim: &Aim) {
        (self.bench, self.list) = (false, Listing::default());
        self.refill();
        if let (Aim::Fault(code), Some(page)) = (aim, &self.page)
            && let Some(row) = page.rows.iter().position(|r| r.code == *code)
        {
            self.list.mark(row);
        }
    }

    /// What is asked for all about a row.
    pub const fn detail_of(row: &FaultRow) -> DetailOf {
        DetailOf::Fault(row.id)
    }

    /// All about the marked fault, once it is there.
    pub fn detail(&self) -> Option<&FaultDetail> {
        let row = self.row()?;
        self.detail.as_ref().filter(|(of, _)| *of == Self::detail_of(row)).map(|(_, detail)| detail)
    }

    /// The marked fault.
    pub fn row(&self) -> Option<&FaultRow> {
        self.page.as_ref()?.rows.get(self.list.marked()?)
    }
}
