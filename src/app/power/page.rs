//! The Power screen's page: the tree with loads, voltages along strings, findings.

use super::feeds::lowest;
use super::tree::tree;
use super::what_if::compare;
use super::{CheckKind, WhatIf};
use crate::app::owner::App;
use crate::app::problem::Problem;
use crate::app::view::{Power, StringVoltage};
use crate::domain::{LimitIn, Numbering};
use crate::steps::Facts;

/// Whole millivolts.
pub(super) fn millivolts(v: f64) -> i64 {
    (v * 1000.0).round() as i64
}

impl App {
    /// The page of the season that is on, with changes tried and open numbers proposed in a way; only what is told
    /// where there is no season.
    ///
    /// # Errors
    /// What the trial names and is not there.
    pub fn power_page(&self, what_if: &WhatIf, way: Option<Numbering>) -> Result<Power, Problem> {
        let Ok(season) = self.season_for(crate::domain::Phase::Up) else {
            return Ok(Power {
                not_told: self.not_told(None),
                level: "no season".to_owned(),
                ..Power::default()
            });
        };
        let yard = what_if.yard(&self.yard, season)?;
        let facts = Facts::new(&yard);
        let study = self.study(&facts, season, what_if.level);
        let strings = study
            .strings()
            .iter()
            .filter(|s| s.volts.len() > 1)
            .map(|s| {
                let placement = facts.placement(s.placement);
                StringVoltage {
                    name: placement.map_or_else(String::new, |p| p.name.clone()),
                    code: placement.map_or_else(String::new, |p| p.code.clone()),
                    millivolts: s.volts.iter().map(|v| millivolts(*v)).collect(),
                    limit_mv: lowest(&facts, s.placement).map(millivolts),
                    feeds: s.feeds.iter().map(|f| (*f as usize).saturating_sub(1)).collect(),
                }
            })
            .collect();
        let way = way.or(season.numbering);
        let kinds = [CheckKind::Power, CheckKind::Signal];
        let checked = self.checked_as(&facts, season, &study, &kinds, way);
        let tried = (!what_if.is_empty()).then(|| {
            let was = self.facts();
            let study_was = self.study(&was, season, None);
            let checked_was = self.checked_as(&was, season, &study_was, &kinds, way);
            compare(what_if, (&was, &study_was, &checked_was), (&facts, &study, &checked))
        });
        Ok(Power {
            nodes: tree(&facts, season, &study, &checked.start_up),
            findings: checked.findings,
            not_told: checked.not_told,
            strings,
            level: [Some(self.level_words()), study.sums()]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join("; "),
            numbers: checked.numbers,
            numbering: way,
            start_up: checked.start_up,
            tried,
        })
    }

    fn level_words(&self) -> String {
        let site = self.yard.sites.first();
        site.and_then(|s| s.level_limit_pct).map(crate::units::Percent::get).map_or_else(
            || "level limit not told: full white".to_owned(),
            |l| match site.and_then(|s| s.level_limit_in) {
                Some(how) => format!(
                    "level {l} %, {}",
                    match how {
                        LimitIn::Hardware => "held by hardware",
                        LimitIn::Software => "set in software only",
                    }
                ),
                None => format!("level {l} %, where it is set not told"),
            },
        )
    }
}
