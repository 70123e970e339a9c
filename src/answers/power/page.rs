//! The Power screen's page: the tree with loads, voltages along strings, findings.

use std::sync::Arc;

use crate::answers::Outlook;
use crate::answers::power::called::Called;
use crate::answers::power::feeds::lowest;
use crate::answers::power::tree::tree;
use crate::answers::power::what_if::compare;
use crate::answers::power::{CheckKind, WhatIf, checked_as, study};
use crate::answers::problem::Problem;
use crate::answers::untold::not_told;
use crate::answers::view::{Power, StringVoltage};
use crate::domain::{LimitIn, Numbering, Season};
use crate::steps::Facts;

/// Whole millivolts.
pub(crate) fn millivolts(v: f64) -> i64 {
    (v * 1000.0).round() as i64
}

/// The page of the season that is on, with changes tried and open numbers proposed in a way; only what is told
/// where there is no season.
///
/// # Errors
/// What the trial names and is not there.
pub fn power_page(outlook: &Outlook, what_if: &WhatIf, way: Option<Numbering>) -> Result<Power, Problem> {
    let Ok(season) = outlook.season_for(crate::domain::Phase::Up) else {
        return Ok(Power {
            not_told: not_told(outlook, None),
            level: "no season".to_owned(),
            ..Power::default()
        });
    };
    if what_if.is_empty() {
        Ok(Power::clone(&*as_told(outlook, season, way)?))
    } else {
        made(outlook, season, what_if, way)
    }
}

/// The page of the facts as they are. Nothing that is ticked changes it, and it takes long to work out.
pub(crate) fn as_told(
    outlook: &Outlook,
    season: &Season,
    way: Option<Numbering>,
) -> Result<Arc<Power>, Problem> {
    let make = || made(outlook, season, &WhatIf::default(), way).map(Arc::new);
    outlook.remembered.power.get_or_try((season.id, way.map(Numbering::as_str)), make, |read| read)
}

fn made(
    outlook: &Outlook,
    season: &Season,
    what_if: &WhatIf,
    way: Option<Numbering>,
) -> Result<Power, Problem> {
    let yard = what_if.yard(outlook.yard, season)?;
    let unchanged = WhatIf::default().yard(outlook.yard, season)?;
    let facts = Facts::new(&yard);
    let studied = study(outlook, &facts, season, what_if.level);
    let strings = studied
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
    let checked = checked_as(outlook, &facts, season, &studied, &kinds, way);
    let tried = (!what_if.is_empty()).then(|| {
        let was = Facts::new(&unchanged);
        let study_was = study(outlook, &was, season, None);
        let checked_was = checked_as(outlook, &was, season, &study_was, &kinds, way);
        compare(what_if, (&was, &study_was, &checked_was), (&facts, &studied, &checked))
    });
    let mut page = Power {
        nodes: tree(&facts, season, &studied, &checked.start_up),
        findings: checked.findings,
        not_told: checked.not_told,
        strings,
        level: [Some(level_words(outlook)), studied.sums(&facts)]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join("; "),
        numbers: checked.numbers,
        numbering: way,
        start_up: checked.start_up,
        tried,
    };
    Called::of(&facts, season).page(&mut page);
    Ok(page)
}

fn level_words(outlook: &Outlook) -> String {
    let site = outlook.yard.sites.first();
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
