//! What is next is one answer on four screens, and each row leads to the very thing that it names, on yards of many kinds.

use std::collections::BTreeSet;
use std::rc::Rc;

use ladderday::answers::view::{Aim, Level, Next, ScreenId, StepState};
use ladderday::app::App;
use ladderday::tui::Look;
use ladderday::tui::popup::Popup;
use ladderday::tui::screens::hints;
use ladderday::tui::screens::today::Marked;
use ladderday::tui::state::State;

use super::fake::Fill;
use super::stage::Stage;
use super::yards;

/// Yards at moments of their year: the demo, a balcony, a farm without people, some at random.
fn yards_in_time() -> Vec<(String, App, Rc<yards::Yard>)> {
    let mut out = Vec::new();
    let demo = Rc::new(yards::demo());
    for now in
        ["2026-09-03T19:02", "2026-10-15T18:05", "2026-11-20T18:30", "2026-12-20T18:05", "2027-01-10T10:00"]
    {
        out.push((format!("demo {now}"), demo.open(now), Rc::clone(&demo)));
    }
    for (name, yard) in [("balcony", yards::balcony()), ("one", yards::random(1)), ("two", yards::random(2))]
    {
        let yard = Rc::new(yard);
        for now in ["2026-09-20T10:00", "2026-10-13T10:00", "2026-11-20T19:00"] {
            out.push((format!("{name} {now}"), yard.open(now), Rc::clone(&yard)));
        }
    }
    out
}

fn next(state: &State) -> [Option<Next>; 3] {
    let today = state.today.page.as_ref().and_then(|p| p.next.as_ref());
    let yard = state.yard.page.as_ref().and_then(|p| p.next.as_ref());
    [today, yard, state.plan.page.as_ref().and_then(|p| p.next.as_ref())].map(Option::<&Next>::cloned)
}

#[test]
fn today_walk_yard_and_plan_have_one_answer_to_what_is_next() {
    let mut met = 0;
    for (name, app, _yard) in yards_in_time() {
        let mut stage = Stage::of(app, Look::default());
        stage.keys("2 3 4");
        let [today, yard, plan] = next(&stage.state);
        assert_eq!(today, yard, "{name}");
        let Some(next) = today else { continue };
        met += 1;
        stage.keys("2");
        assert_eq!(stage.state.walk.step().map(|s| &s.key), Some(&next.key), "{name}: marked on Walk");
        assert_eq!(plan.as_ref(), Some(&next), "{name}");
        // While it is lit Plan has the takedown, which is of another day: its first step is marked.
        let marked = stage.state.plan.step().map(|(_, s)| s.key.clone());
        let begins = stage.state.plan.page.as_ref().and_then(|p| p.begins.clone());
        let first = begins.as_ref().unwrap_or(&next);
        assert!(marked.is_none_or(|key| key == first.key), "{name}: marked on Plan");
        let place = stage.state.yard.place().filter(|p| p.first).map(|p| p.next_key.clone());
        assert!(place.is_none_or(|key| key == Some(next.key.clone())), "{name}: marked on Yard");
        let chips = stage.state.yard.places().iter().filter(|p| p.first).count();
        assert!(chips <= 1, "{name}");
        stage.keys("1 home enter");
        assert_eq!(stage.state.walk.step().map(|s| &s.key), Some(&next.key), "{name}: entered from Today");
    }
    assert!(met >= 10, "{met} yards had something to do");
}

#[test]
fn every_row_of_today_opens_that_very_step_with_nothing_over_it() {
    let mut opened = 0;
    for (name, app, _yard) in yards_in_time() {
        let mut stage = Stage::of(app, Look::default());
        for at in 0..stage.state.today.len() {
            // The round of the night was looked at before: no other row leads into it.
            stage.keys("1");
            stage.state.today.at = at;
            let key = match stage.state.today.line() {
                Some(Marked::Next(next)) => Some(next.key.clone()),
                Some(Marked::Ready(place)) => Some(place.key.clone()),
                Some(Marked::Alarm(alarm)) => match &alarm.aim {
                    Aim::Step(key, _) if alarm.screen == ScreenId::Walk => Some(key.clone()),
                    _ => None,
                },
                None => None,
            };
            stage.keys("enter");
            let Some(key) = key else { continue };
            opened += 1;
            assert_eq!(stage.state.screen, ScreenId::Walk, "{name} row {at}");
            assert_eq!(stage.state.walk.step().map(|s| &s.key), Some(&key), "{name} row {at}");
            assert!(stage.state.popups.is_empty(), "{name} row {at}: {:?}", stage.state.popups);
        }
    }
    assert!(opened > 60, "{opened} rows");
}

