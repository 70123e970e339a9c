//! Walk: a session outdoors, key by key.

use ladderday::answers::view::{ScreenId, StepState};
use ladderday::app::{Ask, Difference, NewFault, Problem, ProblemKind, Tonight};
use ladderday::domain::TickKind;
use ladderday::tui::keymap::Key;
use ladderday::tui::run::Outcome;

use super::fake::Fill;
use super::stage::Stage;

/// On Walk, the fetch list closed.
fn walk() -> Stage {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("2");
    stage
}

#[test]
fn until_the_first_tick_a_line_says_what_to_bring_and_covers_nothing() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("2").shows("g lists them");
    assert!(stage.state.popups.is_empty(), "the next deed is in sight");
    stage.keys("g").shows("Bring for Sat 17 Oct").shows("T-07 boat cut-outs, from shelf 2, garage");
    stage.keys("enter").hides("Bring for");
    assert!(stage.host.asked.is_empty(), "closing the list ticks nothing");
    stage.keys("enter").hides("g lists them");
    assert_eq!(stage.host.asked.len(), 1);
}

#[test]
fn one_key_ticks_and_goes_on() {
    let mut stage = walk();
    stage.keys("enter").shows("here 1 of 8").shows("whole up 121 of 402");
    assert_eq!(stage.state.walk.step().unwrap().key, "boats/stakes");
    stage.keys("space");
    assert_eq!(stage.host.state("boats/stakes"), StepState::Done);
    assert_eq!(stage.host.asked.len(), 2);
}

#[test]
fn the_last_step_of_a_place_says_where_to_go() {
    let mut stage = walk();
    stage.keys("enter enter enter");
    assert!(
        stage.status().contains("Nothing is open at path left any more. Go on to: front eaves."),
        "{}",
        stage.status()
    );
}

#[test]
fn a_session_takes_one_key_a_step() {
    let mut stage = walk();
    for _ in 0..8 {
        stage.keys("enter");
    }
    stage.shows("here 8 of 8");
    assert_eq!(stage.host.asked.len(), 8);
    assert!(stage.status().contains("] shows the next one"), "{}", stage.status());
}

#[test]
fn a_doubled_key_counts_once_and_says_so() {
    let mut stage = walk();
    stage.key(Key::Enter, 500).key(Key::Enter, 149);
    assert_eq!(stage.host.asked.len(), 1);
    assert!(stage.status().contains("counted once"));
    stage.key(Key::Enter, 150);
    assert_eq!(stage.host.asked.len(), 2, "after 150 ms it is another press");
    stage.key(Key::Char(' '), 10);
    assert_eq!(stage.host.asked.len(), 3, "another key is another press");
}

#[test]
fn closing_the_fetch_list_by_a_bouncing_key_ticks_nothing() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("2 g").key(Key::Enter, 300).key(Key::Enter, 40);
    assert!(stage.host.asked.is_empty());
}

#[test]
fn a_wrong_tick_is_taken_back_and_the_mark_returns() {
    let mut stage = walk();
    stage.keys("enter enter backspace");
    assert_eq!(stage.host.state("boats/stakes"), StepState::Open);
    assert_eq!(stage.state.walk.step().unwrap().key, "boats/stakes");
    stage.keys("backspace backspace");
    assert!(stage.status().contains("no deed to take back"), "{}", stage.status());
}

#[test]
fn a_count_leaves_the_rest_open_with_a_reason() {
    let mut stage = walk();
    stage.keys("down c").shows("how many of 8 are done?");
    stage.text("6 two bent").keys("enter").shows("6/8");
    let expected = Ask::Tick {
        key: "boats/stakes".into(),
        kind: TickKind::Count,
        count: Some(6),
        why: Some("two bent".into()),
    };
    assert_eq!(stage.host.asked, [expected]);
    assert_eq!(stage.host.state("boats/stakes"), StepState::Doing);
}

