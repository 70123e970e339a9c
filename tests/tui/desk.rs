//! Today, Kit, Buy, Plan, Power, Totes, Seasons: what is done at the desk.

use ladderday::answers::view::ScreenId;
use ladderday::app::{Ask, Problem, ProblemKind};
use ladderday::domain::Phase;
use ladderday::tui::Background;
use ladderday::tui::run::Outcome;

use super::fake::Fill;
use super::stage::Stage;

#[test]
fn today_says_how_it_stands() {
    let mut stage = Stage::new(Fill::Normal);
    stage
        .shows("41 days to lights on")
        .shows("93 % in time")
        .shows("In the way: 3")
        .shows("Ready now: 10 steps");
    stage.shows("Work left 65 h 15; 90 h 30 in 14 sessions");
}

#[test]
fn an_alarm_leads_to_its_remedy_and_back() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("enter");
    assert_eq!(stage.state.screen, ScreenId::Power);
    assert_eq!(stage.status(), "swap the lead or its tag");
    stage.keys("1");
    assert_eq!(stage.state.screen, ScreenId::Today);
}

/// What an empty screen says about keys is on its line of keys, and works there.
#[test]
fn a_yard_without_anything_is_begun_from_every_screen() {
    for digit in ["1", "2", "3", "4", "5", "6", "7", "8", "9"] {
        let mut stage = Stage::new(Fill::Empty);
        stage.keys(digit).shows("n begin  a add a prop");
        stage.keys("n");
        assert_eq!(stage.state.screen, ScreenId::Today, "{digit}");
        assert!(!stage.state.popups.is_empty(), "{digit}: the first question is asked");
    }
}

#[test]
fn a_narrowed_list_says_so_and_how_all_of_it_comes_back() {
    for (digit, letters) in [("5", "arch"), ("7", "a"), ("8", "a"), ("9", "a")] {
        let mut stage = Stage::new(Fill::Normal);
        stage.keys(digit).keys("/").text(letters).keys("enter");
        stage.shows(" match").shows("Esc shows all").keys("esc").hides("Esc shows all").hides(" match");
    }
}

/// Why something can't be is never what is cut off.
#[test]
fn a_long_message_has_two_rows() {
    let mut stage = Stage::new(Fill::Normal);
    stage.state.refuse(format!("{}the reason is at its end", "word ".repeat(20)));
    stage.shows("the reason is at its end").shows("? keys");
    stage.keys("down").hides("the reason");
}

#[test]
fn the_first_run_says_what_to_do() {
    let mut stage = Stage::new(Fill::Empty);
    stage.shows("Begin here").shows("demo yard first");
    stage.keys("0 n").text("yard-2026").keys("enter enter").text("2026-11-27 17:00").keys("enter");
    let expected = Ask::NewSeason {
        code: "yard-2026".into(),
        name: String::new(),
        lights_on: Some("2026-11-27 17:00".into()),
    };
    assert_eq!(stage.host.asked, [expected]);
}

#[test]
fn kit_finds_and_shows_a_page() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("1 /");
    assert_eq!(stage.state.screen, ScreenId::Kit, "finding from Today finds in all that is owned");
    stage.text("icic 4").shows("P-071").keys("enter").shows("of 28 match").keys("enter").shows("history");
}

#[test]
fn an_old_question_does_not_come_back_with_a_later_refusal() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("0 n a enter esc");
    stage.host.refuse = Some(Problem::new(ProblemKind::Data, "x", "not now"));
    stage.keys("u");
    assert!(stage.state.popups.is_empty(), "{:?}", stage.state.popups);
    assert_eq!(stage.status(), "not now");
}

#[test]
fn buy_has_three_parts() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("9").shows("strip 60/m, coated").shows("because").shows("$133.00, proven least cost");
    stage.keys("tab").shows("Quay Wire: $50.80  ✗ too late, order by Mon 21 Sep 2026");
    stage.keys("tab").shows("Mon 3 Aug: order at Harbor Parts").shows("O-2026-02");
    stage.keys("n").text("glue").keys("enter enter enter");
    let expected = Ask::AddNeed { title: "glue".into(), quantity: 1, need_by: None };
    assert_eq!(stage.host.asked, [expected]);
}

#[test]
fn the_plan_shows_why_and_is_kept() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("4").shows("Drive s").shows("twilight").shows("after 'light on the ground' of the same day");
    stage
        .keys("tab tab")
        .shows("too cold")
        .shows("do it in September")
        .keys("tab")
        .shows("worth ready by the rehearsal");
    stage.keys("tab k f").text("rain").keys("enter");
    let forecast = Ask::Forecast { session: "s-0".into(), text: "rain".into() };
    assert_eq!(stage.host.asked, [Ask::KeepPlan { phase: Phase::Up }, forecast]);
}

#[test]
fn a_session_is_added() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("4 n").text("2026-10-24 09:00").keys("enter").text("16:30").keys("enter");
    stage.text("Ansel, Birgit").keys("enter 2");
    let expected = Ask::AddSession {
        starts: "2026-10-24 09:00".into(),
        ends: "16:30".into(),
        people: vec!["Ansel".into(), "Birgit".into()],
        work_lights: true,
    };
    assert_eq!(stage.host.asked, [expected]);
}

#[test]
fn power_shows_loads_a_curve_and_remedies() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("6").shows("swap the lead or correct its tag");
    stage.keys("tab").shows("111 % ✗ over").keys("tab").shows("✗ below").shows("4.30 V!");
}

#[test]
fn totes_are_found_by_what_is_in_them() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("8 /").text("icicles").keys("enter").shows("T-10").hides("T-02");
    stage.shows("no home");
}

#[test]
fn seasons_compare_planned_and_taken() {
    let mut stage = Stage::new(Fill::Normal);
    stage
        .keys("0")
        .shows("73 h 40")
        .shows("38 nights of 4 h 30")
        .keys("tab")
        .shows("No date of a coming show is told yet")
        .keys("tab")
        .shows("125 %")
        .shows("██████░░░░ 125 %")
        .shows("█████│░░░░  95 %")
        .keys("tab")
        .hides("per 1000 pixel-hours")
        .keys("enter")
        .shows("per 1000 pixel-hours")
        .shows("nearer the usual share: 27 %")
        .keys("esc tab")
        .shows("0.31 times");
}

#[test]
fn long_work_shows_and_can_be_stopped() {
    let mut stage = Stage::new(Fill::Normal);
    stage.host.work = Some(Background { what: "improving the plan".into(), share: Some(420) });
    stage.keys("4").shows("improving the plan 42 %; Ctrl-X stops").keys("ctrl-x");
    assert!(stage.state.background.is_none());
    stage.keys("ctrl-x");
    assert!(stage.status().contains("No long work"));
}

#[test]
fn undo_and_what_was_said() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("7 o 1 u");
    assert_eq!(stage.host.asked.last(), Some(&Ask::Undo));
    stage.keys("H").shows("Done, latest first").shows("taken back");
}

#[test]
fn q_and_ctrl_c_leave_and_ctrl_z_stops() {
    assert_eq!(Stage::new(Fill::Normal).keys("q").outcome, Outcome::Quit);
    assert_eq!(Stage::new(Fill::Normal).keys("5 / q").outcome, Outcome::Go, "a letter of the search");
    assert_eq!(Stage::new(Fill::Normal).keys("5 / ctrl-c").outcome, Outcome::Quit);
    assert_eq!(Stage::new(Fill::Normal).keys("ctrl-z").outcome, Outcome::Suspend);
}
