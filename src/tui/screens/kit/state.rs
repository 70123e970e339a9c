//! Where one stands in Kit.

use std::collections::BTreeSet;

use crate::answers::view::{Kit, KitDetail, KitKind, KitRow};
use crate::app::DetailOf;
use crate::tui::listing::Listing;

/// By what the rows are sorted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Sort {
    /// As the page has them: by kind.
    #[default]
    Kind,
    Code,
    Name,
    Place,
    State,
}

impl Sort {
    const ALL: [(Self, &'static str); 5] = [
        (Self::Kind, "kind"),
        (Self::Code, "code"),
        (Self::Name, "name"),
        (Self::Place, "place"),
        (Self::State, "state"),
    ];

    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(s, _)| *s == self).map_or("", |(_, w)| w)
    }

    #[must_use]
    pub fn next(self) -> Self {
        let at = Self::ALL.iter().position(|(s, _)| *s == self).unwrap_or(0);
        Self::ALL.get((at + 1) % Self::ALL.len()).map_or(self, |(s, _)| *s)
    }

    /// What is compared; codes with their numbers as numbers.
    fn key(self, row: &KitRow) -> Vec<Part> {
        match self {
            Self::Kind => Vec::new(),
            Self::Code => parts(&row.code),
            Self::Name => parts(&row.name),
            Self::Place => parts(&row.home),
            Self::State => parts(&row.state),
        }
    }
}

/// By what the rows stand together.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Group {
    #[default]
    Nothing,
    Kind,
    Place,
    State,
}

impl Group {
    pub const fn word(self) -> &'static str {
        match self {
            Self::Nothing => "nothing",
            Self::Kind => "kind",
            Self::Place => "place",
            Self::State => "state",
        }
    }

    #[must_use]
    pub const fn next(self) -> Self {
        match self {
            Self::Nothing => Self::Kind,
            Self::Kind => Self::Place,
            Self::Place => Self::State,
            Self::State => Self::Nothing,
        }
    }

    /// The heading a row stands under.
    pub fn head(self, row: &KitRow) -> Option<&str> {
        let text = match self {
            Self::Nothing => return None,
            Self::Kind => row.kind.said().1,
            Self::Place => row.home.as_str(),
            Self::State => row.state.as_str(),
        };
        Some(if text.is_empty() { "not told" } else { text })
    }
}

/// All that is owned and the marked row.
#[derive(Debug, Clone, Default)]
pub struct KitState {
    pub page: Option<Kit>,
    /// All about one row, the marked one as a rule.
    pub detail: Option<(DetailOf, KitDetail)>,
    pub list: Listing,
    pub sort: Sort,
    pub group: Group,
    /// One kind only.
    pub kind: Option<KitKind>,
    /// Headings whose rows are folded away: the first row stands for them.
    pub folded: BTreeSet<String>,
    /// How many rows match, folded ones too.
    pub matching: usize,
    /// What is searched in, a text a row, made once a page.
    pub texts: Vec<String>,
}

impl KitState {
    pub fn set(&mut self, page: Kit) {
        self.texts = page
            .rows
            .iter()
            .map(|r| format!("{} {} {} {} {} {}", r.code, r.name, r.sort, r.kind.said().0, r.home, r.state))
            .collect();
        let before = self.row().map(|r| (r.kind, r.code.clone()));
        self.page = Some(page);
        self.detail = None;
        self.refill();
        let rows = self.page.iter().flat_map(|p| p.rows.iter());
        let kept =
            before.and_then(|(kind, code)| rows.into_iter().position(|r| r.kind == kind && r.code == code));
        if let Some(row) = kept {
            self.list.mark(row);
        }
    }

    /// How many rows there are of a kind, or of all.
    pub fn count(&self, kind: Option<KitKind>) -> usize {
        let rows = self.page.iter().flat_map(|p| p.rows.iter());
        rows.filter(|r| kind.is_none_or(|k| r.kind == k)).count()
    }

