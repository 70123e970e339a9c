//! Laws of planning: what must hold whatever the yard.

use ladderday::domain::{Access, Phase, Role};
use ladderday::steps::{State, StepKey};

use super::generated::{generated, happened};
use super::yard::{breaches, plan, plan_kept};

/// Planned again from the same facts, with the kept order, at the same moment: the same plan.
#[test]
fn nothing_done_plans_the_same_again() {
    for seed in 300..312 {
        let (b, now) = generated(seed);
        let first = plan(&b.yard, b.winter(), Phase::Up, now, 7);
        assert_eq!(first, plan(&b.yard, b.winter(), Phase::Up, now, 7), "seed {seed}");
        let kept: Vec<StepKey> = first.steps.iter().map(|p| p.step.key.clone()).collect();
        let again = plan_kept(&b.yard, b.winter(), Phase::Up, now, 7, &kept);
        assert_eq!(breaches(&b.yard, b.winter(), &again), Vec::<String>::new(), "seed {seed}");
        let row =
            |p: &ladderday::planner::Plan| p.goals.iter().map(|g| (g.name, g.value)).collect::<Vec<_>>();
        let (a, z) = (row(&first), row(&again));
        // The search starts from what people expect, so it never ends with a worse goal row.
        let better = |row: &[(&str, i64)]| -> Vec<i64> {
            row.iter().map(|(n, v)| if *n == "worth_ready" { -v } else { *v }).collect()
        };
        assert!(better(&z) <= better(&a), "seed {seed}: {a:?} became {z:?}");
    }
}

#[test]
fn the_plan_is_the_same_whatever_the_threads() {
    for seed in [320, 321, 322, 323] {
        let (mut b, now) = generated(seed);
        happened(&mut b, Phase::Up, now, seed);
        let with = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| plan(&b.yard, b.winter(), Phase::Up, now, 5))
        };
        let one = with(1);
        assert_eq!(one, with(2), "seed {seed}");
        assert_eq!(one, with(5), "seed {seed}");
    }
}

/// Everything done: nothing is planned, and what was recorded stays where it was.
#[test]
fn all_done_leaves_nothing_to_plan() {
    let (mut b, now) = generated(330);
    // Twice: a mount that is made shows its look-over from then on.
    for _ in 0..2 {
        for step in b.steps(Phase::Up) {
            let at = Some("2026-10-19T12:00:00-04:00");
            b.tick(&step.key, ladderday::domain::TickKind::Done, at).of_count = step.of;
        }
    }
    let made = plan(&b.yard, b.winter(), Phase::Up, now, 1);
    assert!(made.steps.iter().all(|p| matches!(p.state, State::Done | State::Held)));
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    assert!(made.unplaced.is_empty() && made.finish.is_none());
}

#[test]
fn no_sessions_give_order_only() {
    for seed in 340..352 {
        let (mut b, now) = generated(seed);
        b.yard.sessions.clear();
        b.yard.session_people.clear();
        happened(&mut b, Phase::Up, now, seed);
        let made = plan(&b.yard, b.winter(), Phase::Up, now, 1);
        assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new(), "seed {seed}");
        assert!(made.unplaced.is_empty() && made.steps.iter().all(|p| p.from.is_none()));
    }
}

/// What was not told limits nothing: with neither people nor equipment told, all is placed that fits the sessions.
#[test]
fn an_empty_table_limits_nothing() {
    let mut b = super::yard::Build::new();
    let (lawn, roof) = (b.place("lawn", Access::Ground), b.place("roof", Access::Roof));
    b.prop("star", roof, "roof_strap");
    b.prop("mast", lawn, "mast");
    b.weekends(&[]);
    let now = "2026-10-23T08:00:00-04:00";
    let made = b.plan(Phase::Up, now);
    assert_eq!(made.unplaced, vec![]);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    assert_eq!((made.told.people, made.told.equipment), (false, false));
    // One step ladder told: now the roof's ladder is missing, and only what needs it and what follows stays out.
    b.own("LD-1", Role::Ladder, "step_ladder");
    let made = b.plan(Phase::Up, now);
    assert!(made.unplaced.iter().any(|u| u.code == "no_equipment"));
    assert!(made.steps.iter().any(|p| p.step.key.as_str().contains("mast.again") && p.from.is_some()));
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
}
