//! Where one stands in Power.

use std::collections::BTreeSet;

use crate::answers::power::WhatIf;
use crate::answers::view::Power;
use crate::domain::Numbering;

/// The parts of Power.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Part {
    #[default]
    Findings,
    Tree,
    Voltage,
    Numbers,
    Tried,
}

impl Part {
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Findings, "Findings"),
        (Self::Tree, "Loads"),
        (Self::Voltage, "Voltage"),
        (Self::Numbers, "Numbers"),
        (Self::Tried, "What if"),
    ];
}

/// The page, its part and the marked row.
#[derive(Debug, Clone, Default)]
pub struct PowerState {
    pub page: Option<Power>,
    pub part: Part,
    pub at: usize,
    /// Rows of the tree whose parts are folded away.
    pub folded: BTreeSet<usize>,
    /// What is tried without touching facts.
    pub what_if: WhatIf,
    /// How open numbers are proposed; nothing takes the season's way.
    pub numbering: Option<Numbering>,
}

impl PowerState {
    /// Takes in a page: strings with the least left above their limit first.
    pub fn set(&mut self, mut page: Power) {
        page.strings.sort_by_key(|s| {
            let low = s.millivolts.iter().min().copied().unwrap_or(i64::MAX);
            s.limit_mv.map_or(i64::MAX, |limit| low.saturating_sub(limit))
        });
        page.findings.sort_by_key(|f| f.level);
        // What is to be written stands first.
        page.numbers.sort_by_key(|n| !n.proposed);
        let same = self.page.as_ref().is_some_and(|p| p.nodes.len() == page.nodes.len());
        if !same {
            self.folded.clear();
        }
        self.page = Some(page);
        self.at = self.at.min(self.rows().saturating_sub(1));
    }

    /// Rows of the part that is shown.
    pub fn rows(&self) -> usize {
        self.page.as_ref().map_or(0, |p| match self.part {
            Part::Tree => p.nodes.len(),
            Part::Voltage => p.strings.len(),
            Part::Findings => p.findings.len(),
            Part::Numbers => p.numbers.len(),
            Part::Tried => tried_lines(p).len(),
        })
    }

    /// The rows of the tree that are not folded away.
    pub fn shown(&self) -> Vec<usize> {
        let mut out = Vec::new();
        let mut under = None;
        for (n, node) in self.page.iter().flat_map(|p| p.nodes.iter().enumerate()) {
            if under.is_some_and(|depth| node.depth > depth) {
                continue;
            }
            under = self.folded.contains(&n).then_some(node.depth);
            out.push(n);
        }
        out
    }

    /// Whether something hangs on a row of the tree.
    pub fn has_below(&self, n: usize) -> bool {
        let depth = |n: usize| self.page.as_ref().and_then(|p| p.nodes.get(n)).map(|node| node.depth);
        depth(n + 1).zip(depth(n)).is_some_and(|(next, here)| next > here)
    }

    /// Folds the marked row, or what it hangs on; or opens it. False where nothing changes.
    pub fn fold(&mut self, away: bool) -> bool {
        if !away {
            return self.folded.remove(&self.at);
        }
        let Some(page) = &self.page else { return false };
        let depth = |n: usize| page.nodes.get(n).map_or(0, |node| node.depth);
        let bare = !self.has_below(self.at) || self.folded.contains(&self.at);
        let holder = (0..self.at).rev().find(|n| depth(*n) < depth(self.at));
        let Some(at) = (if bare { holder } else { Some(self.at) }) else { return false };
        self.at = at;
        self.folded.insert(at)
    }
}

/// What a trial changes: of what kind, where, before and after.
pub fn tried_lines(page: &Power) -> Vec<[String; 4]> {
    let Some(tried) = &page.tried else { return Vec::new() };
    let changes = |kind: &'static str, list: &[crate::answers::view::TriedChange]| -> Vec<[String; 4]> {
        list.iter()
            .map(|c| [kind.to_owned(), c.name.clone(), c.shown(&c.before), c.shown(&c.after)])
            .collect()
    };
    let findings = |kind: &'static str, list: &[crate::answers::view::Finding]| -> Vec<[String; 4]> {
        list.iter().map(|f| [kind.to_owned(), f.place.clone(), f.what.clone(), f.value.to_string()]).collect()
    };
    [
        changes("lowest pixel", &tried.strings),
        changes("supply", &tried.supplies),
        findings("gone", &tried.gone),
        findings("new", &tried.come),
    ]
    .concat()
}
