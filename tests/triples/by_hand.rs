//! Yards a little inside and outside a limit, told in many ways, and with a fact left out: `by_hand.toml`.

use std::collections::BTreeMap;

use ladderday::answers::view::{Finding, Level};
use regex::Regex;
use serde::Deserialize;

use super::{Told, checked, kinds, try_texts};

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
    let recipes = case.checks.iter().any(|c| c != "power" && c != "signal");
    try_texts(&tables, recipes).ok().map(|yard| checked(&yard, &kinds(&case.checks)))
}

/// What is wrong with the three verdicts of a case.
fn wrong(file: &File, case: &Case) -> Vec<String> {
    let whole = |text: &str| Regex::new(&format!("^(?:{text})$")).unwrap();
    let (code, line) = (whole(&case.code), Regex::new(&case.not_told).unwrap());
    let hit = |f: &&Finding| (case.notes || f.level != Level::Note) && code.is_match(&f.code);
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
        Some(blank) if !blank.not_told.iter().any(|l| line.is_match(l)) => {
            wrong.push(format!("blank is silent: {:?}; found {:?}", blank.not_told, all(&blank.findings)));
        }
        Some(_) => {}
    }
    wrong
}

#[test]
fn limits_told_in_many_ways_are_kept_from_both_sides() {
    let file: File = toml::from_str(include_str!("by_hand.toml")).unwrap();
    let mut said = Vec::new();
    for case in &file.case {
        let wrong = wrong(&file, case);
        if !wrong.is_empty() {
            said.push(format!("{}\n  {}", case.limit, wrong.join("\n  ")));
        }
    }
    assert!(said.is_empty(), "{} of {} cases:\n{}", said.len(), file.case.len(), said.join("\n"));
}
