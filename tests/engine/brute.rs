//! The decoder of yards against the exact search, and what must hold of any answer.

use super::{check, exact, yards};
use fastrand::Rng;
use ladderday::planner::engine::{Control, Edge, Limits, Problem, Reason, Solution, bound, solve};

fn run(p: &Problem, schedules: u64) -> Solution {
    let s = solve(p, &Limits { schedules, seed: 7 }, &Control::default()).unwrap();
    let bad = check::faults(p, &s);
    assert!(bad.is_empty(), "{bad:?}\n{p:?}\n{s:?}");
    s
}

fn compare(cases: u64, sizes: std::ops::RangeInclusive<usize>, later: bool, seed: u64) -> (usize, usize) {
    use rayon::prelude::*;
    let outcome: Vec<(bool, Option<String>)> = (0..cases)
        .into_par_iter()
        .map(|k| {
            let mut rng = Rng::with_seed(seed + k);
            let n = rng.usize(sizes.clone());
            let p = yards::small(&mut rng, n, later);
            let s = run(&p, 15_000);
            match exact::better(&p, s.goals.row(), later, 100_000) {
                Err(()) => (false, None),
                Ok(None) => {
                    assert!(s.goals.unplaced.bound <= s.goals.unplaced.value, "{p:?}");
                    (true, None)
                }
                Ok(Some(row)) => {
                    (true, Some(format!("case {k} of {n}: {:?} is beaten by {row:?}", s.goals.row())))
                }
            }
        })
        .collect();
    let missed: Vec<&String> = outcome.iter().filter_map(|o| o.1.as_ref()).collect();
    for m in &missed {
        println!("{m}");
    }
    (outcome.iter().filter(|o| o.0).count(), missed.len())
}

#[test]
fn small_yards_have_the_goal_row_of_the_exact_search() {
    let cases = u64::from(crate::store::cases(120).cases);
    let (decided, missed) = compare(cases, 2..=9, false, 1000);
    println!("{decided} of {cases} decided by the exact search, {missed} missed");
    assert!(decided as u64 * 3 >= cases * 2 && missed == 0, "{decided} decided, {missed} missed");
}

#[test]
fn latest_times_and_holds_have_the_goal_row_of_the_exact_search() {
    let cases = u64::from(crate::store::cases(30).cases);
    let (decided, missed) = compare(cases, 2..=4, true, 5000);
    println!("{decided} of {cases} decided by the exact search, {missed} missed");
    // Where a start, its look and a third one have to change places, hour and people at once, chance may not meet it.
    let few = missed as u64 <= 1 + cases / 60;
    assert!(decided as u64 * 3 >= cases * 2 && few, "{decided} decided, {missed} missed");
}

/// No schedule of a small yard betters the bound of it, as it is worked out, where waiting and each session are given too.
#[test]
fn no_schedule_of_the_exact_search_is_better_than_the_bound() {
    use rayon::prelude::*;
    let cases = (0..400u64).into_par_iter().map(|k| {
        let mut rng = Rng::with_seed(9000 + k);
        let n = rng.usize(2..=5);
        let mut p = yards::small(&mut rng, n, false);
        p.setup.waiting = true;
        p.setup.inside_breaks = rng.bool();
        // Much goes to and fro between two places, so that somebody stays, waits or comes back.
        p.comfort = None;
        p.due = None;
        for (i, a) in p.activities.iter_mut().enumerate().filter(|_| k % 2 == 0) {
            a.place = Some([0, 1, 1, 0, 0][i % 5]);
            a.tools.clear();
        }
        if k % 2 == 0 {
            p.edges = (1..n).map(|i| Edge::after(i - 1 - rng.usize(..=(i - 1).min(1)), i, 0)).collect();
        }
        let mut least = bound(&p).unwrap().row();
        least[0] -= p.groups.iter().map(|g| g.worth).sum::<i64>();
        let better = exact::better(&p, least, true, 60_000);
        assert!(!matches!(better, Ok(Some(_))), "{k}: {least:?} {better:?} {p:?}");
        u32::from(better.is_ok())
    });
    let decided: u32 = cases.sum();
    println!("{decided} of 400 decided");
    assert!(decided >= 200, "{decided}");
}

/// Ladder moves of a solution: units that come from another place or are used first in their session.
fn ladder_moves(p: &Problem, s: &Solution) -> usize {
    let only = Problem {
        setup: ladderday::planner::engine::SetUp { place_minutes: 0, tool_minutes: 1, ..Default::default() },
        ..p.clone()
    };
    check::moves(&only, &s.placed).iter().filter(|m| **m > 0).count()
}

#[test]
fn a_yard_plan_needs_at_most_half_the_ladder_moves_of_a_topological_order() {
    let p = yards::yard(&mut Rng::with_seed(8), 120);
    let topological: Vec<usize> = (0..p.activities.len()).collect();
    let control = Control { kept: Some(&topological), ..Control::default() };
    // One schedule: the plain order as it comes.
    let plain = solve(&p, &Limits { schedules: 1, seed: 1 }, &control).unwrap();
    let s = run(&p, 3_000);
    let (before, after) = (ladder_moves(&p, &plain), ladder_moves(&p, &s));
    println!(
        "ladder moves {after} of {before}; rows {:?} {:?}; bounds {:?}",
        s.goals.row(),
        plain.goals.row(),
        s.goals
    );
    assert!(plain.unplaced.is_empty() && s.unplaced.is_empty());
    assert!(2 * after <= before, "{after} of {before}");
}

#[test]
fn the_same_seed_gives_the_same_answer_on_any_number_of_threads() {
    let p = yards::yard(&mut Rng::with_seed(4), 60);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| run(&p, 800))
    };
    let one = on(1);
    assert_eq!(one, on(2));
    assert_eq!(one, on(3));
}

/// What waits in a circle is left out with that reason, what follows it too, and all else is planned.
#[test]
fn a_circle_of_waits_leaves_out_itself_alone() {
    let mut p = yards::yard(&mut Rng::with_seed(3), 24);
    let (a, b) = (1, 2);
    p.edges.push(ladderday::planner::engine::Edge::after(b, a, 0));
    let s = solve(&p, &Limits { schedules: 200, seed: 1 }, &Control::default()).unwrap();
    let why: Vec<_> = s.unplaced.iter().map(|u| (u.activity, u.reason)).collect();
    assert_eq!(why, [(1, Reason::Circle), (2, Reason::Circle), (3, Reason::PredecessorUnplaced(2))]);
}
