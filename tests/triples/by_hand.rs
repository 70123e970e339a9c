//! Yards a little inside and outside a limit, told in many ways, and with a fact left out: `by_hand.toml`, `tiny.toml`,
//! `cells.toml`, `forms.toml`, `beside_data.toml`, `families_leads.toml`, `white.toml`, `own_loads.toml`.

use ladderday::answers::power::Checked;
use ladderday::answers::view::{Finding, Level};
use regex::Regex;
use serde::Deserialize;

use super::{Told, kinds, try_texts, yard::checked_at};

const BY_HAND: &str = include_str!("by_hand.toml");
const TINY: &str = include_str!("tiny.toml");
const CELLS: &str = include_str!("cells.toml");
const FORMS: &str = include_str!("forms.toml");
const BESIDE_DATA: &str = include_str!("beside_data.toml");
const FAMILIES_LEADS: &str = include_str!("families_leads.toml");
const WHITE: &str = include_str!("white.toml");
const OWN_LOADS: &str = include_str!("own_loads.toml");

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    site: String,
    season: String,
    /// The clock of all its cases that tell no other.
    now: Option<String>,
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
    /// Where the fact is blank, a finding may ask for it.
    #[serde(default)]
    asked: bool,
    same: Told,
    inside: Told,
    outside: Told,
    blank: Told,
}

/// The tables of a case: its own in place of those that all of them have, its cells where their letters stand.
fn tables(file: &File, case: &Case, own: &Told) -> Told {
    let mut tables: Told = [("site", &file.site), ("season", &file.season)]
        .map(|(name, text)| (name.to_owned(), text.clone()))
        .into();
    let (cells, own): (Vec<_>, Vec<_>) = own.iter().partition(|(name, _)| name.len() == 1);
    tables.extend(case.same.clone());
    tables.extend(own.into_iter().map(|(name, text)| (name.clone(), text.clone())));
    tables.retain(|_, text| !text.trim().is_empty());
    for text in tables.values_mut() {
        for (letter, cell) in &cells {
            *text = text.replace(&format!("{{{letter}}}"), cell);
        }
        assert!(!text.contains('{'), "{}: a cell is not told: {text}", case.limit);
    }
    tables
}

fn look(file: &File, case: &Case, own: &Told) -> Option<Checked> {
    look_at(file, case, &tables(file, case, own))
}

fn look_at(file: &File, case: &Case, tables: &Told) -> Option<Checked> {
    let steps = case.checks.iter().any(|c| c != "power" && c != "signal");
    let mounted =
        tables.get("placement").and_then(|t| t.lines().next()).is_some_and(|h| h.contains("method"));
    let yard = try_texts(tables, case.recipes.unwrap_or(steps || mounted)).ok()?;
    let now = case.now.as_ref().or(file.now.as_ref()).map_or("2026-09-01T12:00", String::as_str);
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
    let three = [&case.inside, &case.outside, &case.blank];
    wrong.extend(three.into_iter().filter_map(|own| super::one_said_as_many(&look(file, case, own)?)));
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
        Some(blank) if !said(&blank, &line, loose || case.asked) => {
            wrong.push(format!("blank is silent: {:?}; found {:?}", blank.not_told, all(&blank.findings)));
        }
        Some(_) => {}
    }
    wrong
}

/// Said to be not known; `loose`: or a finding asks for that very fact. Loose cases count notes, too.
fn said(blank: &Checked, line: &Regex, loose: bool) -> bool {
    let asks = |f: &Finding| line.is_match(&format!("{} {}: {} [{}]", f.place, f.what, f.remedy, f.code));
    blank.not_told.iter().any(|l| line.is_match(l)) || loose && blank.findings.iter().any(asks)
}

#[test]
fn limits_told_in_many_ways_are_kept_from_both_sides() {
    let (mut all, mut said) = (0, Vec::new());
    for (text, loose) in [
        (BY_HAND, false),
        (TINY, true),
        (CELLS, false),
        (FORMS, false),
        (BESIDE_DATA, false),
        (FAMILIES_LEADS, false),
        (WHITE, false),
        (OWN_LOADS, false),
    ] {
        let file: File = toml::from_str(text).unwrap();
        all += file.case.len();
        for case in &file.case {
            let wrong = wrong(&file, case, loose);
            if !wrong.is_empty() {
                said.push(format!("{}\n  {}", case.limit, wrong.join("\n  ")));
            }
        }
    }
    assert!(said.is_empty(), "{} of {all} cases:\n{}", said.len(), said.join("\n"));
}

