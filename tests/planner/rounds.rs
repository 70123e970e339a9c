//! Rounds of a box, climbs and lit shows in finished plans, read by eyes of their own.

use std::collections::BTreeMap;

use ladderday::domain::{Access, BoxMode, Phase, StepDeed, TickKind};
use ladderday::planner::{Plan, PlannedStep};
use ladderday::steps::{State, StepKey};

use super::generated::{generated, happened};
use super::yard::{Build, breaches, day, plan, utc};

/// Two props at one place and one at another, all of one box, with an aimed flood; weekends of two people.
fn two_places() -> Build {
    let mut b = Build::new();
    let (lawn, porch) = (b.place("lawn", Access::Ground), b.place("porch", Access::Ground));
    let (bx, _) = b.boxed("BX-1", lawn);
    for (name, place, method) in [
        ("trees", lawn, "stake"),
        ("floods", lawn, "flood"),
        ("gnomes", porch, "stake"),
        ("owls", porch, "flood"),
    ] {
        let (_, id) = b.pieced(name, place, method);
        b.feeds(bx, id);
    }
    let who = [b.person("Ada", ""), b.person("Ben", "")];
    b.weekends(&who);
    b
}

const NOW: &str = "2026-10-23T08:00:00-04:00";

/// Off, connects, look and light test of every round lie in one session in that order, and nothing else has the box on
/// between; the steps are found by key and deed alone.
fn rounds_hold(made: &Plan) -> usize {
    let open = |p: &&PlannedStep| p.state == State::Open && p.from.is_some();
    let mut many = 0;
    for off in made.steps.iter().filter(open).filter(|p| p.step.key.as_str().contains("/off")) {
        let key = off.step.key.as_str();
        let other = |deed: &str| made.step(&StepKey::from_text(&key.replace("/off", deed))).unwrap();
        let (plugs, test) = (other("/plugs"), other("/test"));
        let connects = plugs.step.after.iter().filter_map(|e| made.step(&e.key));
        // What is left out is in no round.
        let left_out = |p: &&PlannedStep| p.step.placement.is_some_and(|id| made.left_out.contains(&id));
        let connects: Vec<_> = connects.filter(|p| p.state == State::Open && !left_out(p)).collect();
        for c in &connects {
            assert!(off.to <= c.from && c.to <= plugs.from, "{key}: {}", c.step.key);
        }
        assert!(plugs.to <= test.from, "{key}");
        for p in connects.into_iter().chain([plugs, test]) {
            assert_eq!(p.session, off.session, "{key}: {}", p.step.key);
        }
        let piece = off.step.box_mode.unwrap().0;
        for p in made.steps.iter().filter(open).filter(|p| p.step.box_mode == Some((piece, BoxMode::On))) {
            let between = p.from < test.from && p.to > off.from;
            assert!(!between, "{key}: {} is on between", p.step.key);
        }
        many += 1;
    }
    many
}

#[test]
fn a_round_is_one_unbroken_stretch_for_its_box() {
    let b = two_places();
    let made = b.plan(Phase::Up, NOW);
    assert_eq!(made.unplaced, vec![]);
    assert_eq!(rounds_hold(&made), 2);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
}

#[test]
fn rounds_of_generated_yards_hold() {
    let mut many = 0;
    for seed in 400..430 {
        let (mut b, now) = generated(seed);
        happened(&mut b, Phase::Up, now, seed);
        many += rounds_hold(&plan(&b.yard, b.winter(), Phase::Up, now, seed));
    }
    assert!(many > 20, "{many} rounds: too few to judge by");
}

/// Ticks everything of the yard done up to the first round, and its off and first connect, on one morning.
fn left_after_the_first_connect(b: &mut Build) -> StepKey {
    let steps = b.steps(Phase::Up);
    let off = steps.iter().find(|s| s.key.as_str().contains("/off")).unwrap().clone();
    let connect = steps.iter().find(|s| s.stretch.as_ref() == Some(&off.key) && s.deed == StepDeed::Connect);
    let connect = connect.unwrap().key.clone();
    let mut todo = vec![connect.clone()];
    let mut done = Vec::new();
    while let Some(key) = todo.pop() {
        if !done.contains(&key) {
            let step = steps.iter().find(|s| s.key == key).unwrap();
            todo.extend(step.after.iter().map(|e| e.key.clone()));
            done.push(key);
        }
    }
    for key in done {
        let last = key == connect || key == off.key;
        let at = if last { "2026-10-24T10:00:00-04:00" } else { "2026-10-24T09:30:00-04:00" };
        b.tick(&key, TickKind::Done, Some(at));
    }
    off.key
}