#[test]
fn a_count_that_can_not_be_is_refused_in_place() {
    let mut stage = walk();
    stage.keys("down c").text("9").keys("enter").shows("a number from 0 to 8 is taken");
    stage.keys("backspace 8 enter");
    assert_eq!(stage.host.state("boats/stakes"), StepState::Done);
}

#[test]
fn a_single_piece_has_no_count() {
    let mut stage = walk();
    // The number that the hand types next goes to no other screen.
    stage.keys("c").shows("this is one piece").keys("6 enter").shows("a number from 0 to 1 is taken");
    assert_eq!(stage.state.screen, ScreenId::Walk);
    stage.keys("backspace 1 enter");
    assert_eq!(stage.host.asked.len(), 1);
}

#[test]
fn holding_takes_a_reason_or_none() {
    let mut stage = walk();
    stage.keys("h").text("too wet").keys("enter").shows("held");
    stage.keys("h enter");
    let whys: Vec<_> = stage
        .host
        .asked
        .iter()
        .map(|a| match a {
            Ask::Tick { kind: TickKind::Hold, why, .. } => why.clone(),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(whys, [Some("too wet".to_owned()), None]);
}

#[test]
fn all_of_a_place_at_one_key() {
    let mut stage = walk();
    stage.keys("a");
    let keys = ["boats/mark", "boats/stakes", "boats/sleeve"].map(str::to_owned).to_vec();
    assert_eq!(stage.host.asked, [Ask::TickAll { keys }]);
    assert_eq!(stage.state.walk.step().unwrap().place, "front eaves");
    stage.keys("up a");
    assert!(stage.status().contains("No step is open at this place"));
}

#[test]
fn a_fault_from_where_i_stand_in_six_keys() {
    let mut stage = walk();
    stage.keys("down f 1 3 7 enter 2");
    let fault = NewFault {
        target: "boat-cut-outs".into(),
        symptom: "dark_from".into(),
        at: Some("37".into()),
        tonight: Tonight::Patched,
        note: String::new(),
    };
    assert_eq!(stage.host.asked, [Ask::LogFault(fault)], "f, symptom, two digits, Enter, tonight");
    assert_eq!(stage.state.screen, ScreenId::Walk);
}

#[test]
fn done_differently_in_five_keys() {
    let mut stage = walk();
    stage.keys("d 1 7 enter");
    let expected =
        Ask::DoneDifferently { key: "boats/mark".into(), what: Difference::Port, text: "7".into() };
    assert_eq!(stage.host.asked, [expected]);
}

#[test]
fn letters_in_a_text_field_are_letters() {
    let mut stage = walk();
    stage.keys("n").text("quit? 1 u / : a").keys("enter");
    assert_eq!(stage.host.asked, [Ask::Note { key: "boats/mark".into(), text: "quit? 1 u / : a".into() }]);
    assert_eq!(stage.outcome, Outcome::Go);
    assert_eq!(stage.state.screen, ScreenId::Walk);
}

#[test]
fn every_question_can_be_left() {
    for key in ["c", "h", "s", "f", "d", "n", "p", "g", "?", ":", "/"] {
        let mut stage = walk();
        stage.keys("down").keys(key);
        assert!(!stage.state.popups.is_empty(), "{key} opens nothing");
        stage.keys("esc");
        assert!(stage.state.popups.is_empty(), "{key} stays open");
        assert!(stage.host.asked.is_empty());
    }
}

#[test]
fn a_refused_deed_leaves_the_mark_and_says_why() {
    let mut stage = walk();
    let problem =
        Problem::new(ProblemKind::File, "disk-full", "not saved: the disk is full").hint("make room");
    stage.host.refuse = Some(problem);
    stage.keys("enter");
    assert_eq!(stage.state.walk.step().unwrap().key, "boats/mark");
    assert!(stage.status().contains("the disk is full. make room"));
    stage.keys("enter").shows("here 1 of 8");
}

#[test]
fn sessions_and_places_are_gone_through() {
    let mut stage = walk();
    stage.keys("]").shows("Sun 18 Oct 10:00 to 15:00  (session 2 of 3)").shows("drive edge");
    stage.keys("[").shows("session 1 of 3").keys("[");
    assert!(stage.status().contains("first session"));
    stage.keys("right");
    assert_eq!(stage.state.walk.step().unwrap().key, "icicles/lit");
}

#[test]
fn big_shows_one_step_with_all_cautions_and_what_comes_next() {
    let mut stage = walk();
    stage.keys("down b").shows("Eye protection").shows("then").shows("path left: boat cut-outs, 8, Sleeve");
    stage.hides("icicle curtains, 4");
    stage.keys("b").shows("icicle curtains, 4");
}

#[test]
fn a_connect_step_shows_ports_tags_and_the_question() {
    let mut stage = walk();
    stage.keys("down down down down down").shows("Supply off?").shows("port 5").shows("tag 5 V");
}

#[test]
fn a_search_goes_to_the_step() {
    let mut stage = walk();
    stage.keys("/").text("wrap").keys("enter");
    assert_eq!(stage.state.walk.step().unwrap().key, "wraps/wrap");
}

#[test]
fn a_place_chosen_in_yard_is_walked() {
    let mut stage = walk();
    stage.keys("3 /").text("front eaves").keys("enter enter");
    assert_eq!(stage.state.screen, ScreenId::Walk);
    assert_eq!(stage.state.walk.step().unwrap().key, "icicles/lit");
}

#[test]
fn nothing_told_says_what_to_do_first() {
    let mut stage = Stage::new(Fill::Empty);
    stage.keys("2").shows("Import a line a prop").keys("enter");
    assert!(stage.status().contains("Import"), "{}", stage.status());
}

#[test]
fn time_dark_is_told_while_the_show_runs_only() {
    let mut stage = walk();
    stage.keys("o");
    assert!(stage.status().contains("Dark time is told while the show runs"), "{}", stage.status());
    let dark = |target: &str, lasted: &str, why: &str| Ask::LogDark {
        target: target.into(),
        lasted: lasted.into(),
        why: why.into(),
        night: None,
    };
    let cases = [
        ("1h30 outlet tripped", dark("show", "1h30", "outlet tripped")),
        ("HM26-25 45m", dark("HM26-25", "45m", "")),
    ];
    for (typed, expected) in cases {
        stage.state.walk.page.as_mut().unwrap().phase = "tonight".to_owned();
        stage.keys("o").shows("How long did it stay dark?").text(typed).keys("enter");
        assert_eq!(stage.host.asked.last(), Some(&expected));
    }
    let asked = stage.host.asked.len();
    stage.state.walk.page.as_mut().unwrap().phase = "tonight".to_owned();
    stage.keys("o enter");
    assert_eq!(stage.host.asked.len(), asked, "nothing typed, nothing written");
}

#[test]
fn the_forecast_of_the_night_is_told_from_the_nightly_walk_with_one_key() {
    let mut stage = walk();
    stage.keys("e");
    assert!(stage.status().contains("p, then tonight"), "{}", stage.status());
    stage.state.walk.page.as_mut().unwrap().phase = "tonight".to_owned();
    stage.keys("e").shows("Forecast for tonight").text("snow, gust 32 mph").keys("enter");
    let expected = Ask::Forecast { session: "tonight".into(), text: "snow, gust 32 mph".into() };
    assert_eq!(stage.host.asked, [expected]);
    stage.state.walk.page.as_mut().unwrap().phase = "tonight".to_owned();
    stage.keys("e enter");
    assert_eq!(stage.host.asked.len(), 1, "nothing typed, nothing told");
}

#[test]
fn what_the_wind_asks_stands_beside_the_step() {
    let mut stage = walk();
    stage.hides("gust of");
    let wind = Some("lower it from a gust of 30 mph".to_owned());
    stage.state.walk.page.as_mut().unwrap().places[0].steps[0].wind = wind;
    stage.keys("up").shows("lower it from a gust of 30 mph");
    stage.keys("b").shows("lower it from a gust of 30 mph");
}
