//! Bench tests that run by themselves, read from the finished plan by eyes of their own.

use std::collections::BTreeMap;

use chrono::Duration;
use ladderday::domain::{Access, Phase, TickKind};
use ladderday::planner::{Plan, PlannedStep};
use ladderday::steps::{State, StepKey};

use super::generated::{generated, happened};
use super::yard::{Build, breaches, plan, utc};

const NOW: &str = "2026-10-23T08:00:00-04:00";

/// The look of each test with its start, found by the titles of the keys alone.
fn pairs(made: &Plan) -> Vec<(&PlannedStep, &PlannedStep)> {
    let start = |look: &PlannedStep| {
        let key = look.step.key.as_str().strip_suffix("/bench")?;
        made.step(&StepKey::from_text(&format!("{key}.start/bench")))
    };
    made.steps.iter().filter_map(|look| Some((start(look)?, look))).collect()
}

/// Every pair in one session, apart by what it runs, somebody there, and no more at once than there is room for.
fn tests_hold(made: &Plan, runs: impl Fn(&str) -> i64, room: usize, people: bool) -> usize {
    let mut spans = Vec::new();
    for (start, look) in pairs(made).into_iter().filter(|(_, look)| look.state == State::Open) {
        let key = look.step.key.as_str();
        if look.from.is_none() {
            assert!(
                start.state != State::Open || start.from.is_none() || look.part.is_some(),
                "{key}: begun alone"
            );
            continue;
        }
        let (Some(begun), Some(end), Some(seen), Some(over)) = (start.from, start.to, look.from, look.to)
        else {
            assert_eq!(start.state, State::Skipped, "{key}: looked at and never started");
            continue;
        };
        assert!(seen - end >= Duration::minutes(runs(&look.step.recipe_step)), "{key}: cut short");
        spans.push((begun, over));
        if start.state != State::Open {
            continue;
        }
        assert_eq!(start.session, look.session, "{key}");
        let session = &made.sessions[look.session.unwrap()];
        let there = session.people.iter().any(|p| p.from <= end && seen <= p.to);
        assert!(there || !people, "{key}: left alone from {end} to {seen}");
    }
    for (at, _) in &spans {
        let beside = spans.iter().filter(|(from, to)| from <= at && at < to).count();
        assert!(beside <= room, "{beside} tests at {at}");
    }
    spans.len()
}

fn six_props() -> Build {
    let mut b = Build::new();
    b.tests_run();
    let lawn = b.place("lawn", Access::Ground);
    for name in ["trees", "gnomes", "owls", "foxes", "hares", "deer"] {
        b.prop(name, lawn, "stake");
    }
    b
}

#[test]
fn one_person_tests_several_props_side_by_side() {
    let mut b = six_props();
    b.yard.sites[0].bench_tests = Some(3);
    let ada = b.person("Ada", "");
    b.session("2026-10-24T18:00", "2026-10-24T19:30", &[ada]);
    let made = b.plan(Phase::Bench, NOW);
    // Six tests of 20 minutes and a few to start and to look: one by one they take more than two hours.
    assert_eq!(made.unplaced, vec![]);
    assert_eq!(tests_hold(&made, |_| 20, 3, true), 6);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
}

#[test]
fn no_test_runs_on_when_the_last_one_leaves() {
    let mut b = six_props();
    let (ada, ben) = (b.person("Ada", ""), b.person("Ben", ""));
    b.session("2026-10-24T18:00", "2026-10-24T19:00", &[ada, ben]);
    b.yard.session_people[0].goes = Some(super::yard::local("2026-10-24T18:20"));
    b.yard.session_people[1].comes = Some(super::yard::local("2026-10-24T18:30"));
    let made = b.plan(Phase::Bench, NOW);
    let placed = tests_hold(&made, |_| 20, 4, true);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    // Ada starts none that nobody watches to its end; Ben alone has room for some.
    assert!((1..6).contains(&placed), "{placed}");
}

