//! Deeds of the desk and the lawn: keys in, what is asked for out.

use ladderday::app::{Ask, Difference, LookWord};
use ladderday::tui::run::Outcome;

use super::fake::Fill;
use super::stage::Stage;

#[test]
fn a_session_is_moved_and_finish_and_odds_of_before_stay_in_sight() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("4 m").shows("2026-10-17 09:00 to 16:30");
    stage.text("2026-10-18 10:00 to 15:00").keys("enter");
    let expected = Ask::MoveSession {
        session: "s-0".into(),
        starts: "2026-10-18 10:00".into(),
        ends: Some("15:00".into()),
    };
    assert_eq!(stage.host.asked, [expected]);
    stage.shows("Ends Sat 14 Nov 15:40").hides("(before").hides("→ 93 %");
    stage.state.plan.before = Some((Some("Sun 15 Nov 10:00".into()), Some("80 %".into())));
    stage.shows("(before Sun 15 Nov 10:00)").shows("80 % → 93 % in time");
    stage.keys("k").hides("(before").hides("→ 93 %");
}

#[test]
fn who_comes_is_said_and_a_session_without_steps_can_be_reached() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("4 right right").shows("› Sat 24 Oct").shows("No step stands in this session");
    stage.keys("w").shows("Ansel, Birgit, Caspar").text("Ansel").keys("enter");
    let expected = Ask::SessionPeople { session: "s-2".into(), people: vec!["Ansel".into()] };
    assert_eq!(stage.host.asked, [expected]);
    stage.keys("w ctrl-u enter");
    let all = Ask::SessionPeople { session: "s-2".into(), people: Vec::new() };
    assert_eq!(stage.host.asked.last(), Some(&all));
}

#[test]
fn what_if_shows_both_sides_and_asks_for_no_deed() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("4 i").shows("nothing is changed").keys("4");
    stage.shows("Weighing it").hides("71 % in time").later();
    stage.shows("hold boat-cut-outs").shows("93 % in time").shows("71 % in time");
    stage.keys("esc i 2 w").later().hides("without s-0").keys("esc").later().shows("without s-0");
    stage.keys("esc i 2 ctrl-x").shows("Stopped").later().hides("without s-0");
    stage.keys("i 1").later().shows("helps most");
    stage.keys("esc").shows("helps most: an evening more: 93 → 97 %");
    assert!(stage.host.asked.is_empty());
}

#[test]
fn a_hold_offers_the_marked_prop() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("4 h").shows("boat-cut-outs").keys("enter").text("paint wet").keys("enter");
    let expected = Ask::HoldPlacement { code: "boat-cut-outs".into(), why: Some("paint wet".into()) };
    assert_eq!(stage.host.asked, [expected]);
}

/// Every kind of "done differently" takes at most five keys from the marked step on.
#[test]
fn done_differently_takes_at_most_five_keys() {
    for (keys, what, text) in [
        ("d 1 7 enter", Difference::Port, "7"),
        ("d 1 1 2 enter", Difference::Port, "12"),
        ("d 2 4 7 enter", Difference::Lead, "L-047"),
        ("d 3 p o enter", Difference::Place, "porch"),
        ("d 4 6 enter", Difference::Count, "6"),
        ("d 5 3 5 enter", Difference::Level, "35"),
    ] {
        let mut stage = Stage::new(Fill::Normal);
        stage.keys("2 esc").keys(keys);
        assert!(keys.split(' ').count() <= 5, "{keys}");
        let key = "boats/mark".to_owned();
        let expected = Ask::DoneDifferently { key, what, text: text.to_owned() };
        assert_eq!(stage.host.asked, [expected], "{keys}");
    }
}

#[test]
fn a_done_step_can_be_told_how_long_it_took() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("2 esc w");
    assert!(stage.status().contains("Only the time of a done step"), "{}", stage.status());
    stage.keys("enter up w").text("1h20").keys("enter");
    let asked =
        Ask::CorrectTime { key: "boats/mark".into(), ticked_ms: None, minutes: Some(80), why: String::new() };
    assert_eq!(stage.host.asked.last(), Some(&asked));
    stage.keys("w").text("soon").keys("enter").shows("✗");
    stage.shows("timer runs since 09:00");
}

#[test]
fn what_to_bring_names_a_place_only_where_one_is_told() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("2 g").shows("club hammer, stake cap, from tool chest");
    for (_, text) in match stage.state.popups.last() {
        Some(ladderday::tui::popup::Popup::Reading(page)) => page.lines.clone(),
        other => panic!("{other:?}"),
    } {
        assert!(!text.trim_end().ends_with("from"), "{text}");
    }
}

#[test]
fn kit_sorts_groups_and_filters() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("5 k 6").shows("only place").shows("eaves").hides("P-031");
    stage.keys("esc").shows("28 in all").keys("s").shows("by code");
    let code = |stage: &Stage| stage.state.kit.list.shown.first().copied();
    stage.keys("home");
    assert_eq!(stage.state.kit.page.as_ref().unwrap().rows[code(&stage).unwrap()].code, "ansel");
    stage.keys("g g").shows("grouped by place").shows("house ─");
    stage.keys("g home").shows("grouped by state").shows("140 on hand ─");
}

