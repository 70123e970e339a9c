//! The checker finds each kind of fault: a good plan is spoilt in one place, and exactly that is found.

use std::sync::Arc;

use chrono::Duration;
use ladderday::domain::{Access, BoxMode, Phase, Role, SeasonId, TickKind, Yard};
use ladderday::planner::{Plan, PlannedStep};
use ladderday::steps::{Reason, State, Step};
use ladderday::units::{Speed, Temperature};

use super::yard::{Build, breaches, derived, found, plan, utc};

const NOW: &str = "2026-10-23T08:00:00-04:00";

/// A good plan, made once.
fn good() -> (Build, Plan) {
    static ONCE: std::sync::OnceLock<(Build, Plan)> = std::sync::OnceLock::new();
    ONCE.get_or_init(make_good).clone()
}

/// Four props, a box, ladders, three people, weekends.
fn make_good() -> (Build, Plan) {
    let mut b = Build::new();
    let lawn = b.place("lawn", Access::Ground);
    let porch = b.place("porch", Access::StepLadder);
    let roof = b.place("roof", Access::Roof);
    let (bx, _) = b.boxed("BX-1", lawn);
    for (name, place, method) in [
        ("trees", lawn, "stake"),
        ("star", roof, "roof_strap"),
        ("icicles", porch, "hooks"),
        ("mast", lawn, "mast"),
    ] {
        let (_, id) = b.pieced(name, place, method);
        b.placement(id).count = if name == "trees" { 4 } else { 1 };
        b.feeds(bx, id);
    }
    b.desk("songs", 120, None);
    b.own("LD-1", Role::Ladder, "step_ladder");
    b.own("LD-2", Role::Ladder, "extension_ladder");
    b.own("T-1", Role::Tool, "post_driver");
    let who = [b.person("Ada", "roof"), b.person("Ben", ""), b.person("Cal", "")];
    b.weekends(&who);
    b.yard.sites[0].drying_slots = Some(2);
    let made = b.plan(Phase::Up, NOW);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    assert_eq!(made.unplaced, vec![]);
    (b, made)
}

fn codes(yard: &Yard, season: SeasonId, spoilt: &Plan) -> Vec<&'static str> {
    let mut codes: Vec<_> = found(yard, season, spoilt).into_iter().map(|b| b.code).collect();
    codes.sort_unstable();
    codes.dedup();
    codes
}

/// Spoils the first open step that `pick` likes; `wanted` and nothing else must be found.
fn step_spoilt(wanted: &[&str], pick: impl Fn(&PlannedStep) -> bool, spoil: impl Fn(&mut PlannedStep)) {
    let (b, mut made) = good();
    let p = made.steps.iter_mut().find(|p| pick(p)).expect("a step to spoil");
    spoil(p);
    assert_eq!(codes(&b.yard, b.winter(), &made), wanted);
}

fn plan_spoilt(wanted: &[&str], spoil: impl Fn(&mut Plan)) {
    let (b, mut made) = good();
    spoil(&mut made);
    assert_eq!(codes(&b.yard, b.winter(), &made), wanted);
}

/// The step stays as planned while what it asks for changes, in the plan and in what is derived.
fn asked_more(wanted: &[&str], pick: impl Fn(&Step) -> bool, spoil: impl Fn(&mut Step)) {
    let (b, mut made) = good();
    let facts = ladderday::steps::Facts::new(&b.yard);
    let mut derived = derived(&b.yard, b.winter(), Phase::Up);
    let step = derived.steps.iter_mut().find(|s| pick(s)).expect("a step to spoil");
    spoil(Arc::make_mut(step));
    let p = made.steps.iter_mut().find(|p| p.step.key == step.key).unwrap();
    p.step = step.clone();
    p.box_mode = step.box_mode;
    let season = facts.season(b.winter()).unwrap();
    let mut codes: Vec<_> = ladderday::planner::check::check(&made, &facts, &derived, season, made.now)
        .into_iter()
        .map(|b| b.code)
        .collect();
    codes.dedup();
    assert_eq!(codes, wanted);
}