#[test]
fn a_test_too_long_for_any_session_says_how_long_it_takes() {
    let mut b = Build::new();
    b.tests_run();
    let lawn = b.place("lawn", Access::Ground);
    b.boxed("BX-1", lawn);
    let ada = b.person("Ada", "");
    b.session("2026-10-24T18:00", "2026-10-24T19:00", &[ada]);
    let made = b.plan(Phase::Bench, NOW);
    let start = made.unplaced.iter().find(|u| u.key.as_str().contains(".start")).unwrap();
    assert_eq!(start.code, "too_long", "{start:?}");
    assert!(start.why.contains("63 minutes") && start.why.contains("60"), "{}", start.why);
}

#[test]
fn a_tick_on_the_old_test_counts_for_start_and_look() {
    let mut b = six_props();
    let ada = b.person("Ada", "");
    b.session("2026-10-24T18:00", "2026-10-24T21:00", &[ada]);
    let keys: Vec<StepKey> = b
        .steps(Phase::Bench)
        .iter()
        .map(|s| s.key.clone())
        .filter(|k| !k.as_str().contains(".start"))
        .collect();
    b.tick(&keys[0], TickKind::Done, Some("2026-10-20T18:00:00-04:00"));
    b.tick(&keys[1], TickKind::Skip, None);
    b.tick(&keys[2], TickKind::Hold, None);
    let made = b.plan(Phase::Bench, NOW);
    let state = |key: &StepKey| {
        let (start, look) = pairs(&made).into_iter().find(|(_, look)| look.step.key == *key).unwrap();
        (start.state, look.state)
    };
    assert_eq!(state(&keys[0]), (State::Done, State::Done));
    assert_eq!(state(&keys[1]), (State::Skipped, State::Skipped));
    assert_eq!(state(&keys[2]), (State::Held, State::Held));
    assert_eq!(state(&keys[3]), (State::Open, State::Open));
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
}

#[test]
fn what_runs_is_looked_at_in_its_session_and_started_again_after_it() {
    let mut b = six_props();
    let ada = b.person("Ada", "");
    b.session("2026-10-24T18:00", "2026-10-24T20:00", &[ada]);
    b.session("2026-10-25T18:00", "2026-10-25T20:00", &[ada]);
    let steps = b.steps(Phase::Bench);
    let start = steps.iter().find(|s| s.key.as_str().contains(".start")).unwrap().key.clone();
    b.tick(&start, TickKind::Done, Some("2026-10-24T18:05:00-04:00"));
    for (now, state, day) in
        [("2026-10-24T18:10:00-04:00", State::Done, 24), ("2026-10-24T20:30:00-04:00", State::Open, 25)]
    {
        let made = plan(&b.yard, b.winter(), Phase::Bench, utc(now), 1);
        let (begun, look) = pairs(&made).into_iter().find(|(s, _)| s.step.key == start).unwrap();
        assert_eq!(begun.state, state, "{now}");
        let at = look.from.unwrap().with_timezone(&made.zone);
        assert_eq!(at.format("%d").to_string(), day.to_string());
        assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new(), "{now}");
    }
}

#[test]
fn tests_of_generated_yards_hold() {
    let mut many = 0;
    for seed in 700..740 {
        let (mut b, now) = generated(seed);
        happened(&mut b, Phase::Up, now, seed);
        let made = plan(&b.yard, b.winter(), Phase::Up, now, seed);
        let runs: BTreeMap<&str, i64> = b
            .yard
            .recipe_runs
            .iter()
            .map(|r| {
                let step = b.yard.recipe_steps.iter().find(|s| s.id == r.recipe_step_id).unwrap();
                (step.code.as_str(), r.runs_s.s() / 60)
            })
            .collect();
        let room = b.yard.sites[0].bench_tests.unwrap_or(4) as usize;
        let people = !b.yard.people.is_empty();
        if made.told.sessions {
            many += tests_hold(&made, |code| runs.get(code).copied().unwrap_or(20), room, people);
        }
    }
    println!("{many} running tests");
    assert!(many > 60, "{many} tests: too few to judge by");
}
