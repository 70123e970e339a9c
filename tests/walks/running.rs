//! A session that runs: ticks never wait for the plan, which is made again beside them and comes in by itself.

use std::time::{Duration, Instant};

use ladderday::answers::view::{ScreenId, StepState, Walk};
use ladderday::app::PageWant;
use ladderday::app::{App, Ask, Choices, Form, Page};
use ladderday::domain::{Phase, TickKind};
use ladderday::tui::Host;

fn demo(now: &str) -> (tempfile::TempDir, App) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("d.ladderday");
    App::demo(&path, true, &Choices { now: Some("2026-09-01T12:00".to_owned()), ..Choices::default() })
        .unwrap();
    let app = at(&folder, now);
    (folder, app)
}

fn at(folder: &tempfile::TempDir, now: &str) -> App {
    of_season(folder, now, Some("harbor-2026"))
}

fn of_season(folder: &tempfile::TempDir, now: &str, season: Option<&str>) -> App {
    let choices =
        Choices { now: Some(now.to_owned()), season: season.map(str::to_owned), ..Choices::default() };
    App::open(&folder.path().join("d.ladderday"), &choices).unwrap()
}

fn walk(app: &mut App) -> Walk {
    let page = Host::page(app, ScreenId::Walk, &PageWant::default()).unwrap();
    Host::settled(app, None);
    match page {
        Page::Walk(walk) => walk,
        other => panic!("no walk: {:?}", other.screen()),
    }
}

/// Keys of this session's steps that are still open.
fn open(walk: &Walk) -> Vec<String> {
    let steps = walk.places.iter().flat_map(|p| &p.steps);
    let open = steps.filter(|s| matches!(s.state, StepState::Open));
    open.map(|s| s.key.clone()).collect()
}

/// Waits until the plan has come in; says which screens it changed.
#[expect(clippy::disallowed_methods, reason = "a deadline for the thread that plans")]
fn settle(app: &mut App) -> Vec<ScreenId> {
    let end = Instant::now() + Duration::from_secs(60);
    while Instant::now() < end {
        let changed = app.poll();
        if !changed.is_empty() {
            return changed;
        }
        std::thread::sleep(Duration::from_millis(2));
    }
    panic!("the plan did not come in");
}

fn tick(app: &mut App, key: &str) {
    app.perform(&Ask::Tick { key: key.to_owned(), kind: TickKind::Done, count: None, why: None }).unwrap();
}

#[test]
fn a_tick_has_the_plan_made_again_and_the_walk_keeps_its_order() {
    let (_folder, mut app) = demo("2026-10-15T18:05");
    walk(&mut app);
    settle(&mut app);
    let before = open(&walk(&mut app));
    assert!(before.len() > 3, "{before:?}");
    assert!(app.background().is_none(), "nothing was ticked: nothing to plan");
    tick(&mut app, &before[0]);
    let shown = open(&walk(&mut app));
    assert_eq!(shown, before[1..], "what shows meanwhile is the walk as it was");
    let work = app.background().expect("the plan is being made again");
    assert_eq!(work.what, "improving the plan");
    assert!(work.share.is_some());
    // A second tick lets that one go and begins the next.
    tick(&mut app, &before[1]);
    walk(&mut app);
    let changed = settle(&mut app);
    for screen in [ScreenId::Today, ScreenId::Plan, ScreenId::Walk] {
        assert!(changed.contains(&screen));
    }
    let after = open(&walk(&mut app));
    let same: Vec<&String> = after.iter().filter(|k| before.contains(k)).collect();
    assert_eq!(same, before[2..].iter().collect::<Vec<_>>());
    let plan = app.make_plan(Phase::Up, ladderday::planner::Effort::of(1));
    app.judge(&plan.unwrap()).unwrap();
}

/// Bench steps, steps up and steps of the show that comes off are walked in one list: by the phase of the day, nobody chose
/// a season.
#[test]
fn whatever_is_walked_keeps_its_order_from_the_first_tick() {
    for now in ["2026-09-03T19:02", "2026-10-15T18:05", "2026-11-05T18:02"] {
        let (folder, app) = demo(now);
        drop(app);
        let mut app = of_season(&folder, now, None);
        walk(&mut app);
        settle(&mut app);
        let listed = open(&walk(&mut app));
        assert!(listed.len() > 3, "{now}: {listed:?}");
        let mut before = listed.clone();
        for n in 1..=2 {
            tick(&mut app, &before[0]);
            walk(&mut app);
            settle(&mut app);
            let after = open(&walk(&mut app));
            // A step that has no room any more goes to another session; none of those listed at the first tick changes its
            // place among the others.
            let same: Vec<&String> = after.iter().filter(|k| listed.contains(k)).collect();
            let stays: Vec<&String> = listed.iter().filter(|k| after.contains(k)).collect();
            assert_eq!(same, stays, "{now}");
            assert!(stays.len() * 4 >= (listed.len() - n) * 3, "{now}: {} of {}", stays.len(), listed.len());
            before = after;
        }
        drop(app);
        let mut afresh = of_season(&folder, now, None);
        walk(&mut afresh);
        settle(&mut afresh);
        assert_eq!(open(&walk(&mut afresh)), before, "{now}: opened afresh");
    }
}

