//! Learned times: put right after pauses, switched off, and their spread in the odds.

use std::fmt::Write as _;

use chrono::Duration;
use ladderday::answers::view::ScreenId;
use ladderday::app::{App, Ask, Page, QUICK};
use ladderday::domain::{Phase, TickKind};

use super::Yard;

/// A Thursday evening session of the demo, and the night after it.
const EVENING: [&str; 3] = ["2026-10-15T18:00", "2026-10-15T20:10", "2026-10-16T07:00"];

fn open_step(app: &mut App) -> String {
    let page = app.page(ScreenId::Walk, &ladderday::app::PageWant::default()).unwrap();
    let Page::Walk(walk) = page else { panic!("another page") };
    // A duty that is done is no step any more; what takes long has no long pause.
    let of_a_prop = |s: &&ladderday::answers::view::WalkStep| {
        s.key.starts_with("placement:") && s.minutes < 20 && !s.key.contains(".bench")
    };
    walk.places.iter().flat_map(|p| &p.steps).find(of_a_prop).unwrap().key.clone()
}

#[test]
fn a_long_pause_is_asked_about_once_the_session_is_over_and_its_answer_is_learned() {
    let yard = Yard::demo();
    let key = open_step(&mut yard.at(EVENING[0]));
    let mut app = yard.at(EVENING[1]);
    let tick = Ask::Tick { key: key.clone(), kind: TickKind::Done, count: None, why: None };
    app.perform(&tick).unwrap();
    let pauses = |app: &mut App| match app.page(ScreenId::Walk, &ladderday::app::PageWant::default()).unwrap()
    {
        Page::Walk(walk) => walk.pauses,
        _ => Vec::new(),
    };
    assert!(pauses(&mut app).is_empty(), "not on the lawn");
    let mut app = yard.at(EVENING[2]);
    let asked = pauses(&mut app);
    assert!(asked.len() == 1 && asked[0].gap_min > 60 && asked[0].key == key, "{asked:?}");
    let correct = |minutes| Ask::CorrectTime {
        key: key.clone(),
        ticked_ms: Some(asked[0].ticked_ms),
        minutes,
        why: String::new(),
    };
    assert_eq!(app.perform(&correct(Some(0))).unwrap_err().code, "bad-minutes");
    app.perform(&correct(Some(20))).unwrap();
    assert!(pauses(&mut app).is_empty(), "asked once");
    let told = &app.yard().time_corrections;
    assert_eq!(told[0].taken_s.unwrap().s(), 1200);
    let mut later = yard.at("2026-10-20T07:00");
    assert!(pauses(&mut later).is_empty());
    let none = Ask::CorrectTime {
        key: open_step(&mut later),
        ticked_ms: None,
        minutes: Some(5),
        why: String::new(),
    };
    assert_eq!(later.perform(&none).unwrap_err().code, "not-ticked");
}

#[test]
fn one_option_switches_the_record_off_and_the_answer_says_so() {
    let yard = Yard::demo();
    let mut app = yard.at("2026-09-01T12:00");
    let own = app.plan(Phase::Up, QUICK).unwrap();
    assert!(own.assumed.iter().any(|a| a.contains("your own record's")), "{:?}", own.assumed);
    app.use_own_times(false);
    let recipes = app.plan(Phase::Up, QUICK).unwrap();
    assert!(recipes.assumed.iter().any(|a| a.contains("switched off")), "{:?}", recipes.assumed);
    let sum = |p: &ladderday::planner::Plan| p.steps.iter().map(|s| s.minutes).sum::<i64>();
    assert_ne!(sum(&own), sum(&recipes));
}

/// The same doings told as having taken just their plan, or six times it and a sixth by turns: the middle is the
/// same, only the spread differs, and with it the span from the usual to the late end.
#[test]
fn a_wider_record_widens_the_odds() {
    let span = |factor: i64| {
        let yard = Yard::demo();
        let folder = tempfile::tempdir().unwrap();
        let mut app = yard.season("2026-09-01T12:00", "tide-2026");
        app.export(folder.path()).unwrap();
        let file = folder.path().join("time_correction.csv");
        std::fs::write(&file, corrections(&folder.path().join("tick.csv"), factor)).unwrap();
        app.import(&[file]).unwrap();
        let odds = app.odds(Phase::Up, QUICK).unwrap().unwrap();
        odds.p95.zip(odds.p50).map_or(Duration::days(365), |(late, usual)| late - usual)
    };
    let (narrow, wide) = (span(1), span(6));
    assert!(wide > narrow, "{wide}, narrow {narrow}");
}

fn corrections(ticks: &std::path::Path, factor: i64) -> String {
    let mut ticks = csv::Reader::from_path(ticks).unwrap();
    let heads = ticks.headers().unwrap().clone();
    let column =
        |name: &str| heads.iter().position(|h| h == name).unwrap_or_else(|| panic!("{name}: {heads:?}"));
    let (key, at, kind, planned) = (column("step_key"), column("at"), column("kind"), column("planned_s"));
    let recipe = column("recipe_step");
    let rows: Vec<csv::StringRecord> =
        ticks.records().map(Result::unwrap).filter(|r| &r[kind] == "done" && !r[at].is_empty()).collect();
    let mut of: std::collections::BTreeMap<&str, Vec<&csv::StringRecord>> = std::collections::BTreeMap::new();
    for row in &rows {
        of.entry(&row[recipe]).or_default().push(row);
    }
    let mut text = "step_key,ticked,at,taken_s,why\n".to_owned();
    for list in of.values() {
        for (n, row) in list.iter().enumerate() {
            let Ok(p) = row[planned].parse::<i64>() else { continue };
            // The odd one out took its plan, so that the middle stays.
            let taken = match n % 2 {
                _ if list.len() % 2 == 1 && n + 1 == list.len() => p,
                0 => p * factor,
                _ => p / factor,
            };
            let _ = writeln!(text, "{},{},2026-08-01T12:00,{taken},", &row[key], &row[at]);
        }
    }
    text
}

/// Steps ticked together took the time since the last tick once, not each.
#[test]
fn what_is_ticked_at_once_shares_its_time() {
    let yard = Yard::demo();
    let taken = |app: &mut App| match app.page(ScreenId::Seasons, &ladderday::app::PageWant::default()) {
        Ok(Page::Seasons(page)) => page.rows.iter().find(|r| r.code == "harbor-2026").unwrap().taken_min,
        _ => panic!("another page"),
    };
    let mut app = yard.at(EVENING[1]);
    let page = app.page(ScreenId::Walk, &ladderday::app::PageWant::default()).unwrap();
    let Page::Walk(walk) = page else { panic!("another page") };
    let keys: Vec<String> =
        walk.places.iter().flat_map(|p| &p.steps).take(5).map(|s| s.key.clone()).collect();
    let before = taken(&mut app);
    app.perform(&Ask::TickAll { keys }).unwrap();
    assert_eq!(taken(&mut app) - before, 130, "18:00 to 20:10, once");
}
