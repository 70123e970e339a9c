//! Every shipped recipe step on a ladder, on a roof or with mains carries the caution of it.

use std::collections::BTreeSet;

const STEPS: &str = include_str!("../../sample-data/recipe_step.csv");
const CAUTIONS: &str = include_str!("../../sample-data/caution.csv");
/// What tells mains work in a title: what is plugged, switched or opened. "Box off" and "unplug" are mains too.
const MAINS_WORDS: [&str; 9] = [
    "unplug",
    "plug the outdoor cord",
    "outlet",
    "mains",
    "terminals",
    "amplifier",
    "transmitter",
    "20 minutes on",
    "light test",
];

struct Row {
    code: String,
    needs: BTreeSet<&'static str>,
    has: BTreeSet<String>,
}

fn rows(text: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let head = reader.headers().unwrap().clone();
    let at = |name: &str| head.iter().position(|h| h == name).unwrap();
    let (code, access, title) = (at("code"), at("access"), at("title"));
    let (deed, cautions, skills, box_mode) = (at("deed"), at("cautions"), at("skills"), at("box_mode"));
    reader
        .records()
        .map(|r| {
            let r = r.unwrap();
            let mut needs = BTreeSet::new();
            match &r[access] {
                "step_ladder" | "extension_ladder" => needs.insert("ladder"),
                "roof" => needs.insert("roof"),
                _ => false,
            };
            let words = r[title].to_lowercase();
            let electric = r[skills].split(' ').any(|s| s == "electric");
            // A lead is metered through, without power.
            let metered = words.contains("continuity");
            let deed = !metered && ["power", "bench_test", "ground_light", "test"].contains(&&r[deed]);
            if electric || deed || &r[box_mode] == "on" || MAINS_WORDS.iter().any(|w| words.contains(w)) {
                needs.insert("mains");
            }
            let has = r[cautions].split_whitespace().map(str::to_owned).collect();
            Row { code: r[code].to_owned(), needs, has }
        })
        .collect()
}

fn missing(text: &str) -> Vec<String> {
    rows(text)
        .iter()
        .flat_map(|r| {
            let lacks = r.needs.iter().filter(|n| !r.has.contains(**n));
            lacks.map(|n| format!("{}: {n}", r.code)).collect::<Vec<_>>()
        })
        .collect()
}

#[test]
fn no_step_on_ladder_roof_or_mains_is_without_its_caution() {
    let all = rows(STEPS);
    for kind in ["ladder", "roof", "mains"] {
        let n = all.iter().filter(|r| r.needs.contains(kind)).count();
        assert!(kind == "ladder" || n >= 5, "only {n} steps with {kind}: the test sees nothing");
    }
    assert_eq!(missing(STEPS), Vec::<String>::new());
}

/// The same look at a recipe whose cautions were taken off names exactly that step.
#[test]
fn a_step_that_lost_its_caution_is_named() {
    let spoiled = STEPS.replace("roof ladder overhead wind cold", "ladder overhead wind cold");
    assert_ne!(spoiled, STEPS);
    assert!(missing(&spoiled).iter().any(|m| m == "roof_strap.conduit: roof"), "{:?}", missing(&spoiled));
    let head = STEPS.lines().next().unwrap();
    let row = "x.up,x,10,up,raise,Hang it,60,0,0,0,1,,,extension_ladder,day,0,,,,no,,,no,no,no,,always,,,";
    assert_eq!(missing(&format!("{head}\n{row}\n")), ["x.up: ladder"]);
}

#[test]
fn every_caution_that_is_named_is_told_with_its_source() {
    let mut reader = csv::Reader::from_reader(CAUTIONS.as_bytes());
    let told: BTreeSet<String> = reader
        .records()
        .map(|r| {
            let r = r.unwrap();
            assert!(!r[1].trim().is_empty() && !r[2].trim().is_empty(), "{} lacks text or source", &r[0]);
            r[0].to_owned()
        })
        .collect();
    for row in rows(STEPS) {
        for caution in &row.has {
            assert!(told.contains(caution), "{}: {caution} is not told", row.code);
        }
    }
}
