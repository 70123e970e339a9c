//! Whole yards at a limit: one 2 to 4 % inside it, one as far outside, one in which the fact that decides is not told.
//!
//! Each table `*.toml` beside this file has `[yards.NAME]`, tables of CSV text with places in braces, `[yards.NAME.told]`,
//! what stands there unless a triple says otherwise, and the triples. Expected figures are worked out by hand or with
//! general tools, never with this program; `source` says by what rule.

#[cfg(test)]
mod by_hand;
mod yard;

use std::collections::BTreeMap;
use std::sync::LazyLock;

use ladderday::answers::power::{CheckKind, Checked};
use ladderday::answers::view::{Finding, Level};
use regex::Regex;
use serde::Deserialize;

pub use yard::{checked, of_texts, try_texts};

const TABLES: [(&str, &str); 6] = [
    ("abroad", include_str!("abroad.toml")),
    ("mains", include_str!("mains.toml")),
    ("low_voltage", include_str!("low_voltage.toml")),
    ("signal", include_str!("signal.toml")),
    ("stock", include_str!("stock.toml")),
    ("outdoors", include_str!("outdoors.toml")),
];

/// How far a figure may lie from the one worked out by hand.
const NEAR: f64 = 0.01;

type Told = BTreeMap<String, String>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    yards: BTreeMap<String, YardText>,
    triple: Vec<Triple>,
}

#[derive(Deserialize)]
struct YardText {
    told: Told,
    /// With the shipped recipes, so that there are steps.
    #[serde(default)]
    recipes: bool,
    #[serde(flatten)]
    tables: Told,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Triple {
    /// What the limit is of.
    limit: String,
    yard: String,
    /// power, signal, stock, wind, weather; power and signal unless told.
    #[serde(default)]
    checks: Vec<String>,
    #[serde(default)]
    told: Told,
    inside: Told,
    outside: Told,
    blank: Told,
    /// Of the finding outside the limit.
    code: String,
    /// Some of its figures.
    #[serde(default)]
    figures: BTreeMap<String, f64>,
    /// Words of the line that says what is not known where the fact is blank.
    not_told: String,
    source: String,
}

fn kinds(names: &[String]) -> Vec<CheckKind> {
    let kind = |name: &String| match name.as_str() {
        "power" => CheckKind::Power,
        "signal" => CheckKind::Signal,
        "stock" => CheckKind::Stock,
        "wind" => CheckKind::Wind,
        "weather" => CheckKind::Weather,
        other => panic!("no check {other}"),
    };
    if names.is_empty() {
        vec![CheckKind::Power, CheckKind::Signal]
    } else {
        names.iter().map(kind).collect()
    }
}

fn filled(yard: &YardText, triple: &Triple, told: &Told) -> Told {
    let all: Vec<&Told> = vec![&yard.told, &triple.told, told];
    for key in triple.told.keys().chain(told.keys()) {
        assert!(yard.told.contains_key(key), "{}: the yard {} has no place {key}", triple.limit, triple.yard);
    }
    let fill = |text: &String| {
        let mut text = text.clone();
        for key in yard.told.keys() {
            let value = all.iter().rev().find_map(|t| t.get(key)).unwrap();
            text = text.replace(&format!("{{{key}}}"), value);
        }
        assert!(!text.contains('{'), "{}: a place is not filled: {text}", triple.yard);
        text
    };
    yard.tables.iter().map(|(name, text)| (name.clone(), fill(text))).collect()
}

fn faults(found: &[Finding]) -> Vec<String> {
    let bad = found.iter().filter(|f| f.level != Level::Note);
    bad.map(|f| format!("{} {}: {} ({}; {})", f.code, f.place, f.what, f.value, f.limit)).collect()
}

static MANY: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"(?:^|[\s(])1 (?:[a-z]+ed )?[A-Za-z]*[a-zA-Z]s(?:$|[\s,.:;)])").unwrap());
/// Words with that letter at the end which are one.
static ONE: LazyLock<Regex> = LazyLock::new(|| Regex::new(r"1 (?:\w*(?:ss|is|us|as|mains)|runs)\b").unwrap());

/// The first sentence that says one thing as if it were many: "1 leads".
pub fn one_said_as_many(checked: &Checked) -> Option<String> {
    let found = checked.findings.iter().flat_map(|f| [f.what.clone(), f.remedy.clone(), f.value.to_string()]);
    let mut all = found.chain(checked.not_told.iter().cloned());
    all.find(|text| MANY.find_iter(text).any(|m| !ONE.is_match(m.as_str())))
}

/// What is wrong with the verdicts of a triple.
fn wrong(yard: &YardText, triple: &Triple) -> Vec<String> {
    let kinds = kinds(&triple.checks);
    let look = |told: &Told| checked(&of_texts(&filled(yard, triple, told), yard.recipes), &kinds);
    let mut wrong = Vec::new();
    for told in [&triple.inside, &triple.outside, &triple.blank] {
        wrong.extend(one_said_as_many(&look(told)).map(|said| format!("one is said as many: {said}")));
    }
    let inside = look(&triple.inside);
    if !faults(&inside.findings).is_empty() {
        wrong.push(format!("inside is called wrong: {:?}", faults(&inside.findings)));
    }
    let outside = look(&triple.outside);
    let hit: Vec<&Finding> =
        outside.findings.iter().filter(|f| f.code == triple.code && f.level != Level::Note).collect();
    let fits = |f: &&&Finding| {
        let figures: BTreeMap<String, f64> = f.figures().into_iter().map(|f| (f.name, f.value)).collect();
        let near = |name: &String, wanted: f64| {
            figures.get(name).is_some_and(|got| (got - wanted).abs() <= NEAR * wanted.abs())
        };
        triple.figures.iter().all(|(name, wanted)| near(name, *wanted))
    };
    if hit.is_empty() {
        wrong.push(format!(
            "outside has no {}: {:?}, not told {:?}",
            triple.code,
            faults(&outside.findings),
            outside.not_told
        ));
    } else if hit.iter().find(fits).is_none() {
        let got: Vec<_> = hit.iter().map(|f| f.figures()).collect();
        wrong.push(format!("outside has other figures: {got:?}, by hand {:?}", triple.figures));
    }
    let blank = look(&triple.blank);
    let said = blank.not_told.iter().any(|line| line.contains(&triple.not_told));
    if !said {
        wrong.push(format!("blank does not say {:?}: {:?}", triple.not_told, blank.not_told));
    }
    wrong
}

#[test]
fn every_limit_is_kept_from_both_sides_and_what_is_blank_is_not_known() {
    let (mut all, mut bad) = (0, Vec::new());
    for (name, text) in TABLES {
        let file: File = toml::from_str(text).unwrap_or_else(|e| panic!("{name}: {e}"));
        for triple in &file.triple {
            assert!(!triple.source.is_empty(), "{}", triple.limit);
            let yard = file.yards.get(&triple.yard).unwrap_or_else(|| panic!("no yard {}", triple.yard));
            all += 1;
            bad.extend(wrong(yard, triple).into_iter().map(|w| format!("{name}, {}: {w}", triple.limit)));
        }
    }
    println!("{all} triples");
    assert!(bad.is_empty(), "{} verdicts of {} are wrong\n{}", bad.len(), all * 3, bad.join("\n"));
}