/// Order, people and hours of what is walked: of steps not done yet too, the evening before and in the session itself.
#[test]
fn who_and_when_stay_from_the_first_tick_whatever_the_hour() {
    for now in ["2026-09-02T20:00", "2026-10-17T09:05", "2026-11-20T18:30"] {
        let (folder, app) = demo(now);
        drop(app);
        let mut app = of_season(&folder, now, None);
        walk(&mut app);
        settle(&mut app);
        let reads = |w: &Walk| {
            let steps = w.places.iter().flat_map(|p| &p.steps);
            let row = |s: &ladderday::answers::view::WalkStep| {
                (s.key.clone(), s.from.clone(), s.people.clone(), s.minutes)
            };
            steps.filter(|s| s.state == StepState::Open).map(row).collect::<Vec<_>>()
        };
        let first = walk(&mut app);
        let listed = reads(&first);
        let all = first.places.iter().map(|p| p.steps.len()).sum::<usize>();
        for n in 0..3 {
            tick(&mut app, &listed[n].0);
            walk(&mut app);
            settle(&mut app);
            let page = walk(&mut app);
            assert_eq!(page.session, first.session, "{now}");
            let (after, open) = (reads(&page), n + 1);
            let same: Vec<_> = after.iter().filter(|r| listed.iter().any(|l| l.0 == r.0)).collect();
            let stays: Vec<_> = listed.iter().filter(|l| after.iter().any(|r| r.0 == l.0)).collect();
            assert_eq!(same, stays, "{now} after {open}");
            let done = page.places.iter().flat_map(|p| &p.steps).filter(|s| s.state == StepState::Done);
            assert_eq!(done.count(), open, "{now}: what is done stays in the list");
            let shown = page.places.iter().map(|p| p.steps.len()).sum::<usize>();
            assert!(shown * 4 >= all * 3, "{now}: {shown} of {all}");
            let hours: Vec<_> = after.iter().filter_map(|row| row.1.clone()).collect();
            assert!(hours.is_sorted(), "{now}: the clock runs backwards: {hours:?}");
        }
    }
}

/// Begun the evening before, the list that is walked stays the one that is due, though another plan has work for a session
/// before it.
#[test]
fn a_session_begun_the_evening_before_stays_due() {
    let (folder, app) = demo("2026-11-20T18:30");
    drop(app);
    let mut app = of_season(&folder, "2026-11-20T18:30", None);
    walk(&mut app);
    settle(&mut app);
    let first = walk(&mut app);
    tick(&mut app, &open(&first)[0]);
    // Somebody has time this very night: what is planned afresh may use it.
    app.perform(&Ask::AddSession {
        starts: "2026-11-20T19:00".to_owned(),
        ends: "2026-11-20T22:00".to_owned(),
        people: app.yard().people.iter().map(|p| p.name.clone()).collect(),
        work_lights: true,
    })
    .unwrap();
    walk(&mut app);
    settle(&mut app);
    assert_eq!(walk(&mut app).session, first.session);
}

/// Without sessions all is one list: it keeps its order over ticks, and over a fault that brings a mend into it.
#[test]
fn a_list_without_sessions_keeps_its_order_over_a_fault() {
    let folder = tempfile::tempdir().unwrap();
    let (path, now) = (folder.path().join("d.ladderday"), "2026-10-10T10:00");
    let choices = Choices { now: Some(now.to_owned()), ..Choices::default() };
    let mut app = App::create(&path, &choices).unwrap();
    let sheet = folder.path().join("props.csv");
    let text = "lights on,2026-11-27\nname,how many,where,how mounted\nicicle strings,3,balcony rail,hooks\n\
                garland,1,door,zip-tied\nwreath,1,,\nstar,1,gable,hooks\ncanes,6,path,stakes\n";
    std::fs::write(&sheet, text).unwrap();
    app.import(&[sheet]).unwrap();
    let keys =
        |w: &Walk| w.places.iter().flat_map(|p| p.steps.iter().map(|s| s.key.clone())).collect::<Vec<_>>();
    let before = keys(&walk(&mut app));
    tick(&mut app, &before[0]);
    assert_eq!(keys(&walk(&mut app)), before, "over a tick");
    let target = app.yard().placements.iter().find(|p| p.name.contains("garland")).unwrap().code.clone();
    let fault = ladderday::app::NewFault {
        target,
        symptom: "whole_dark".to_owned(),
        at: None,
        tonight: ladderday::app::Tonight::Nothing,
        note: String::new(),
    };
    app.perform(&Ask::LogFault(fault)).unwrap();
    let after = keys(&walk(&mut app));
    let same: Vec<&String> = after.iter().filter(|k| before.contains(k)).collect();
    assert_eq!(same, before.iter().collect::<Vec<_>>(), "over a fault");
    drop(app);
    let mut afresh = App::open(&path, &choices).unwrap();
    assert_eq!(keys(&walk(&mut afresh)), after, "opened afresh");
}