/// The session of a placed step has another forecast, in the facts and in the plan.
fn weather(
    wanted: &str,
    pick: impl Fn(&PlannedStep) -> bool,
    spoil: impl Fn(&mut ladderday::planner::Forecast),
) {
    let (mut b, mut made) = good();
    let session = made.steps.iter().find(|p| pick(p)).and_then(|p| p.session).expect("a placed step");
    let span = &mut made.sessions[session];
    let mut forecast = ladderday::planner::Forecast::default();
    spoil(&mut forecast);
    span.forecast = Some(forecast);
    let told = b.yard.sessions.iter_mut().find(|s| s.id == span.id).unwrap();
    told.rain = forecast.rain;
    told.frozen = forecast.frozen;
    told.gust_mms = forecast.gust;
    told.low_mc = forecast.low;
    // A colder session also lengthens the cures that begin in it: then the printed waits are wrong as well.
    let found = codes(&b.yard, b.winter(), &made);
    assert!(found.contains(&wanted), "{wanted} not among {found:?}");
    assert!(found.iter().all(|c| *c == wanted || *c == "edges_changed"), "{found:?}");
}

fn is(end: &'static str) -> impl Fn(&PlannedStep) -> bool {
    move |p| p.step.key.as_str().contains(end)
}

fn shift(p: &mut PlannedStep, by: Duration) {
    p.from = p.from.map(|t| t + by);
    p.to = p.to.map(|t| t + by);
}

#[test]
fn steps_missing_doubled_or_unknown_are_found() {
    plan_spoilt(&["edge_unknown", "order_wrong", "step_missing"], |m| m.steps.retain(|p| !is("desk:")(p)));
    plan_spoilt(&["order_wrong", "person_taken", "step_twice"], |m| {
        let again = m.steps.iter().find(|p| is("desk:")(p)).unwrap().clone();
        m.steps.push(again);
    });
    step_spoilt(&["edge_unknown", "step_missing", "step_unknown"], is("desk:"), |p| {
        Arc::make_mut(&mut p.step).key = ladderday::steps::StepKey::from_text("desk:none/do/up");
    });
    step_spoilt(&["step_changed"], is("desk:"), |p| Arc::make_mut(&mut p.step).title.push('!'));
}

#[test]
fn edges_that_are_not_the_derived_ones_are_found() {
    step_spoilt(&["edges_changed"], is("stake.set"), |p| drop(p.after.pop()));
    step_spoilt(&["edges_changed"], is("roof_strap.light"), |p| {
        let cure = p.after.iter_mut().find(|e| e.reason == Reason::Cures).unwrap();
        // A minute of rounding is none.
        cure.wait_min -= 2;
    });
    step_spoilt(&["edge_unexplained", "edges_changed"], is("stake.set"), |p| p.after[0].why.clear());
    step_spoilt(&["edge_unknown", "edges_changed"], is("stake.set"), |p| {
        p.after[0].key = ladderday::steps::StepKey::from_text("nothing");
    });
}

#[test]
fn states_counts_and_records_that_no_tick_told_are_found() {
    step_spoilt(&["state_wrong"], is("stake.tie"), |p| p.state = State::Done);
    step_spoilt(&["count_wrong"], is("stake.set"), |p| p.done = 3);
    let (mut b, _) = good();
    let key = b.steps(Phase::Up).iter().find(|s| s.key.as_str().contains("stake.bench")).unwrap().key.clone();
    b.tick(&key, TickKind::Done, Some("2026-10-20T20:00:00-04:00"));
    let mut made = b.plan(Phase::Up, NOW);
    assert_eq!(codes(&b.yard, b.winter(), &made), Vec::<&str>::new());
    shift(made.steps.iter_mut().find(|p| p.step.key == key).unwrap(), Duration::minutes(1));
    assert_eq!(codes(&b.yard, b.winter(), &made), ["record_moved"]);
}

