//! Faults: log, triage, bench.

use ladderday::app::{Ask, NewRepair};
use ladderday::domain::RepairDeed;

use super::fake::Fill;
use super::stage::Stage;

fn faults() -> Stage {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("7");
    stage
}

fn repair(fault: &str, deed: RepairDeed) -> NewRepair {
    NewRepair { fault: fault.into(), deed, cause: None, minutes: None, part: None, note: String::new() }
}

#[test]
fn a_target_is_found_by_letters_and_digits() {
    let mut stage = faults();
    stage.keys("n").text("arch 3").keys("enter").shows("bridge arch 3: what is seen?");
    stage.keys("3").shows("And tonight?").keys("1");
    assert!(
        matches!(stage.host.asked.as_slice(), [Ask::LogFault(f)] if f.target == "P-032" && f.at.is_none())
    );
}

#[test]
fn mending_asks_cause_and_minutes_which_can_be_skipped() {
    let mut stage = faults();
    stage.keys("m 3").text("25 new plug").keys("enter");
    let first = NewRepair {
        cause: Some("corrosion".into()),
        minutes: Some(25),
        note: "new plug".into(),
        ..repair("F-031", RepairDeed::Mended)
    };
    stage.keys("m 0 enter");
    assert_eq!(stage.host.asked, [Ask::Repair(first), Ask::Repair(repair("F-031", RepairDeed::Mended))]);
}

#[test]
fn one_key_deeds() {
    let mut stage = faults();
    stage.keys("o t p enter");
    let deeds = [RepairDeed::SwitchedOff, RepairDeed::Tested, RepairDeed::Patched];
    assert_eq!(stage.host.asked, deeds.map(|d| Ask::Repair(repair("F-031", d))));
}

#[test]
fn no_single_letter_scraps() {
    let mut stage = faults();
    for letter in ('a'..='z').chain('A'..='Z').filter(|c| !"qtopulUL".contains(*c)) {
        stage.text(&letter.to_string());
        stage.state.popups.clear();
        stage.keys("7");
        stage.state.popups.clear();
    }
    assert!(stage.host.asked.is_empty(), "{:?}", stage.host.asked);
    stage.keys("x 5").shows("gone for good").keys("1");
    assert!(stage.host.asked.is_empty());
    stage.keys("x 5 2");
    assert_eq!(stage.host.asked, [Ask::Repair(repair("F-031", RepairDeed::Scrapped))]);
}

#[test]
fn the_bench_list_shows_only_the_bench() {
    let mut stage = faults();
    stage.shows("F-033").keys("b").hides("F-033").shows("BENCH LIST").shows("F-031");
    stage.keys("b").shows("F-033");
}

#[test]
fn the_guide_of_the_symptom_is_shown() {
    let mut stage = faults();
    stage.shows("What to try, in this order").shows("Supply off before anything is unplugged");
}

#[test]
fn a_search_narrows_and_esc_shows_all() {
    let mut stage = faults();
    stage.keys("/").text("tide").keys("enter").shows("F-033").hides("F-031");
    stage.keys("esc").shows("F-031");
}

#[test]
fn an_empty_log_says_what_to_do() {
    let mut stage = Stage::new(Fill::Empty);
    stage.keys("7").shows("n logs one").keys("m");
    assert!(stage.status().contains("n logs one"));
}
