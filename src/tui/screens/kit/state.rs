//! Where one stands in Kit.

use crate::app::view::{Kit, KitKind, KitRow};
use crate::tui::listing::Listing;

/// All that is owned and the marked row.
#[derive(Debug, Clone, Default)]
pub struct State {
    pub page: Option<Kit>,
    pub list: Listing,
    /// What is searched in, a text a row, made once a page.
    pub texts: Vec<String>,
}

impl State {
    pub fn set(&mut self, page: Kit) {
        self.texts = page
            .rows
            .iter()
            .map(|r| format!("{} {} {} {} {} {}", r.code, r.name, r.sort, r.kind.word(), r.home, r.state))
            .collect();
        let before = self.row().map(|r| (r.kind, r.code.clone()));
        self.page = Some(page);
        self.refill();
        let rows = self.page.iter().flat_map(|p| p.rows.iter());
        let kept =
            before.and_then(|(kind, code)| rows.into_iter().position(|r| r.kind == kind && r.code == code));
        if let Some(row) = kept {
            self.list.mark(row);
        }
    }

    /// The row of a code.
    pub fn find(&self, kind: KitKind, code: &str) -> Option<&KitRow> {
        self.page.as_ref()?.rows.iter().find(|r| r.kind == kind && r.code == code)
    }

    pub fn refill(&mut self) {
        self.list.refill(self.texts.iter().map(String::as_str));
    }

    /// The marked row.
    pub fn row(&self) -> Option<&KitRow> {
        self.page.as_ref()?.rows.get(self.list.marked()?)
    }
}