#[test]
fn what_the_plan_says_of_the_facts_is_compared() {
    plan_spoilt(&["season_wrong"], |m| m.season.push('x'));
    plan_spoilt(&["setup_wrong"], |m| m.setup.place -= 1);
    plan_spoilt(&["told_wrong"], |m| m.told.equipment = false);
    plan_spoilt(&["date_wrong"], |m| m.lights_on = None);
    plan_spoilt(&["session_wrong"], |m| m.sessions[0].work_lights = false);
    plan_spoilt(&["session_wrong"], |m| m.sessions[0].to += Duration::minutes(1));
    plan_spoilt(&["session_wrong"], |m| {
        let idle = (0..m.sessions.len()).find(|k| m.steps.iter().all(|p| p.session != Some(*k)));
        m.sessions[idle.unwrap()].people.pop();
    });
    plan_spoilt(&["session_wrong"], |m| m.sessions[9].light = None);
    plan_spoilt(&["equipment_wrong"], |m| m.equipment.iter_mut().find(|u| !u.ladder).unwrap().count += 1);
    let (b, made) = good();
    let facts = ladderday::steps::Facts::new(&b.yard);
    let derived = derived(&b.yard, b.winter(), Phase::Up);
    let season = facts.season(b.winter()).unwrap();
    let later = made.now + Duration::minutes(-1);
    let said = ladderday::planner::check::check(&made, &facts, &derived, season, later);
    assert_eq!(said.iter().map(|b| b.code).collect::<Vec<_>>(), ["now_wrong"]);
}

#[test]
fn unplaced_steps_are_explained_once() {
    let gone = |p: &mut PlannedStep| {
        p.from = None;
        p.to = None;
        p.people.clear();
    };
    // The last of the season, so that nothing waits for it.
    step_spoilt(&["unexplained"], is("lights_on"), gone);
    let refused = |code: &'static str, m: &mut Plan| {
        let key = m.steps.iter().find(|p| is("lights_on")(p)).unwrap().step.key.clone();
        m.unplaced.push(ladderday::planner::Refusal { key, code, why: "w".into(), remedy: "r".into() });
    };
    plan_spoilt(&["placed_and_unplaced"], |m| refused("taken", m));
    plan_spoilt(&["unplaced_unexplained"], |m| {
        gone(m.steps.iter_mut().find(|p| is("lights_on")(p)).unwrap());
        refused("because", m);
    });
    plan_spoilt(&["unplaced_twice"], |m| {
        gone(m.steps.iter_mut().find(|p| is("lights_on")(p)).unwrap());
        refused("taken", m);
        refused("taken", m);
    });
    plan_spoilt(&["unplaced_unknown"], |m| {
        let key = ladderday::steps::StepKey::from_text("nothing");
        m.unplaced.push(ladderday::planner::Refusal {
            key,
            code: "taken",
            why: "w".into(),
            remedy: "r".into(),
        });
    });
}

#[test]
fn a_held_or_skipped_step_has_no_place_and_a_begun_one_has_a_start() {
    for (kind, code) in [(TickKind::Hold, "held_placed"), (TickKind::Skip, "skipped_placed")] {
        let (mut b, before) = good();
        let p = before.steps.iter().find(|p| is("lights_on")(p)).unwrap();
        b.tick(&p.step.key, kind, Some("2026-10-22T08:00:00-04:00")).why = "so".to_owned();
        let mut made = b.plan(Phase::Up, NOW);
        assert_eq!(codes(&b.yard, b.winter(), &made), Vec::<&str>::new());
        let spoilt = made.steps.iter_mut().find(|p| is("lights_on")(p)).unwrap();
        (spoilt.from, spoilt.to) = (p.from, p.to);
        assert!(codes(&b.yard, b.winter(), &made).contains(&code), "{code}");
    }
    let (mut b, before) = good();
    let p = before.steps.iter().find(|p| is("desk:")(p)).unwrap();
    b.tick(&p.step.key, TickKind::Start, Some("2026-10-23T07:30:00-04:00"));
    let mut made = b.plan(Phase::Up, NOW);
    assert_eq!(codes(&b.yard, b.winter(), &made), Vec::<&str>::new());
    let spoilt = made.steps.iter_mut().find(|p| is("desk:")(p)).unwrap();
    assert_eq!(spoilt.to, Some(utc("2026-10-23T09:30:00-04:00")));
    (spoilt.from, spoilt.to) = (None, None);
    assert_eq!(codes(&b.yard, b.winter(), &made), ["before_unplaced", "begun_without_start", "record_moved"]);
}

