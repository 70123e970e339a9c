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
    stage.keys("o t").shows("No mend of").keys("2 p enter");
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
    stage
        .shows("tide board panel 2")
        .keys("b")
        .hides("tide board panel 2")
        .shows("BENCH LIST")
        .shows("P-031");
    stage.keys("b").shows("tide board panel 2");
}

#[test]
fn the_guide_of_the_symptom_is_shown() {
    let mut stage = faults();
    stage.shows("What to try; g goes through it").shows("Supply off before anything is unplugged");
}

#[test]
fn a_search_narrows_and_esc_shows_all() {
    let mut stage = faults();
    stage.keys("/").text("tide").keys("enter").shows("F-033").hides("bridge arch 2");
    stage.keys("esc").shows("bridge arch 2");
}

#[test]
fn an_empty_log_says_what_to_do() {
    let mut stage = Stage::new(Fill::Empty);
    // In a yard without anything the key begins.
    stage.keys("7").shows("No fault was logged yet").hides("n logs one").keys("m");
    assert!(stage.status().contains("n begins"));
}

#[test]
fn a_pixel_number_and_a_letter_are_a_whole_answer() {
    let mut stage = faults();
    stage.keys("n").text("arch 3").keys("enter 1").text("124p");
    assert!(matches!(stage.host.asked.as_slice(), [Ask::LogFault(f)] if f.at.as_deref() == Some("124")
            && f.tonight == ladderday::app::Tonight::Patched));
    stage.keys("n").text("arch 3").keys("enter 1").text("mouth left").keys("enter").shows("And tonight?");
}

#[test]
fn the_guide_asks_what_happened_and_keeps_it() {
    let mut stage = faults();
    stage.keys("g").shows("F-031 bridge arch 2").shows("1 of 2").shows("that pixel had failed").keys("2");
    stage.shows("2 of 2").keys("3").shows("all of the guide was tried");
    let asked = Ask::AnswerGuide {
        fault: "F-031".into(),
        tried: "first_dark".into(),
        result: "same".into(),
        note: String::new(),
    };
    assert_eq!(stage.host.asked, [asked]);
}

#[test]
fn a_photo_is_added_by_its_path_and_none_says_so() {
    let mut stage = faults();
    stage.keys("v").shows("has no photo");
    stage.keys("i").shows("which file?").text("/tmp/a.png").keys("enter");
    assert_eq!(stage.host.asked, [Ask::AddPhoto { fault: "F-031".into(), path: "/tmp/a.png".into() }]);
}

#[test]
fn a_pause_is_asked_about_and_can_be_skipped() {
    let mut stage = Stage::new(Fill::Normal);
    stage.host.pauses.push(ladderday::answers::view::PauseRow {
        key: "boats/mark".into(),
        ticked_ms: 5,
        title: "mark spots".into(),
        from: "14:10".into(),
        gap_min: 115,
        planned_min: 20,
    });
    stage.keys("2").shows("How long did it take?").keys("esc");
    assert!(stage.host.asked.is_empty());
    stage.keys("1 2 f5").hides("How long did it take?");
    stage.state.walk.asked.clear();
    stage.keys("f5").shows("How long did it take?").keys("3").text("300").keys("enter").shows("1 to 115");
    stage.keys("ctrl-u").text("40").keys("enter");
    assert!(matches!(
        stage.host.asked.as_slice(),
        [Ask::CorrectTime { minutes: Some(40), ticked_ms: Some(5), .. }]
    ));
}

#[test]
fn closing_a_season_asks_once_about_what_was_done_differently() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("0 :").text("close-season").keys("enter").shows("Close which season?");
    // What is over comes first.
    stage
        .keys("1")
        .shows("port 7 instead of 6")
        .keys("3")
        .shows("12 steps of takedown are open")
        .keys("enter");
    assert_eq!(stage.host.asked, [Ask::CloseSeason { code: "tide-2026".into(), keep: None, next: None }]);
}

#[test]
fn orders_and_prices_are_typed_on_the_buy_screen() {
    let mut stage = Stage::new(Fill::Normal);
    stage
        .keys("9 a")
        .shows("at which vendor?")
        .text("Gannet")
        .keys("enter")
        .text("12.50 for 10")
        .keys("enter enter");
    assert!(matches!(stage.host.asked.as_slice(), [Ask::AddOffer(o)] if o.pack == 10 && o.price == "12.50"));
    stage.keys("o 1").shows("Place this order").keys("1");
    assert!(matches!(stage.host.asked.last(), Some(Ask::Order { .. })));
    stage.keys("r 1").text("C-TIE=200 into T-07").keys("enter");
    assert!(matches!(stage.host.asked.last(), Some(Ask::Receive { into: Some(t), lines, .. }) if t == "T-07"
        && lines == &[("C-TIE".to_owned(), Some(200))]));
}

#[test]
fn the_only_hit_is_taken_at_once_and_an_enter_on_its_way_picks_nothing() {
    let mut stage = faults();
    stage
        .keys("n")
        .text("arch")
        .shows("What has the fault")
        .text(" 032")
        .shows("bridge arch 3: what is seen?");
    stage.keys("enter").shows("bridge arch 3: what is seen?");
    assert!(stage.status().contains("the only one"), "{}", stage.status());
    stage.keys("enter").shows("From which pixel on?");
    assert!(stage.host.asked.is_empty());
    // Letters with gaps may be a slip: the only hit of those waits for Enter.
    stage.keys("esc n").text("bg3").shows("What has the fault");
}

#[test]
fn a_spare_is_picked_from_those_at_home() {
    let mut stage = faults();
    stage.keys("x 3").shows("Which spare goes out?").shows("P-077").keys("2");
    let ask = Ask::ReplaceBySpare { fault: "F-031".into(), spare: "P-078".into(), note: String::new() };
    assert_eq!(stage.host.asked, [ask]);
    stage.keys("down x 3").shows("No good piece of its product stays at home");
}

#[test]
fn a_fault_of_several_pieces_asks_which_and_may_leave_it_open() {
    let mut stage = faults();
    stage.keys("n").text("boat").keys("enter 4 1").shows("Which one?").shows("Not known which");
    stage.keys("down enter");
    let which = |a: &Ask| matches!(a, Ask::FaultPiece { piece, .. } if piece == "P-061");
    assert!(stage.host.asked.iter().any(which), "{:?}", stage.host.asked);
    stage.keys("n").text("boat").keys("enter 4 1").shows("Which one?").keys("enter").hides("Which one?");
    let told = stage.host.asked.iter().filter(|a| matches!(a, Ask::FaultPiece { .. })).count();
    assert_eq!(told, 1, "Enter leaves it open");
}

#[test]
fn enter_opens_the_whole_record() {
    let mut stage = faults();
    stage.keys("enter").shows("F-031  bridge arch 2").shows("found").keys("esc");
}
