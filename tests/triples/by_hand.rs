//! Yards a little inside and outside a limit, told in many ways, and with a fact left out: `by_hand.toml`, `tiny.toml`.

use std::collections::BTreeMap;

use ladderday::answers::view::{Finding, Level};
use regex::Regex;
use serde::Deserialize;

use super::{Told, kinds, try_texts, yard::checked_at};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    site: String,
    season: String,
    case: Vec<Case>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    limit: String,
    checks: Vec<String>,
    /// Of the finding outside the limit, as a pattern.
    code: String,
    /// Of the line that says what is missing.
    not_told: String,
    /// How the limit was worked out; its rule stands in the table of that limit beside this file.
    #[serde(default)]
    #[allow(dead_code, reason = "for people")]
    source: String,
    /// What the place or the words of that finding must name, as a pattern.
    #[serde(default)]
    subject: String,
    /// Only findings of these count.
    #[serde(default)]
    severity: Vec<String>,
    /// With the shipped recipes or without, where that does not follow from what is checked.
    recipes: Option<bool>,
    /// The clock, where it is another than that of the others.
    now: Option<String>,
    /// A note is as much as is said of it.
    #[serde(default)]
    notes: bool,
    /// Outside the limit the tables themselves refuse it.
    #[serde(default)]
    refused: bool,
    same: Told,
    inside: Told,
    outside: Told,
    blank: Told,
}

fn look(file: &File, case: &Case, own: &Told) -> Option<ladderday::answers::power::Checked> {
    let mut tables: BTreeMap<String, String> = BTreeMap::new();
    for (name, text) in [("site", &file.site), ("season", &file.season)] {
        tables.insert(name.to_owned(), text.clone());
    }
    tables.extend(case.same.clone());
    tables.extend(own.clone());
    let steps = case.checks.iter().any(|c| c != "power" && c != "signal");
    let recipes = case.recipes.unwrap_or(steps);
    let yard = try_texts(&tables, recipes).ok()?;
    let now = case.now.as_deref().unwrap_or("2026-09-01T12:00");
    Some(checked_at(&yard, &kinds(&case.checks), now))
}

/// What is wrong with the three verdicts of a case.
fn wrong(file: &File, case: &Case, loose: bool) -> Vec<String> {
    let whole = |text: &str| Regex::new(&format!("^(?:{text})$")).unwrap();
    let (code, line) = (whole(&case.code), Regex::new(&case.not_told).unwrap());
    let subject = Regex::new(&case.subject).unwrap();
    let grave = |f: &Finding| match case.severity.as_slice() {
        [] => loose || case.notes || f.level != Level::Note,
        some => some.iter().any(|s| format!("{:?}", f.level).eq_ignore_ascii_case(s)),
    };
    let hit = |f: &&Finding| {
        grave(f) && code.is_match(&f.code) && subject.is_match(&format!("{} {}", f.place, f.what))
    };
    let all = |list: &[Finding]| {
        list.iter().map(|f| format!("{:?} {} {}: {}", f.level, f.code, f.place, f.what)).collect::<Vec<_>>()
    };
    let mut wrong = Vec::new();
    match look(file, case, &case.inside) {
        None => wrong.push("inside is refused".to_owned()),
        Some(inside) => {
            let hits: Vec<Finding> = inside.findings.iter().filter(hit).cloned().collect();
            if !hits.is_empty() {
                wrong.push(format!("inside is called wrong: {:?}", all(&hits)));
            }
        }
    }
    match look(file, case, &case.outside) {
        None if case.refused => {}
        None => wrong.push("outside is refused".to_owned()),
        Some(outside) if !outside.findings.iter().any(|f| hit(&f)) => {
            wrong.push(format!(
                "outside is silent: {:?}; not told {:?}",
                all(&outside.findings),
                outside.not_told
            ));
        }
        Some(_) => {}
    }
    match look(file, case, &case.blank) {
        None => wrong.push("blank is refused".to_owned()),
        Some(blank) if !said(&blank, &line, loose) => {
            wrong.push(format!("blank is silent: {:?}; found {:?}", blank.not_told, all(&blank.findings)));
        }
        Some(_) => {}
    }
    wrong
}

/// Said to be not known; `loose`: or a finding asks for that very fact. Loose cases count notes, too.
fn said(blank: &ladderday::answers::power::Checked, line: &Regex, loose: bool) -> bool {
    let asks = |f: &Finding| line.is_match(&format!("{} {}: {} [{}]", f.place, f.what, f.remedy, f.code));
    blank.not_told.iter().any(|l| line.is_match(l)) || loose && blank.findings.iter().any(asks)
}

#[test]
fn limits_told_in_many_ways_are_kept_from_both_sides() {
    for (text, loose) in [(include_str!("by_hand.toml"), false), (include_str!("tiny.toml"), true)] {
        let file: File = toml::from_str(text).unwrap();
        let mut said = Vec::new();
        for case in &file.case {
            let wrong = wrong(&file, case, loose);
            if !wrong.is_empty() {
                said.push(format!("{}\n  {}", case.limit, wrong.join("\n  ")));
            }
        }
        assert!(said.is_empty(), "{} of {} cases:\n{}", said.len(), file.case.len(), said.join("\n"));
    }
}