#[test]
fn sessions_now_and_lengths_bind() {
    step_spoilt(&["wrong_length"], is("lights_on"), |p| p.to = p.to.map(|t| t - Duration::minutes(1)));
    step_spoilt(&["no_session"], is("lights_on"), |p| p.session = Some(99));
    step_spoilt(&["not_there", "outside_session"], is("lights_on"), |p| shift(p, Duration::hours(5)));
    let (b, made) = good();
    let mut early = made.clone();
    early.now = utc("2026-11-27T18:30:00-05:00");
    assert!(codes(&b.yard, b.winter(), &early).contains(&"before_now"));
    step_spoilt(&["before_release"], is("lights_on"), |p| shift(p, Duration::minutes(-55)));
}

#[test]
fn people_are_there_enough_able_and_not_alone() {
    step_spoilt(&["too_few_people"], is("mast.raise"), |p| drop(p.people.pop()));
    // Whose place another takes comes no more from where they were.
    let codes_of = ["moves_wrong", "person_taken", "person_twice", "too_few_people"];
    step_spoilt(&codes_of, is("mast.raise"), |p| {
        p.people[0] = p.people[1].clone();
    });
    step_spoilt(&["not_there"], is("lights_on"), |p| p.people[0] = "Nobody".to_owned());
    asked_more(&["no_skill"], |s| s.key.as_str().contains("desk:"), |s| s.skills = vec!["juggle".to_owned()]);
    asked_more(
        &["no_skill"],
        |s| s.key.as_str().contains("lights_on"),
        |s| s.skills = vec!["juggle".to_owned()],
    );
    let (mut b, mut made) = good();
    let alone = made.steps.iter().find(|p| is("hooks.hang")(p)).unwrap().clone();
    let session = made.sessions[alone.session.unwrap()].id;
    let keep = made.sessions[alone.session.unwrap()]
        .people
        .iter()
        .find(|a| a.name == alone.people[0])
        .unwrap()
        .clone();
    b.yard.session_people.retain(|r| r.session_id != session || r.person_id == keep.person);
    made.sessions[alone.session.unwrap()].people = vec![keep];
    assert!(codes(&b.yard, b.winter(), &made).contains(&"alone"));
}

#[test]
fn light_is_needed() {
    asked_more(
        &["dark"],
        |s| s.key.as_str().contains("lights_on"),
        |s| s.light = ladderday::steps::Light::Day,
    );
    asked_more(
        &["dark"],
        |s| s.key.as_str().contains("mast.raise"),
        |s| s.light = ladderday::steps::Light::Dark,
    );
}

#[test]
fn forecasts_hold_what_they_break() {
    weather("too_cold", is("stake.tie"), |f| f.low = Some(Temperature::from_mc(-16_000)));
    weather("too_windy", is("mast.raise"), |f| f.gust = Some(Speed::from_mms(6_001)));
    weather("wet", is("mast.raise"), |f| f.rain = Some(true));
    weather("frozen", is("stake.drive"), |f| f.frozen = Some(true));
}

