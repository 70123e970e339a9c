//! What-if: a change made on a copy, weighed beside the plan as it is; no fact is touched.

use ladderday::app::{App, Change, Choices, Form, QUICK};
use ladderday::domain::Phase;

fn demo(dir: &std::path::Path) -> App {
    let now = Some("2026-09-01T08:00".to_owned());
    App::demo(&dir.join("demo.ladderday"), false, &Choices { now, ..Choices::default() }).unwrap()
}

fn change(app: &mut App, text: &str) -> (f64, f64, usize, usize) {
    let (before, after) = app.what_if(Phase::Up, &[Change::parse(text).unwrap()], QUICK).unwrap();
    app.judge(&before.0).unwrap();
    let left = |plan: &ladderday::planner::Plan| plan.steps.len();
    let odds = |side: &Option<ladderday::planner::Odds>| side.as_ref().unwrap().in_time;
    (odds(&before.1), odds(&after.1), left(&before.0), left(&after.0))
}

#[test]
fn a_spare_evening_makes_it_surer_and_no_fact_changes() {
    let dir = tempfile::tempdir().unwrap();
    let mut app = demo(dir.path());
    let facts = app.yard().clone();
    let (before, after, ..) = change(&mut app, "session 2026-10-05T15:00 21:30");
    assert!(after > before + 0.05, "{before} then {after}");
    assert_eq!(app.yard(), &facts);
}

#[test]
fn a_prop_left_out_takes_its_steps_along() {
    let dir = tempfile::tempdir().unwrap();
    let mut app = demo(dir.path());
    let season = app.outlook().season_for(Phase::Up).unwrap().id;
    let code = app.yard().placements.iter().find(|p| p.season_id == season).unwrap().code.clone();
    let (before, after, steps, fewer) = change(&mut app, &format!("hold {code}"));
    assert!(fewer < steps && after >= before - 0.01);
}

#[test]
fn helpers_and_ladders_can_be_tried() {
    let dir = tempfile::tempdir().unwrap();
    let mut app = demo(dir.path());
    for text in ["helper Ollie in S26-0913", "helper Someone new in S26-0903E", "ladder step ladder"] {
        let (before, after, ..) = change(&mut app, text);
        assert!(after >= before - 0.02, "{text}: {before} then {after}");
    }
    let lines = app.what_if_answer(Phase::Up, &["ladder step_ladder".to_owned()], QUICK, Form::Text).unwrap();
    assert!(lines.contains("as it is:") && lines.contains("in time"), "{lines}");
}

#[test]
fn what_makes_no_sense_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let mut app = demo(dir.path());
    for text in ["", "nix", "session tomorrow", "session 2026-10-05T15:00 14:00", "helper Ann", "fly me"] {
        assert_eq!(Change::parse(text).unwrap_err().code, "bad-what-if", "{text}");
    }
    for (text, code) in [
        ("hold no-such", "no-such"),
        ("ladder crane", "no-such"),
        ("helper Ollie in nowhere", "no-such"),
        ("helper Wren in S26-0913", "bad-what-if"),
        ("session 2026-10-05T15:00 21:30 with Nobody", "no-such"),
    ] {
        let asked = [Change::parse(text).unwrap()];
        assert_eq!(app.what_if(Phase::Up, &asked, QUICK).unwrap_err().code, code, "{text}");
    }
}
