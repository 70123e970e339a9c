//! Will it light, evenly, without tripping, at the frame rate: the yard's facts put to the electrical formulas.
//!
//! `wiring` builds the real DC network of a season from supplies, boxes, ports, leads and props; `study` solves it and
//! gathers loads; `ends`, `feeds`, `mains`, `running` and `signal` say what is wrong, each finding with value, limit and
//! remedy; `segments` and `numbers` lay universes and slots; `page`, `card`, `rehearsal` say it where it is wanted.
//!
//! Not here: formulas (`calc`), drawing, facts changed.

mod advice;
mod card;
mod ends;
mod feeds;
mod mains;
mod numbers;
mod page;
pub(in crate::app) mod rehearsal;
mod running;
mod segments;
mod signal;
mod study;
mod wiring;

pub(in crate::app) use study::Study;

use super::answers::Form;
use super::owner::App;
use super::problem::{Problem, ProblemKind};
use super::view::{Finding, Level};
use crate::domain::{Phase, Season};
use crate::exchange::json::{FindingDoc, FindingsDoc, text};
use crate::steps::Facts;
use crate::units::Percent;

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CheckKind {
    Power,
    Signal,
    /// What the plan needs against what is usable.
    Stock,
    /// What stands in the wind, and from which gust it is lowered.
    Wind,
}

/// Things tried without touching facts.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct WhatIf {
    /// Another level than the show's limit.
    pub level: Option<Percent>,
}

/// What a check came to.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Checked {
    pub findings: Vec<Finding>,
    /// One line a kind of thing that keeps something from being checked.
    pub not_told: Vec<String>,
}

impl Checked {
    pub fn must_stop(&self) -> bool {
        self.findings.iter().any(|f| f.level == Level::Stop)
    }
}

impl App {
    /// Checks power, signal, stock, or all of them.
    ///
    /// # Errors
    /// `no-season` where there is none.
    pub fn check(&self, kinds: &[CheckKind], what_if: WhatIf) -> Result<Checked, Problem> {
        let season = self.season_for(Phase::Up)?;
        let facts = Facts::new(&self.yard);
        let mut checked = Checked::default();
        if kinds.contains(&CheckKind::Power) {
            let study = self.study(&facts, season, what_if);
            checked.findings.extend(ends::look(self, &facts, season));
            checked.findings.extend(feeds::look(&facts, season, &study));
            checked.not_told.extend(study.not_told.clone());
            checked.findings.extend(mains::look(self, &facts, season, &study, &mut checked.not_told));
            checked.findings.extend(running::look(self, &facts, season, &mut checked.not_told));
        }
        if kinds.contains(&CheckKind::Signal) {
            let (findings, not_told) = signal::look(self, &facts, season);
            checked.findings.extend(findings);
            checked.not_told.extend(not_told);
        }
        if kinds.contains(&CheckKind::Stock) {
            let (findings, not_told) = self.stock_findings(&facts, season);
            checked.findings.extend(findings);
            checked.not_told.extend(not_told);
        }
        if kinds.contains(&CheckKind::Wind) {
            let (findings, not_told) = super::outdoors::wind_findings(self, &facts, season);
            checked.findings.extend(findings);
            checked.not_told.extend(not_told);
        }
        checked.findings.sort_by(|a, b| (a.level, &a.place, &a.code).cmp(&(b.level, &b.place, &b.code)));
        // One lead that carries both dc and data is one thing to mend.
        checked.findings.dedup();
        Ok(checked)
    }

    /// Solves the season's DC network at the show's level limit, or at another.
    pub(in crate::app) fn study(&self, facts: &Facts, season: &Season, what_if: WhatIf) -> Study {
        let site = self.yard.sites.first();
        let told = site.and_then(|s| s.level_limit_pct);
        let level = what_if.level.or(told);
        study::study(facts, season, level)
    }

    /// The answer of `check`.
    ///
    /// # Errors
    /// As [`App::check`].
    pub fn check_answer(
        &self,
        kinds: &[CheckKind],
        what_if: WhatIf,
        form: Form,
    ) -> Result<(bool, String), Problem> {
        use std::fmt::Write as _;
        let checked = self.check(kinds, what_if)?;
        let fine = !checked.must_stop();
        let words = |l: Level| match l {
            Level::Stop => "stop",
            Level::Mend => "mend",
            Level::Note => "note",
        };
        if form == Form::Json {
            let findings = checked
                .findings
                .into_iter()
                .map(|f| FindingDoc {
                    severity: words(f.level).to_owned(),
                    code: f.code,
                    place: f.place,
                    what: f.what,
                    value: f.value,
                    limit: f.limit,
                    remedy: f.remedy,
                    caution: f.caution,
                })
                .collect();
            return Ok((fine, text(&FindingsDoc { findings, not_told: checked.not_told })));
        }
        let mut out = String::new();
        for f in &checked.findings {
            let _ = writeln!(
                out,
                "{:<4} {}: {} ({}; limit {}) [{}]",
                words(f.level),
                f.place,
                f.what,
                f.value,
                f.limit,
                f.code
            );
            let _ = writeln!(out, "       {}", f.remedy);
            if let Some(c) = &f.caution {
                let _ = writeln!(out, "       ! {c}");
            }
        }
        if checked.findings.is_empty() {
            out.push_str("nothing found in what could be checked\n");
        }
        for line in &checked.not_told {
            let _ = writeln!(out, "not known: {line}");
        }
        Ok((fine, out))
    }

    /// A card for each box lid, as text or HTML.
    ///
    /// # Errors
    /// `no-season`; `no-box` where no box is told.
    pub fn wiring_cards(&self, html: bool) -> Result<String, Problem> {
        let season = self.season_for(Phase::Up)?;
        let cards = card::cards(self, &Facts::new(&self.yard), season);
        if cards.is_empty() {
            return Err(Problem::new(ProblemKind::Data, "no-box", "no box with a lead from it is told")
                .hint("tell them in link.csv: from_piece, from_port, to_placement"));
        }
        Ok(if html {
            crate::exchange::print::cards_html(&cards)
        } else {
            crate::exchange::print::cards_text(&cards)
        })
    }
}
