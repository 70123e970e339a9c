//! Plans of the demo yard, their odds, and a yard of 5,000 steps.

use divan::Bencher;
use ladderday::app::{App, Choices, QUICK, THOROUGH};
use ladderday::domain::Phase;
use ladderday::planner::engine::{Control, Limits, solve};
use ladderday::planner::{Chances, Effort, OddsRequest, Plan, RUNS, Request, make_plan, odds};
use ladderday::steps::{Facts, Scope, derive};
use std::collections::BTreeSet;

#[allow(dead_code, reason = "the small problems are for the tests")]
#[path = "../engine/yards.rs"]
mod yards;

const SEASONS: [&str; 2] = ["harbor-2026", "tide-2026"];

/// The demo yard as it is on 1 September 2026.
fn demo() -> App {
    let dir = tempfile::tempdir().unwrap();
    let choices = Choices { now: Some("2026-09-01T08:00".to_owned()), ..Choices::default() };
    App::demo(&dir.path().join("demo.ladderday"), false, &choices).unwrap()
}

fn with<T>(app: &App, code: &str, use_it: impl FnOnce(&Request) -> T) -> T {
    let facts = Facts::new(app.yard());
    let season = app.yard().seasons.iter().find(|s| s.code == code).unwrap();
    let derived =
        derive(&facts, Scope { season: season.id, phase: Phase::Up, day: season.work_from.unwrap() })
            .unwrap();
    let phase = Phase::Up;
    use_it(&Request { facts: &facts, derived: &derived, season, phase, now: app.now(), seed: 1, kept: &[] })
}

fn made(request: &Request, schedules: u64) -> Plan {
    make_plan(request, &[], &[], Effort::of(schedules))
}

#[divan::bench(args = SEASONS, sample_count = 20)]
fn demo_first(bencher: Bencher, code: &str) {
    let app = demo();
    with(&app, code, |r| bencher.bench_local(|| made(r, 1)));
}

#[divan::bench(args = SEASONS, sample_count = 20)]
fn demo_quick(bencher: Bencher, code: &str) {
    let app = demo();
    with(&app, code, |r| bencher.bench_local(|| made(r, QUICK)));
}

#[divan::bench(args = SEASONS, sample_count = 5)]
fn demo_best(bencher: Bencher, code: &str) {
    let app = demo();
    with(&app, code, |r| bencher.bench_local(|| made(r, THOROUGH)));
}

#[divan::bench(args = SEASONS, sample_count = 5)]
fn demo_odds(bencher: Bencher, code: &str) {
    let app = demo();
    with(&app, code, |r| {
        let (plan, chances, without) = (made(r, 1), Chances::common(), BTreeSet::new());
        let ask = OddsRequest {
            request: r,
            plan: &plan,
            followed: &plan,
            chances: &chances,
            runs: RUNS,
            without: &without,
        };
        bencher.bench_local(|| odds(&ask));
    });
}

/// One schedule is the first plan, 200 the improved one.
#[divan::bench(args = [1, 200], sample_count = 3)]
fn steps_5000(bencher: Bencher, schedules: u64) {
    let p = yards::yard(&mut fastrand::Rng::with_seed(8), 5_000);
    bencher.bench_local(|| solve(&p, &Limits { schedules, seed: 1 }, &Control::default()));
}