#[test]
fn a_digit_leaves_the_round_that_today_led_to() {
    let yard = yards::demo();
    let mut stage = Stage::of(yard.open("2026-10-15T18:05"), Look::default());
    stage.keys("1");
    let rows = stage.state.today.page.as_ref().unwrap().alarms.clone();
    let round = rows.iter().position(|a| matches!(a.aim, Aim::Phase(_))).expect("a show is lit");
    stage.state.today.at = round + 1;
    stage.keys("enter").shows("TONIGHT").shows("2 what is due");
    stage.keys("2").shows("CHANGEOVER").hides("2 what is due");
    stage.keys("1").state.today.at = round + 1;
    stage.keys("enter 4 2").shows("CHANGEOVER");
}

#[test]
fn enter_on_a_place_goes_to_a_step_there_or_says_why_not() {
    let mut met = BTreeSet::new();
    for (name, app, _yard) in yards_in_time() {
        let mut stage = Stage::of(app, Look::default());
        stage.keys("3");
        for at in 0..stage.state.yard.places().len() {
            stage.keys("3");
            stage.state.yard.at = at;
            let place = stage.state.yard.place().unwrap().clone();
            stage.keys("enter");
            if place.done < place.total && place.next_key.is_some() {
                let step = stage.state.walk.step().unwrap_or_else(|| panic!("{name} {}", place.name));
                assert_eq!((stage.state.screen, &step.place), (ScreenId::Walk, &place.name), "{name}");
                met.insert("step");
            } else {
                assert_eq!(stage.state.screen, ScreenId::Yard, "{name} {}", place.name);
                assert!(stage.status().contains(&place.name), "{name}: {}", stage.status());
                met.insert("nothing");
            }
        }
    }
    assert_eq!(met.len(), 2, "both were met");
}

#[test]
fn no_two_steps_of_a_list_read_alike() {
    for (name, app, _yard) in yards_in_time() {
        let mut stage = Stage::of(app, Look::default());
        stage.keys("2");
        let sessions = stage.state.walk.page.as_ref().map_or(0, |p| p.sessions.len());
        for _ in 0..sessions.max(1) {
            let mut seen = BTreeSet::new();
            for step in stage.state.walk.steps() {
                let reads = (&step.place, &step.prop, &step.deed);
                assert!(seen.insert(reads), "{name}: {reads:?} twice");
                // What is about no prop stands in the words of whoever told it.
                let own = step.prop.is_empty();
                assert!(own || step.deed.chars().count() <= 40, "{name}: {}", step.deed);
            }
            stage.keys("]");
        }
    }
}

#[test]
fn deeds_of_the_nightly_round_are_short() {
    let yard = yards::demo();
    let mut stage = Stage::of(yard.open("2026-12-20T18:05"), Look::default());
    stage.keys("2").shows("TONIGHT");
    assert!(stage.state.walk.steps().count() > 20);
    for step in stage.state.walk.steps() {
        assert!(step.deed.chars().count() <= 18, "{}", step.deed);
    }
}

#[test]
fn where_nobody_is_told_there_is_an_order_and_no_hour() {
    for seed in 0..6 {
        let yard = yards::random(seed);
        let mut stage = Stage::of(yard.open("2026-10-10T08:00"), Look::default());
        stage.keys("2");
        assert!(stage.state.walk.steps().all(|s| s.from.is_none()), "seed {seed}");
    }
    let demo = yards::demo();
    let mut stage = Stage::of(demo.open("2026-10-17T08:00"), Look::default());
    stage.keys("2");
    assert!(stage.state.walk.steps().any(|s| s.from.is_some()), "people are told");
}

#[test]
fn what_is_too_early_is_ticked_only_when_told_again() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("2");
    let early = Some("runs until 10:40; never leave it alone".to_owned());
    stage.state.walk.page.as_mut().unwrap().places[0].steps[0].early = early;
    stage.keys("enter");
    assert!(stage.host.asked.is_empty() && stage.status().contains("10:40"), "{}", stage.status());
    // Looking elsewhere forgets it.
    stage.keys("down up enter");
    assert!(stage.host.asked.is_empty());
    stage.keys("enter");
    assert_eq!(stage.host.asked.len(), 1);
}