#[test]
fn waits_latest_times_and_days_bind() {
    let wait = |more: i64| {
        let (b, mut made) = good();
        let mut derived = derived(&b.yard, b.winter(), Phase::Up);
        let set = |edge: &mut i64| *edge += more;
        for s in &mut derived.steps {
            if s.key.as_str().contains("stake.tie") {
                set(&mut Arc::make_mut(s).after[0].wait_min);
            }
        }
        let tie = made.steps.iter_mut().find(|p| is("stake.tie")(p)).unwrap();
        set(&mut tie.after[0].wait_min);
        Arc::make_mut(&mut tie.step).after[0].wait_min += more;
        let facts = ladderday::steps::Facts::new(&b.yard);
        let season = facts.season(b.winter()).unwrap();
        let said = ladderday::planner::check::check(&made, &facts, &derived, season, made.now);
        said.into_iter().map(|b| b.code).collect::<Vec<_>>()
    };
    assert_eq!(wait(0), Vec::<&str>::new());
    assert_eq!(wait(60 * 24 * 30), ["too_soon"]);
    // The ground light goes to another weekend: the lift no longer follows it the same day.
    let (b, mut made) = good();
    let light = made.steps.iter_mut().find(|p| is("hooks.light")(p)).unwrap();
    shift(light, -Duration::days(1));
    assert!(codes(&b.yard, b.winter(), &made).contains(&"wrong_day"));
    let (b, mut made) = good();
    let head = made.steps.iter_mut().find(|p| is("mast.head")(p)).unwrap();
    shift(head, Duration::minutes(-241));
    assert!(codes(&b.yard, b.winter(), &made).contains(&"too_late"));
}

#[test]
fn what_comes_before_is_placed_first() {
    let (b, mut made) = good();
    let p = made.steps.iter_mut().find(|p| is("stake.bench")(p)).unwrap();
    (p.from, p.to) = (None, None);
    let key = p.step.key.clone();
    made.unplaced.push(ladderday::planner::Refusal {
        key,
        code: "taken",
        why: "w".into(),
        remedy: "r".into(),
    });
    let codes = codes(&b.yard, b.winter(), &made);
    assert!(codes.contains(&"before_unplaced") && codes.contains(&"untested"), "{codes:?}");
}

/// Without the edges, from the times alone.
#[test]
fn mounts_and_bench_tests_come_first() {
    for (early, code) in [("stake.bench", "untested"), ("hooks.fix", "mount_not_made")] {
        let (b, mut made) = good();
        let p = made.steps.iter_mut().find(|p| is(early)(p)).unwrap();
        shift(p, Duration::days(30));
        let codes = codes(&b.yard, b.winter(), &made);
        assert!(codes.contains(&code), "{codes:?}");
    }
}

#[test]
fn a_wait_after_something_done_at_no_known_time_is_not_judged() {
    let (mut b, before) = good();
    let seal = before.steps.iter().find(|p| is("roof_strap.seal")(p)).unwrap().step.key.clone();
    b.tick(&seal, TickKind::Done, None);
    b.yard.ticks.last_mut().unwrap().at_ms = None;
    let mut made = b.plan(Phase::Up, NOW);
    // A made mount shows only where its cure may still matter; here the step itself stays, done at no known time.
    if made.steps.iter().any(|p| p.step.key == seal) {
        let light = made.steps.iter_mut().find(|p| is("roof_strap.light")(p)).unwrap();
        assert_eq!(light.from, None);
    }
    assert_eq!(codes(&b.yard, b.winter(), &made), Vec::<&str>::new());
}

#[test]
fn nothing_is_taken_twice() {
    let (b, mut made) = good();
    let busy = made.steps.iter().find(|p| is("mast.raise")(p)).unwrap().clone();
    let desk = made.steps.iter_mut().find(|p| is("desk:")(p)).unwrap();
    let by = busy.from.unwrap() - desk.from.unwrap();
    shift(desk, by);
    desk.session = busy.session;
    assert!(codes(&b.yard, b.winter(), &made).contains(&"person_taken"));
    step_spoilt(&["equipment_taken"], is("stake.drive"), |p| p.equipment[0].1 = 2);
    step_spoilt(&["equipment_taken", "equipment_unknown", "tool_missing"], is("stake.drive"), |p| {
        p.equipment[0] = ("spade".into(), 1);
    });
}