    /// Shows what matches: best match first while searching, else in the chosen order; groups stay together.
    pub fn refill(&mut self) {
        let kept = self.list.marked();
        self.list.refill(self.texts.iter().map(String::as_str));
        let rows = self.page.as_ref().map(|p| p.rows.as_slice()).unwrap_or_default();
        let of = |n: &usize| rows.get(*n);
        if let Some(kind) = self.kind {
            self.list.shown.retain(|n| of(n).is_some_and(|r| r.kind == kind));
        }
        if self.list.filter.trim().is_empty() && self.sort != Sort::Kind {
            let sort = self.sort;
            self.list.shown.sort_by_cached_key(|n| of(n).map(|r| sort.key(r)));
        }
        let group = self.heads();
        if self.group != Group::Nothing {
            self.list.shown.sort_by_cached_key(|n| of(n).and_then(|r| group.head(r)).map(parts));
        }
        self.matching = self.list.shown.len();
        let folded = &self.folded;
        let mut before: Option<&str> = None;
        let mut stands = kept;
        self.list.shown.retain(|n| {
            let head = of(n).and_then(|r| group.head(r)).filter(|h| folded.contains(*h));
            let first = head.is_none() || head != before;
            // The mark goes to the row that stands for its group.
            if first {
                before = head;
            }
            first
        });
        if let Some(head) = kept.and_then(|n| group.head(rows.get(n)?)).filter(|h| folded.contains(*h)) {
            stands =
                self.list.shown.iter().copied().find(|n| of(n).and_then(|r| group.head(r)) == Some(head));
        }
        self.list.at = self.list.at.min(self.list.shown.len().saturating_sub(1));
        if let Some(row) = stands {
            self.list.mark(row);
        }
    }

    /// By what rows have headings: as grouped, and by kind while they stand by kind.
    pub fn heads(&self) -> Group {
        let by_kind =
            self.group == Group::Nothing && self.sort == Sort::Kind && self.list.filter.trim().is_empty();
        if by_kind { Group::Kind } else { self.group }
    }

    /// How many rows stand under a heading.
    pub fn in_group(&self, head: &str) -> usize {
        let rows = self.page.iter().flat_map(|p| p.rows.iter());
        rows.filter(|r| self.kind.is_none_or(|k| r.kind == k) && self.heads().head(r) == Some(head)).count()
    }

    /// Folds the group of the marked row, or opens it; false where nothing changes.
    pub fn fold(&mut self, away: bool) -> bool {
        let head = self.row().and_then(|r| self.heads().head(r)).map(str::to_owned);
        let changed = head.is_some_and(|h| if away { self.folded.insert(h) } else { self.folded.remove(&h) });
        if changed {
            self.refill();
        }
        changed
    }

    /// What is asked for all about a row.
    pub const fn detail_of(row: &KitRow) -> DetailOf {
        DetailOf::Kit(row.kind, row.id)
    }

    /// All about the marked row, once it is there.
    pub fn detail(&self) -> Option<&KitDetail> {
        let row = self.row()?;
        self.detail.as_ref().filter(|(of, _)| *of == Self::detail_of(row)).map(|(_, detail)| detail)
    }

    /// The marked row.
    pub fn row(&self) -> Option<&KitRow> {
        self.page.as_ref()?.rows.get(self.list.marked()?)
    }
}

/// A stretch of a text to sort by.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    Number(u64),
    Letters(String),
}

/// Letters without case and numbers as numbers, so that L-9 comes before L-10.
fn parts(text: &str) -> Vec<Part> {
    let mut out: Vec<Part> = Vec::new();
    for c in text.chars() {
        match (c.to_digit(10), out.last_mut()) {
            (Some(d), Some(Part::Number(n))) => *n = n.saturating_mul(10).saturating_add(u64::from(d)),
            (Some(d), _) => out.push(Part::Number(u64::from(d))),
            (None, Some(Part::Letters(l))) => l.extend(c.to_lowercase()),
            (None, _) => out.push(Part::Letters(c.to_lowercase().collect())),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_codes_are_numbers() {
        let mut codes = ["L-10", "l-9", "L-100", "A-2"];
        codes.sort_by_key(|c| parts(c));
        assert_eq!(codes, ["A-2", "l-9", "L-10", "L-100"]);
    }
}