/// Kept in the morning, begun an hour late: what no longer fits shows in its new session, the rest in its order.
#[test]
fn what_no_longer_fits_a_late_evening_shows_where_it_is_done_instead() {
    let (folder, mut app) = demo("2026-10-17T07:00");
    app.keep_plan(Phase::Up, 200).unwrap();
    drop(app);
    let mut app = at(&folder, "2026-10-17T09:00");
    let expected = open(&walk(&mut app));
    drop(app);
    let mut app = at(&folder, "2026-10-17T13:40");
    walk(&mut app);
    settle(&mut app);
    let page = walk(&mut app);
    let left = open(&page);
    let same: Vec<&String> = left.iter().filter(|k| expected.contains(k)).collect();
    let fits: Vec<&String> = expected.iter().filter(|k| left.contains(k)).collect();
    assert_eq!(same, fits, "the order of what stays");
    assert!(!same.is_empty() && same.len() < expected.len(), "{} of {} stay", same.len(), expected.len());
    let doc: serde_json::Value =
        serde_json::from_str(&app.plan_answer(Phase::Up, 200, Form::Json).unwrap()).unwrap();
    for key in expected.iter().filter(|k| !left.contains(k)) {
        let row = doc["steps"].as_array().unwrap().iter().find(|s| s["key"] == key.as_str()).unwrap();
        let from = row["from"].as_str().unwrap_or_else(|| panic!("{key} has a new place"));
        assert!(from > "2026-10-17T17", "{key} moved to {from}");
    }
}

#[test]
fn a_stop_leaves_the_best_so_far() {
    let (_folder, mut app) = demo("2026-10-15T18:05");
    walk(&mut app);
    assert!(app.background().is_some());
    assert!(app.stop().contains("best"));
    settle(&mut app);
    assert!(app.background().is_none());
    assert!(!open(&walk(&mut app)).is_empty());
}

/// A search beside the screens has only a part of the facts: it must come to what a command comes to with all of them.
#[test]
fn a_plan_improved_beside_the_screens_is_that_of_a_command() {
    let (folder, mut app) = demo("2026-10-15T18:05");
    walk(&mut app);
    settle(&mut app);
    let beside = app.plan_answer(Phase::Up, 1, Form::Json).unwrap();
    let odds = app.odds(Phase::Up, 1).unwrap();
    let mut other = at(&folder, "2026-10-15T18:05");
    Host::page(&mut other, ScreenId::Walk, &PageWant::default()).unwrap();
    let asked = other.plan_answer(Phase::Up, 2_000, Form::Json).unwrap();
    assert!(beside == asked, "two plans of the same facts");
    assert_eq!(odds, other.odds(Phase::Up, 2_000).unwrap());
}

/// While a show is lit Plan shows its takedown; late in autumn something is left out.
#[test]
fn what_plan_shows_is_that_of_a_command_all_year() {
    for (now, phase) in [("2026-12-10T20:00", Phase::Down), ("2026-11-02T08:00", Phase::Up)] {
        let (folder, mut app) = demo(now);
        walk(&mut app);
        settle(&mut app);
        let shown = |app: &mut App| {
            let page = Host::page(app, ScreenId::Plan, &PageWant::default()).unwrap();
            let Page::Plan(page) = page else { panic!("not Plan") };
            (page.unplaced.iter().map(|u| (u.key.clone(), u.why.clone())).collect::<Vec<_>>(), page.finish)
        };
        let beside = shown(&mut app);
        let of = app.plan_answer(phase, 1, Form::Json).unwrap();
        let mut other = at(&folder, now);
        let asked = other.plan_answer(phase, 2_000, Form::Json).unwrap();
        let differ = of.lines().zip(asked.lines()).find(|(a, b)| a != b);
        assert_eq!(differ, None, "{now}: two plans");
        // One that is opened afresh shows what was found before.
        let mut again = at(&folder, now);
        assert_eq!(shown(&mut again), beside, "{now}");
    }
}
