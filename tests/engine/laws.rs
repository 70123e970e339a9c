//! Laws of the decoder of yards over generated problems.

use super::{check, exact, yards};
use fastrand::Rng;
use ladderday::planner::engine::{Control, Fixed, Limits, Problem, Session, Window, bound, solve};
use proptest::prelude::*;

fn run(p: &Problem) -> ladderday::planner::engine::Solution {
    solve(p, &Limits { schedules: 4_000, seed: 3 }, &Control::default()).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(48) })]

    /// No bound lies beyond what an exact search finds, and what is called proven cannot be bettered.
    #[test]
    fn bounds_never_pass_the_best_row(seed in 0u64..1 << 40, n in 2usize..=7, later: bool) {
        let p = yards::small(&mut Rng::with_seed(seed), if later { n.min(4) } else { n }, later);
        let s = run(&p);
        prop_assert_eq!(check::faults(&p, &s), Vec::<String>::new());
        let g = s.goals;
        // As it is worked out, not cut down to what was found.
        let mut bound = bound(&p).unwrap().row();
        bound[0] -= p.groups.iter().map(|g| g.worth).sum::<i64>();
        let best = match exact::better(&p, g.row(), later, 60_000) {
            Err(()) => return Ok(()),
            Ok(better) => better.unwrap_or(g.row()),
        };
        if g.proven() {
            prop_assert_eq!(best, g.row());
        }
        // Higher goals first: a lower one is bounded only where those above are at their bound too.
        for k in 0..5 {
            prop_assert!(bound[k] <= best[k] || bound[..k] != best[..k], "{:?} {:?}", bound, best);
        }
    }

    /// All fixed where it was put: the same plan.
    #[test]
    fn all_fixed_is_the_same_plan(seed in 0u64..1 << 40, n in 2usize..=9) {
        let mut p = yards::small(&mut Rng::with_seed(seed), n, false);
        let first = run(&p);
        for (a, x) in p.activities.iter_mut().zip(&first.placed) {
            match x {
                Some(x) => a.fixed = Some(Fixed {
                    start: x.start, end: x.end, session: x.session,
                    workers: x.workers.clone(), units: x.units.clone(), done: false,
                }),
                None => a.held = true,
            }
        }
        let again = run(&p);
        let place = |s: &ladderday::planner::engine::Solution| -> Vec<_> {
            s.placed.iter().map(|x| x.as_ref().map(|x| (x.start, x.end, x.workers.clone(), x.units.clone()))).collect()
        };
        prop_assert_eq!(place(&first), place(&again));
    }

    /// On cases solved to proof one session more never makes the goal row worse.
    #[test]
    fn a_session_more_is_never_worse_where_proven(seed in 0u64..1 << 40, n in 1usize..=4) {
        let p = yards::small(&mut Rng::with_seed(seed), n, false);
        let first = run(&p);
        prop_assume!(first.goals.proven());
        let mut more = p.clone();
        let from = p.sessions.iter().map(|s| s.to).max().unwrap_or(0) + 1440;
        let to = from + 360;
        more.sessions.push(Session { from, to });
        let session = p.sessions.len() as u32;
        for c in &mut more.calendars {
            c.push(Window { from, to, session });
        }
        for w in &mut more.workers {
            w.present.push((from, to));
        }
        for t in &mut more.wait_tables {
            t.push(0);
        }
        let s = run(&more);
        prop_assert!(s.goals.row() <= first.goals.row(), "{:?} {:?}", first.goals.row(), s.goals.row());
    }
}