#[test]
fn a_test_that_runs_is_too_early_to_be_ticked_on_a_real_yard() {
    let yard = yards::balcony();
    let mut stage = Stage::of(yard.open("2026-10-10T10:00"), Look::default());
    stage.keys("2");
    let start = stage.state.walk.step().unwrap().key.clone();
    let look = start.replace(".start/", "/");
    assert_ne!(start, look, "{start} starts a test");
    stage.keys("enter");
    assert_ne!(stage.state.walk.step().map(|s| &s.key), Some(&look), "the mark goes to what can be done");
    let at = stage.state.walk.steps().position(|s| s.key == look).unwrap();
    stage.state.walk.at = at;
    stage.keys("enter");
    assert!(stage.status().contains("runs until 10:"), "{}", stage.status());
    assert_eq!(stage.state.walk.steps().nth(at).unwrap().state, StepState::Open);
    stage.keys("space");
    assert_eq!(stage.state.walk.steps().find(|s| s.key == look).unwrap().state, StepState::Done);
}

#[test]
fn the_mark_goes_to_what_can_be_done_and_the_list_stays() {
    for (name, app, _yard) in yards_in_time() {
        let mut stage = Stage::of(app, Look::default());
        stage.keys("2");
        // A round has no sessions whose order is kept.
        if stage.state.walk.page.as_ref().is_some_and(|p| p.phase == "tonight") {
            continue;
        }
        let keys = |s: &State| s.walk.steps().map(|s| s.key.clone()).collect::<Vec<_>>();
        for _ in 0..3 {
            let before = keys(&stage.state);
            let ready = |s: &State| s.walk.steps().any(|s| s.state == StepState::Open && s.ready);
            if !ready(&stage.state) {
                break;
            }
            let here = stage.state.walk.page.as_ref().unwrap().session.clone();
            stage.keys("enter");
            assert_eq!(stage.state.walk.page.as_ref().unwrap().session, here, "{name}");
            let after = keys(&stage.state);
            assert_eq!(after[..before.len().min(after.len())], before[..], "{name}: nothing moves or goes");
            let step = stage.state.walk.step().unwrap();
            let can = step.ready || !ready(&stage.state);
            assert!(can, "{name}: {} waits: {:?}", step.title, step.waits);
        }
    }
}

#[test]
fn a_page_to_read_names_its_way_and_can_be_read_to_its_end() {
    let mut stage = Stage::new(Fill::Normal);
    let short = vec![(String::new(), "one line".to_owned())];
    stage.state.popups.push(Popup::read("Short", short));
    stage.hides("scroll");
    stage.state.popups.clear();
    let long: Vec<_> =
        (0..12).map(|n| (String::new(), format!("{n} {} last{n}", "word ".repeat(50)))).collect();
    stage.state.popups.push(Popup::read("Long", long));
    stage.picture();
    assert!(hints(&stage.state).contains(&("Down".to_owned(), "scroll")));
    stage.hides("last11").keys("end").shows("last11");
    assert!(hints(&stage.state).contains(&("Up".to_owned(), "scroll")));
}

#[test]
fn what_has_no_place_in_plan_or_yard_is_said_first() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("4");
    stage.state.plan.page.as_mut().unwrap().no_place = 19;
    stage.shows("19 steps have no place").shows("what has one ends");
    stage.keys("3");
    stage.state.yard.page.as_mut().unwrap().no_place = Some((4, 21));
    stage.keys("end").shows("no place told: 4 props, 21 steps");
}

#[test]
fn what_must_stop_the_work_in_the_wiring_stands_on_today_too() {
    for now in ["2026-10-15T18:05", "2026-11-20T18:30"] {
        let demo = yards::demo();
        let mut stage = Stage::of(demo.open(now), Look::default());
        stage.keys("6 1");
        let findings = &stage.state.power.page.as_ref().unwrap().findings;
        let stops = findings.iter().filter(|f| f.level == Level::Stop).count();
        let alarms = &stage.state.today.page.as_ref().unwrap().alarms;
        let said = alarms.iter().find(|a| a.screen == ScreenId::Power).map(|a| (a.level, a.what.clone()));
        assert!(stops > 0, "{now}: the demo has stops");
        let (level, what) = said.unwrap();
        assert!(level == Level::Stop && what.starts_with(&format!("{stops} stop")), "{now}: {what}");
    }
}

#[test]
fn a_show_whose_last_night_is_not_told_has_its_round_and_says_so() {
    let yard = yards::balcony();
    let mut stage = Stage::of(yard.open("2026-12-12T17:30"), Look::default());
    stage.shows("tonight's round").shows("its last night is not");
    stage.keys("2").shows("TONIGHT");
}