#[test]
fn the_first_run_goes_from_the_date_to_props_without_a_file() {
    let mut stage = Stage::new(Fill::Empty);
    stage.keys("a").text("2026-11-27").keys("enter").shows("The first prop");
    stage.text("Bridge arches, 6, drive edge, timber base").keys("enter").shows("Next prop");
    let date =
        Ask::NewSeason { code: String::new(), name: String::new(), lights_on: Some("2026-11-27".into()) };
    let prop = Ask::AddProp { line: "Bridge arches, 6, drive edge, timber base".into() };
    assert_eq!(stage.host.asked, [date, prop]);
    stage.keys("enter").hides("Next prop");
    assert_eq!(Stage::new(Fill::Empty).keys("o").outcome, Outcome::Demo);
    let mut stage = Stage::new(Fill::Empty);
    stage.keys("i").text("/tmp/props.csv").keys("enter");
    let import = |columns: &[&str]| Ask::Import {
        paths: vec!["/tmp/props.csv".into()],
        columns: columns.iter().map(|c| (*c).to_owned()).collect(),
    };
    assert_eq!(stage.host.asked, [import(&[])]);
    // What a column tells is told behind the file.
    stage.keys("i").text("/tmp/props.csv; Zeug=name; Ort=where").keys("enter");
    assert_eq!(stage.host.asked[1], import(&["Zeug=name", "Ort=where"]));
}

#[test]
fn the_history_goes_back_to_before_a_deed() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("2 esc enter enter enter H").shows("latest first").shows("boats/sleeve").keys("2");
    assert_eq!(stage.host.asked.len(), 5);
    assert_eq!(stage.host.asked[3..], [Ask::Undo, Ask::Undo]);
    assert_eq!(stage.host.state("boats/mark"), ladderday::answers::view::StepState::Done);
    assert_eq!(stage.host.state("boats/stakes"), ladderday::answers::view::StepState::Open);
    stage.keys("H end enter");
    assert!(stage.status().contains("taken back already"), "{}", stage.status());
}

#[test]
fn the_look_chosen_is_kept() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("l");
    assert_eq!(stage.host.kept_look, Some(LookWord::Night));
    stage.keys("l");
    assert_eq!(stage.host.kept_look, Some(LookWord::Day));
}

#[test]
fn clicks_count_and_targets_are_large_enough_for_a_glove() {
    let mut stage = Stage::new(Fill::Normal);
    stage.state.mouse = true;
    for (wide, high) in [(80, 24), (120, 40)] {
        for digit in 0..10 {
            stage.keys(&digit.to_string());
            stage.state.popups.clear();
            stage.hits(wide, high);
            for (area, what) in &stage.state.hits {
                let row = matches!(what, ladderday::tui::widgets::canvas::Click::Row(_));
                assert!(row || (area.width >= 6 && area.height >= 3), "{what:?} is {area:?}");
            }
        }
    }
    stage.hits(80, 24);
    stage.click((8 * 4 + 1, 2));
    assert_eq!(stage.state.screen, ladderday::answers::view::ScreenId::Kit);
    stage.keys("9 5").hits(80, 24);
    let (area, _) =
        *stage.state.hits.iter().find(|(_, w)| *w == ladderday::tui::widgets::canvas::Click::Row(2)).unwrap();
    stage.click((area.x + 3, area.y));
    assert_eq!(stage.state.kit.row().unwrap().code, "P-050");
    let (area, _) = *stage
        .state
        .hits
        .iter()
        .find(|(_, w)| {
            matches!(w, ladderday::tui::widgets::canvas::Click::Do(ladderday::tui::action::Action::EditField))
        })
        .unwrap();
    stage.click((area.x + 1, area.y + 2));
    stage.shows("P-050  roof star 1").keys("esc k");
    stage.hits(80, 24);
    let pick = stage.state.hits.iter().find(|(_, w)| *w == ladderday::tui::widgets::canvas::Click::Pick(2));
    let (area, _) = *pick.unwrap();
    stage.click((area.x, area.y));
    assert!(stage.status().contains("only stock"), "{}", stage.status());
}

#[test]
fn glove_time_is_a_setting() {
    use ladderday::tui::keymap::Key;
    for (glove_ms, ticks) in [(150, 1), (50, 2)] {
        let mut stage = Stage::new(Fill::Normal);
        stage.state.glove_ms = glove_ms;
        stage.keys("2 esc");
        stage.key(Key::Enter, 500).key(Key::Enter, 100);
        assert_eq!(stage.host.asked.len(), ticks, "{glove_ms} ms");
    }
}

/// Nothing on a row runs into what stands beside it: the prop comes first.
#[test]
fn walk_rows_lead_with_the_prop() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("2 esc");
    for (wide, high) in [(80, 24), (120, 40)] {
        let text = super::stage::lines(&stage.buffer(wide, high));
        let row = text
            .lines()
            .find(|l| l.contains("Drive stakes") && l.contains("09:20"))
            .unwrap_or_else(|| panic!("{text}"));
        let (prop, title) = (row.find("boat").unwrap(), row.find("Drive").unwrap());
        assert!(prop < title, "{row}");
    }
}