#[test]
fn an_interrupted_round_begins_again_with_off_and_tag() {
    let mut b = two_places();
    let off = left_after_the_first_connect(&mut b);
    let state = |b: &Build, now: &str| {
        let made = plan(&b.yard, b.winter(), Phase::Up, utc(now), 1);
        assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new(), "{now}");
        rounds_hold(&made);
        made.step(&off).unwrap().state
    };
    assert_eq!(state(&b, "2026-10-24T10:05:00-04:00"), State::Done, "in the same session it goes on");
    assert_eq!(state(&b, "2026-10-24T18:00:00-04:00"), State::Open, "the session is over: off again");
    assert_eq!(state(&b, "2026-10-25T08:00:00-04:00"), State::Open);
    // On for another place since: off again, even in the same session.
    let other = b.steps(Phase::Up);
    let lit =
        other.iter().find(|s| s.key.as_str().contains("/test") && s.stretch.as_ref() != Some(&off)).unwrap();
    let of = lit.of;
    b.tick(&lit.key.clone(), TickKind::Done, Some("2026-10-24T10:02:00-04:00")).of_count = of;
    assert_eq!(state(&b, "2026-10-24T10:05:00-04:00"), State::Open);
}

#[test]
fn a_round_that_is_over_is_not_begun_again() {
    let mut b = two_places();
    let off = left_after_the_first_connect(&mut b);
    let rest: Vec<_> =
        b.steps(Phase::Up).into_iter().filter(|s| s.phase == Phase::Up && s.place.is_some()).collect();
    for s in &rest {
        b.tick(&s.key, TickKind::Done, Some("2026-10-24T11:00:00-04:00")).of_count = s.of;
    }
    let made = b.plan(Phase::Up, "2026-10-25T08:00:00-04:00");
    assert_eq!(made.step(&off).unwrap().state, State::Done);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
}

/// Five stars on one roof, two people: each is up there once a session, and all is lit before the first climb.
#[test]
fn nobody_climbs_to_one_place_twice_in_a_session() {
    let mut b = Build::new();
    let (lawn, roof) = (b.place("lawn", Access::Ground), b.place("roof", Access::Roof));
    for i in 0..5 {
        b.prop(&format!("star {i}"), roof, "roof_strap");
        b.prop(&format!("boat {i}"), lawn, "stake");
    }
    b.own("LD-1", ladderday::domain::Role::Ladder, "extension_ladder");
    let who = [b.person("Ada", "roof"), b.person("Ben", "roof")];
    b.weekends(&who);
    let made = b.plan(Phase::Up, NOW);
    assert_eq!(made.unplaced, vec![]);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    let mut rows: BTreeMap<(Option<usize>, &str), Vec<&PlannedStep>> = BTreeMap::new();
    for p in made.steps.iter().filter(|p| p.from.is_some()) {
        for name in &p.people {
            rows.entry((p.session, name)).or_default().push(p);
        }
    }
    let mut climbs = 0;
    for (of, mut row) in rows {
        row.sort_by_key(|p| p.from);
        let up: Vec<bool> = row.iter().map(|p| p.step.access == Access::Roof).collect();
        let times = up.iter().enumerate().filter(|(i, u)| **u && (*i == 0 || !up[i - 1])).count();
        assert!(times <= 1, "{of:?} goes up {times} times");
        climbs += times;
    }
    assert!(climbs > 0);
}

/// What stands lit in the autumn show is not taken in hand, and nobody works at its place in its lit hours.
#[test]
fn a_lit_show_is_not_touched() {
    let mut b = Build::new();
    let (lawn, porch) = (b.place("lawn", Access::Ground), b.place("porch", Access::Ground));
    let (piece, new) = b.pieced("boat", lawn, "flood");
    b.prop("lamp", porch, "flood");
    let who = [b.person("Ada", "")];
    b.weekends(&who);
    b.session("2026-10-27T17:00", "2026-10-27T22:00", &who);
    let autumn = b.season("autumn-2026", "2026-10-10T18:00", "2026-10-31");
    let old = b.prop("boat in autumn", porch, "flood");
    b.placement(old).season_id = autumn;
    b.placement(old).piece_id = Some(piece);
    let season = b.yard.seasons.iter_mut().find(|s| s.id == autumn).unwrap();
    season.nightly_from = Some("09:00".to_owned());
    season.nightly_to = Some("22:00".to_owned());
    let made = b.plan(Phase::Up, NOW);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    let first = |id| {
        let own = made.steps.iter().filter(|p| p.step.placement == Some(id));
        own.filter(|p| p.step.place.is_some() || p.step.deed == StepDeed::BenchTest)
            .filter_map(|p| p.from)
            .min()
    };
    assert!(first(new).unwrap().date_naive() >= day("2026-11-01"), "{:?}", first(new));
    let at_porch = made.steps.iter().filter(|p| p.step.place == Some(porch) && p.from.is_some());
    assert!(at_porch.clone().count() > 0);
    assert!(at_porch.into_iter().all(|p| p.from.unwrap().date_naive() >= day("2026-11-01")));
    // Without the other show both come at once.
    b.yard.seasons.retain(|s| s.id != autumn);
    let made = b.plan(Phase::Up, NOW);
    assert!(made.steps.iter().filter_map(|p| p.from).min().unwrap().date_naive() < day("2026-10-26"));
}
