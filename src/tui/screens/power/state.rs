//! Where one stands in Power.

use crate::answers::power::WhatIf;
use crate::answers::view::Power;
use crate::domain::Numbering;

/// The parts of Power.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Part {
    #[default]
    Tree,
    Voltage,
    Findings,
    Numbers,
    Tried,
}

impl Part {
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Tree, "Loads"),
        (Self::Voltage, "Voltage"),
        (Self::Findings, "Findings"),
        (Self::Numbers, "Numbers"),
        (Self::Tried, "What if"),
    ];

    #[must_use]
    pub const fn turned(self, on: bool) -> Self {
        match (self, on) {
            (Self::Tree, true) | (Self::Findings, false) => Self::Voltage,
            (Self::Voltage, true) | (Self::Numbers, false) => Self::Findings,
            (Self::Findings, true) | (Self::Tried, false) => Self::Numbers,
            (Self::Numbers, true) | (Self::Tree, false) => Self::Tried,
            (Self::Tried, true) | (Self::Voltage, false) => Self::Tree,
        }
    }
}

/// The page, its part and the marked row.
#[derive(Debug, Clone, Default)]
pub struct State {
    pub page: Option<Power>,
    pub part: Part,
    pub at: usize,
    /// What is tried without touching facts.
    pub what_if: WhatIf,
    /// How open numbers are proposed; nothing takes the season's way.
    pub numbering: Option<Numbering>,
}

impl State {
    pub fn set(&mut self, page: Power) {
        self.page = Some(page);
        self.at = self.at.min(self.len().saturating_sub(1));
    }

    /// Rows of the part that is shown.
    pub fn len(&self) -> usize {
        self.page.as_ref().map_or(0, |p| match self.part {
            Part::Tree => p.nodes.len(),
            Part::Voltage => p.strings.len(),
            Part::Findings => p.findings.len(),
            Part::Numbers => p.numbers.len(),
            Part::Tried => tried_lines(p).len(),
        })
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

/// What a trial changes: of what kind, where, before and after.
pub fn tried_lines(page: &Power) -> Vec<[String; 4]> {
    let Some(tried) = &page.tried else { return Vec::new() };
    let changes = |kind: &'static str, list: &[crate::answers::view::TriedChange]| -> Vec<[String; 4]> {
        list.iter().map(|c| [kind.to_owned(), c.name.clone(), c.before.clone(), c.after.clone()]).collect()
    };
    let findings = |kind: &'static str, list: &[crate::answers::view::Finding]| -> Vec<[String; 4]> {
        list.iter().map(|f| [kind.to_owned(), f.place.clone(), f.what.clone(), f.value.clone()]).collect()
    };
    [
        changes("lowest pixel", &tried.strings),
        changes("supply", &tried.supplies),
        findings("gone", &tried.gone),
        findings("new", &tried.come),
    ]
    .concat()
}
