//! Planning again while the work goes on: a running session keeps its order.

use chrono::{DateTime, Utc};
use ladderday::domain::{Access, Phase, TickKind};
use ladderday::planner::{Effort, Plan, Prefer, Request, make_plan};
use ladderday::steps::{Facts, StepKey};

use super::generated::generated;
use super::yard::{Build, breaches, derived, plan, utc};

fn again(b: &Build, now: DateTime<Utc>, standing: Option<&Plan>, running: &[StepKey]) -> Plan {
    let facts = Facts::new(&b.yard);
    let derived = derived(&b.yard, b.winter(), Phase::Up);
    let season = facts.season(b.winter()).unwrap();
    let kept: Vec<StepKey> =
        standing.into_iter().flat_map(|p| &p.steps).map(|p| p.step.key.clone()).collect();
    let request =
        Request { facts: &facts, derived: &derived, season, phase: Phase::Up, now, seed: 7, kept: &kept };
    let effort = Effort::of(60);
    make_plan(&request, running, &[], effort)
}

/// Keys of what is open in the session with this position, in the order of its walk.
fn walk(plan: &Plan, session: usize) -> Vec<StepKey> {
    let open = |p: &&ladderday::planner::PlannedStep| p.state == ladderday::steps::State::Open;
    plan.steps
        .iter()
        .filter(|p| p.session == Some(session))
        .filter(open)
        .map(|p| p.step.key.clone())
        .collect()
}

/// A step told since is planned, and so is one that was held: a plan that stands is not kept for its own sake.
#[test]
fn what_was_told_since_is_planned() {
    let mut b = morning();
    let now = utc("2026-10-24T09:00:00-04:00");
    let first = again(&b, now, None, &[]);
    b.desk("one more", 20, None);
    let next = again(&b, now, Some(&first), &walk(&first, 0));
    assert_eq!(next.steps.len(), first.steps.len() + 1);
    assert!(next.steps.iter().all(|p| p.from.is_some()), "{:?}", next.unplaced);
    let was = walk(&first, 0);
    // What comes into the session that runs goes at its end.
    let is = walk(&next, 0);
    assert!(is.starts_with(&was) && is.len() > was.len(), "{was:?} then {is:?}");
}

/// Five half hours in a morning of three hours, the next morning free; then the rehearsal and the first evening.
fn morning() -> Build {
    let mut b = Build::new();
    let ada = b.person("Ada", "");
    for title in ["alarm", "bulbs", "cards", "driver", "effects"] {
        b.desk(title, 30, None);
    }
    b.session("2026-10-24T09:00", "2026-10-24T12:00", &[ada]);
    b.session("2026-10-25T09:00", "2026-10-25T12:00", &[ada]);
    let ben = b.person("Ben", "");
    b.session("2026-11-23T12:00", "2026-11-23T22:00", &[ada, ben]);
    b.session("2026-11-27T16:00", "2026-11-27T19:00", &[ada, ben]);
    b
}

#[test]
fn a_late_tick_moves_only_what_no_longer_fits() {
    let mut b = morning();
    let start = utc("2026-10-24T09:00:00-04:00");
    let first = again(&b, start, None, &[]);
    let mut expected = walk(&first, 0);
    assert_eq!(expected.len(), 5);
    // People walk it the other way round than a fresh search would.
    expected.reverse();
    // The first half hour took until 10:20: of the 100 minutes left three more fit.
    b.tick(&expected[0], TickKind::Done, Some("2026-10-24T10:20:00-04:00"));
    let now = utc("2026-10-24T10:20:00-04:00");
    let next = again(&b, now, Some(&first), &expected);
    assert_eq!(breaches(&b.yard, b.winter(), &next), Vec::<String>::new());
    assert_eq!(walk(&next, 0), expected[1..4], "what fits keeps its order");
    assert_eq!(walk(&next, 1), expected[4..], "the last one goes to the next morning");
    assert_eq!(next.unplaced, vec![]);
}

/// Two lawns walked by turns: a search would do one after the other, who walks it is not sent about again.
#[test]
fn a_running_session_keeps_an_order_that_costs_more_moves() {
    let mut b = Build::new();
    let ada = b.person("Ada", "");
    let lawns = ["left", "right"].map(|code| {
        let lawn = b.place(code, Access::Ground);
        b.prop(code, lawn, "stake");
        lawn
    });
    b.session("2026-10-24T09:00", "2026-10-24T17:00", &[ada]);
    b.weekends(&[ada]);
    let now = utc("2026-10-24T09:00:00-04:00");
    let first = again(&b, now, None, &[]);
    let session = first.steps.iter().find_map(|p| p.session.filter(|_| p.step.place.is_some())).unwrap();
    let at = |place| -> Vec<StepKey> {
        let all = walk(&first, session).into_iter();
        all.filter(|k| first.step(k).unwrap().step.place == Some(place)).collect()
    };
    let (left, right) = (at(lawns[0]), at(lawns[1]));
    let turns: Vec<StepKey> = left.iter().zip(&right).flat_map(|(l, r)| [l.clone(), r.clone()]).collect();
    assert!(turns.len() >= 4, "{turns:?}");
    b.tick(&turns[0], TickKind::Done, Some("2026-10-24T09:20:00-04:00"));
    let next = again(&b, utc("2026-10-24T09:20:00-04:00"), Some(&first), &turns);
    assert_eq!(breaches(&b.yard, b.winter(), &next), Vec::<String>::new());
    let is: Vec<StepKey> = walk(&next, session).into_iter().filter(|k| turns.contains(k)).collect();
    assert_eq!(is, turns[1..], "the order that runs");
    let fresh = again(&b, utc("2026-10-24T09:20:00-04:00"), None, &[]);
    assert!(fresh.moves.place < next.moves.place, "{:?} {:?}", fresh.moves, next.moves);
}

/// Progress of all searches together only grows, to its end; and a stop leaves a plan.
#[test]
fn progress_grows_and_a_stop_leaves_a_plan() {
    let (b, now) = generated(401);
    let facts = Facts::new(&b.yard);
    let derived = derived(&b.yard, b.winter(), Phase::Up);
    let season = facts.season(b.winter()).unwrap();
    let first = plan(&b.yard, b.winter(), Phase::Up, now, 7);
    let kept: Vec<StepKey> = first.steps.iter().map(|p| p.step.key.clone()).collect();
    let request =
        Request { facts: &facts, derived: &derived, season, phase: Phase::Up, now, seed: 7, kept: &kept };
    let told = std::sync::Mutex::new(Vec::new());
    let effort = Effort {
        schedules: 400,
        stop: &|| false,
        progress: &|n| told.lock().unwrap().push(n),
        known: None,
        prefer: Prefer::Few,
    };
    make_plan(&request, &[], &[], effort);
    let told = told.into_inner().unwrap();
    assert!(told.len() > 1 && told.is_sorted() && told.iter().all(|n| *n <= 400), "{told:?}");
    let stopped = make_plan(&request, &[], &[], Effort { stop: &|| true, ..Effort::of(400) });
    assert_eq!(breaches(&b.yard, b.winter(), &stopped), Vec::<String>::new());
    assert!(stopped.stopped_by != "schedules" && stopped.steps.iter().any(|p| p.from.is_some()));
}
