//! A list that can be searched: what is shown and which row is marked.

use super::action::Action;
use super::find::rank;

/// Rows shown, by their place in the page, and the marked one among them.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Listing {
    pub filter: String,
    pub shown: Vec<usize>,
    pub at: usize,
}

impl Listing {
    /// Shows the rows that match the filter; the mark stays on its row where it still shows.
    pub fn refill<'a>(&mut self, texts: impl Iterator<Item = &'a str> + Clone) {
        let kept = self.marked();
        self.shown = rank(&self.filter, texts);
        self.at = kept
            .and_then(|row| self.shown.iter().position(|n| *n == row))
            .unwrap_or(self.at)
            .min(self.shown.len().saturating_sub(1));
    }

    /// "3 of 26 match, " while the list is narrowed.
    pub fn narrowed(&self, all: usize) -> String {
        if self.filter.is_empty() { String::new() } else { format!("{} of {all} match, ", self.shown.len()) }
    }

    /// The marked row's place in the page.
    pub fn marked(&self) -> Option<usize> {
        self.shown.get(self.at).copied()
    }

    /// Marks the row at this place of the page.
    pub fn mark(&mut self, row: usize) {
        if let Some(at) = self.shown.iter().position(|n| *n == row) {
            self.at = at;
        }
    }

    /// Moves the mark; false where the action is no move.
    pub fn step(&mut self, action: Action) -> bool {
        match moved(self.at, self.shown.len(), action) {
            Some(at) => {
                self.at = at;
                true
            }
            None => false,
        }
    }
}

/// Where a move leads in a list of `len` rows; nothing where the action is no move.
pub fn moved(at: usize, len: usize, action: Action) -> Option<usize> {
    let last = len.saturating_sub(1);
    Some(match action {
        Action::MoveUp => at.saturating_sub(1),
        Action::MoveDown => (at + 1).min(last),
        Action::PageUp => at.saturating_sub(10),
        Action::PageDown => (at + 10).min(last),
        Action::GoFirst => 0,
        Action::GoLast => last,
        _ => return None,
    })
}

/// The part of a screen after the one that shows, or before it, around the end.
pub fn turned<T: Copy + PartialEq>(all: &[(T, &str)], here: T, on: bool) -> T {
    let at = all.iter().position(|(part, _)| *part == here).unwrap_or(0);
    let to = if on { at + 1 } else { at + all.len() - 1 } % all.len().max(1);
    all.get(to).map_or(here, |(part, _)| *part)
}