/// A cell of a table's text blanked: every such text, with its row and column.
fn blanked(text: &str) -> Vec<(String, String)> {
    let mut lines: Vec<Vec<String>> = Vec::new();
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.trim().as_bytes());
    lines.extend(reader.records().map(|r| r.unwrap().iter().map(str::to_owned).collect()));
    let mut all = Vec::new();
    for (row, line) in lines.iter().enumerate().skip(1) {
        for (column, cell) in line.iter().enumerate() {
            let head = lines[0].get(column).map_or("", String::as_str).to_owned();
            if cell.is_empty() || ["code", "name"].contains(&head.as_str()) {
                continue;
            }
            let mut less = lines.clone();
            less[row][column].clear();
            let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
            for line in &less {
                writer.write_record(line).unwrap();
            }
            let less = String::from_utf8(writer.into_inner().unwrap()).unwrap();
            all.push((format!("{head} of row {row}"), less));
        }
    }
    all
}

/// What is found outside a limit and gone once a cell is blank, without a line or another finding that says so.
fn silent(file: &File, case: &Case) -> Vec<String> {
    let code = Regex::new(&format!("^(?:{})$", case.code)).unwrap();
    let subject = Regex::new(&case.subject).unwrap();
    let hit = |c: &Checked| {
        c.findings
            .iter()
            .any(|f| code.is_match(&f.code) && subject.is_match(&format!("{} {}", f.place, f.what)))
    };
    let Some(before) = look(file, case, &case.outside) else { return Vec::new() };
    let all = tables(file, case, &case.outside);
    let mut silent = Vec::new();
    for (table, text) in &all {
        for (cell, less) in blanked(text) {
            let mut own = all.clone();
            own.insert(table.clone(), less);
            let Some(after) = look_at(file, case, &own) else { continue };
            let line = after.not_told.iter().any(|l| !before.not_told.contains(l));
            let asked = after.findings.iter().any(|f| !before.findings.contains(f));
            if !hit(&after) && !line && !asked {
                silent.push(format!("{}: {table}.{cell}", case.limit));
            }
        }
    }
    silent
}

/// What is blank in these means what sample-data/README.md says: one, good, not frozen, no fuse of its own, as its product.
const MEANT: [&str; 21] = [
    "placement.count",
    "placement.mount",
    "placement.piece",
    "piece.condition",
    "piece.tag_mv",
    "piece.length_mm",
    "piece.in_plug",
    "piece.out_plug",
    "stock.use_by",
    "stock.frozen",
    "product.keep_from_frost",
    "product.fuse_ma",
    "product.load_mw",
    "product.role",
    "link.fuse_ma",
    "link.lead",
    "link.from_piece",
    "link.to_placement",
    "outlet.ready_on",
    "outlet.trip_ma",
    "site.roof_max_gust_mms",
];

fn all_silent(every: usize) -> (usize, Vec<String>) {
    let (mut all, mut looked) = (Vec::new(), 0);
    for text in [BY_HAND, TINY, CELLS, FORMS, BESIDE_DATA, FAMILIES_LEADS] {
        let file: File = toml::from_str(text).unwrap();
        for case in file.case.iter().step_by(every) {
            looked += 1;
            all.extend(silent(&file, case));
        }
    }
    let meant = |line: &String| MEANT.iter().any(|cell| line.contains(&format!(": {cell} of row")));
    all.retain(|line| !meant(line));
    (looked, all)
}

#[test]
fn blank_cells_of_some_yards_outside_their_limit_are_said() {
    let (looked, all) = all_silent(24);
    assert!(looked > 10 && all.is_empty(), "{} cells:\n{}", all.len(), all.join("\n"));
}

#[test]
#[ignore = "minutes: every cell of every case outside its limit"]
fn every_blank_cell_of_a_yard_outside_its_limit_is_said() {
    let (_, all) = all_silent(1);
    assert!(all.is_empty(), "{} cells:\n{}", all.len(), all.join("\n"));
}

/// A placement is of one product: what is another is said wherever the placement is reckoned with.
#[test]
fn a_piece_of_another_product_is_said() {
    let texts = |product: &str| -> Told {
        let piece = format!("code,product\nS1,SMALL\nB1,{product}\n");
        [
            ("site", "name,units,terms,currency,time_zone\nYard,us,us,USD,America/Chicago\n"),
            ("season", "code,name,lights_on\nw26,Winter,2026-11-27T17:00\n"),
            ("product", "code,name,role,mass_g\nSMALL,Small star,prop,3 kg\nBIG,Big star,prop,23800\n"),
            ("piece", piece.as_str()),
            ("placement", "code,name,season,product,count\nA,Stars,w26,SMALL,2\n"),
            ("placement_piece", "placement,piece\nA,S1\nA,B1\n"),
        ]
        .map(|(name, text)| (name.to_owned(), text.to_owned()))
        .into()
    };
    for kind in ["power", "stock", "weather", "wind"] {
        let says = |product: &str| {
            let yard = try_texts(&texts(product), false).unwrap();
            let found = checked_at(&yard, &kinds(&[kind.to_owned()]), "2026-10-05T09:00").findings;
            found.iter().filter(|f| f.code == "piece_of_another_product").count()
        };
        assert_eq!((says("SMALL"), says("BIG")), (0, 1), "{kind}");
    }
}
