//! Will it light, evenly, without tripping, at the frame rate: the yard's facts put to the electrical formulas.
//!
//! `wiring` builds the real DC network of a season from supplies, boxes, ports, leads and props; `study` solves it and
//! gathers loads; `ends`, `zones`, `feeds`, `mains`, `running`, `start_up` and `signal` say what is wrong, each finding
//! with value, limit and remedy; `segments` and `numbers` lay universes and slots; `what_if` tries changes without
//! touching facts; `answer`, `page`, `tree`, `card`, `rehearsal` say it where it is wanted, in the words of the site.
//!
//! Not here: formulas (`calc`), drawing, facts changed but for the proposed numbers.

mod advice;
mod answer;
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
mod start_up;
mod study;
mod tree;
mod what_if;
mod wiring;
pub(in crate::app) mod words;
mod zones;

pub(in crate::app) use feeds::CONTINUOUS;
pub(in crate::app) use study::Study;
pub use what_if::WhatIf;

use super::owner::App;
use super::problem::Problem;
use super::view::{Finding, Level, NumberRow, SeasonEnergy, StartPhase};
use crate::calc::electrical::network::Network;
use crate::domain::{Numbering, Phase, Season};
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
    /// What the forecasts of coming sessions do to open steps.
    Weather,
}

/// What a check came to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Checked {
    pub findings: Vec<Finding>,
    /// One line a kind of thing that keeps something from being checked.
    pub not_told: Vec<String>,
    /// How boxes are switched on, circuit by circuit; empty where start-up currents are not told.
    pub start_up: Vec<StartPhase>,
    /// Universes and slots of every data lead, set or proposed.
    pub numbers: Vec<NumberRow>,
    /// What the season takes, where power was looked at and nights, hours and average level are told.
    pub energy: Option<SeasonEnergy>,
}

impl Checked {
    pub fn must_stop(&self) -> bool {
        self.findings.iter().any(|f| f.level == Level::Stop)
    }
}

impl App {
    /// Checks power, signal, stock, or all of them; with changes tried, as it would be then.
    ///
    /// # Errors
    /// `no-season` where there is none; what the trial names and is not there.
    pub fn check(&self, kinds: &[CheckKind], what_if: &WhatIf) -> Result<Checked, Problem> {
        let season = self.season_for(Phase::Up)?;
        let yard = what_if.yard(&self.yard, season)?;
        let facts = Facts::new(&yard);
        let study = self.study(&facts, season, what_if.level);
        Ok(self.checked(&facts, season, &study, kinds))
    }

    /// The season's DC network at the show's level limit.
    ///
    /// # Errors
    /// `no-season` where there is none.
    pub fn power_network(&self) -> Result<Network, Problem> {
        let season = self.season_for(Phase::Up)?;
        let level = self.level_limit().unwrap_or_else(|| Percent::new(100).unwrap_or_default());
        let fraction = crate::units::si::Fraction::new(level.fraction()).unwrap_or_default();
        Ok(wiring::wire(&self.facts(), season, fraction).network)
    }

    fn level_limit(&self) -> Option<Percent> {
        self.yard.sites.first().and_then(|s| s.level_limit_pct)
    }

    fn checked(&self, facts: &Facts, season: &Season, study: &Study, kinds: &[CheckKind]) -> Checked {
        self.checked_as(facts, season, study, kinds, season.numbering)
    }

    fn checked_as(
        &self,
        facts: &Facts,
        season: &Season,
        study: &Study,
        kinds: &[CheckKind],
        numbering: Option<Numbering>,
    ) -> Checked {
        let mut checked = Checked::default();
        if kinds.contains(&CheckKind::Power) {
            let words = self.yard.terms();
            checked.findings.extend(ends::look(self, facts, season));
            checked.findings.extend(feeds::look(facts, season, study));
            checked.not_told.extend(study.not_told.clone());
            checked.findings.extend(mains::look(self, facts, season, study, &mut checked.not_told));
            let (energy, found) = running::look(self, facts, season, &mut checked.not_told);
            checked.energy = energy;
            checked.findings.extend(found);
            let (phases, found) = start_up::look(facts, season, study, words, &mut checked.not_told);
            checked.start_up = phases;
            checked.findings.extend(found);
        }
        if kinds.contains(&CheckKind::Signal) {
            let signal = signal::look(self, facts, season, numbering);
            checked.findings.extend(signal.findings);
            checked.not_told.extend(signal.not_told);
            checked.numbers = signal.numbers;
        }
        if kinds.contains(&CheckKind::Stock) {
            let (findings, not_told) = self.stock_findings(facts, season);
            checked.findings.extend(findings);
            checked.not_told.extend(not_told);
        }
        if kinds.contains(&CheckKind::Wind) {
            let (findings, not_told) = super::outdoors::wind_findings(self, facts, season);
            checked.findings.extend(findings);
            checked.not_told.extend(not_told);
        }
        if kinds.contains(&CheckKind::Weather) {
            let (findings, not_told) = super::outdoors::weather_findings(self, facts, season);
            checked.findings.extend(findings);
            checked.not_told.extend(not_told);
        }
        checked.findings.sort_by(|a, b| (a.level, &a.place, &a.code).cmp(&(b.level, &b.place, &b.code)));
        // One lead that carries both dc and data is one thing to mend.
        checked.findings.dedup();
        checked
    }

    /// Solves the season's DC network at a level, else at the show's limit.
    pub(in crate::app) fn study(&self, facts: &Facts, season: &Season, level: Option<Percent>) -> Study {
        study::study(facts, season, level.or(self.level_limit()))
    }
}