#[test]
fn a_box_is_not_on_and_off_at_once() {
    let (b, made) = good();
    let test = made.steps.iter().find(|p| p.step.key.as_str().ends_with("/test/up")).unwrap();
    let piece = test.box_mode.unwrap().0;
    let spoilt = test.step.key.clone();
    asked_more(
        &["box_on_and_off"],
        |s| {
            let p = made.step(&s.key).unwrap();
            s.key != spoilt && p.from < test.to && test.from < p.to && p.from.is_some()
        },
        |s| s.box_mode = Some((piece, BoxMode::Off)),
    );
    drop(b);
}

#[test]
fn the_drying_place_is_not_overfilled() {
    let (mut b, _) = good();
    for s in &mut b.yard.sessions {
        s.starts += Duration::days(75);
        s.ends += Duration::days(75);
    }
    let mut made = plan(&b.yard, b.winter(), Phase::Down, utc("2027-01-04T08:00:00-05:00"), 1);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    let end = made.steps.iter().filter(|p| p.step.drying_min.is_some()).filter_map(|p| p.to).max().unwrap();
    for p in made.steps.iter_mut().filter(|p| p.step.drying_min.is_some()) {
        let by = end - p.to.unwrap();
        shift(p, by);
    }
    assert!(codes(&b.yard, b.winter(), &made).contains(&"drying_full"));
}

#[test]
fn ladders_are_named_and_moving_is_paid_and_counted() {
    step_spoilt(&["ladder_wrong"], is("hooks.hang"), |p| p.equipment.clear());
    step_spoilt(
        &["move_unpaid"],
        |p| p.setup_minutes >= 10 && p.state == State::Open,
        |p| p.setup_minutes -= 1,
    );
    plan_spoilt(&["moves_wrong"], |m| m.moves.ladder += 1);
}

#[test]
fn finish_bounds_lateness_and_order_are_true() {
    plan_spoilt(&["finish_wrong"], |m| m.finish = m.finish.map(|t| t + Duration::minutes(1)));
    plan_spoilt(&["bound_wrong"], |m| m.finish_lower_bound = m.finish.map(|t| t + Duration::minutes(1)));
    plan_spoilt(&["bound_wrong"], |m| {
        m.proven = false;
        m.goals[0].bound = m.goals[0].value - 1;
    });
    step_spoilt(&["late_wrong"], is("stake.set"), |p| p.late = true);
    plan_spoilt(&["order_wrong"], |m| {
        let last = m.steps.len() - 1;
        let (a, z) = (m.steps[0].order, m.steps[last].order);
        m.steps[0].order = z;
        m.steps[last].order = a;
    });
}

#[test]
fn cautions_are_said() {
    let takes = |end: &'static str, caution: &'static str| {
        asked_more(
            &["caution_missing"],
            |s| s.key.as_str().contains(end),
            |s| {
                assert!(s.cautions.iter().any(|c| c == caution), "{end} {:?}", s.cautions);
                s.cautions.retain(|c| c != caution);
            },
        );
    };
    takes("hooks.hang", "ladder");
    takes("roof_strap.fit", "roof");
    takes("roof_strap.fit", "ladder");
    takes("roof_strap.seal", "adhesive");
    takes("box.power", "mains");
    takes("stake.connect", "supply_off");
    takes("mast.raise", "mast");
}

#[test]
fn an_order_without_dates_keeps_every_edge() {
    let (mut b, _) = good();
    b.yard.sessions.clear();
    b.yard.session_people.clear();
    let made = b.plan(Phase::Up, NOW);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    let mut spoilt = made.clone();
    let last = spoilt.steps.len() - 1;
    let (a, z) = (spoilt.steps[0].order, spoilt.steps[last].order);
    spoilt.steps[0].order = z;
    spoilt.steps[last].order = a;
    assert_eq!(codes(&b.yard, b.winter(), &spoilt), ["order_wrong", "rehearsed_too_soon"]);
    let mut spoilt = made.clone();
    spoilt.steps[3].order += 100;
    assert!(codes(&b.yard, b.winter(), &spoilt).contains(&"order_wrong"));
    let mut spoilt = made.clone();
    spoilt.steps[3].from = Some(made.now);
    assert_eq!(codes(&b.yard, b.winter(), &spoilt), ["date_without_session"]);
}
