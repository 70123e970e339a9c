//! Islands of schedules, exchanging at fixed counts.

use super::bounds;
use super::genetic::{Island, Member};
use super::instance::{self, Instance};
use super::learn::{Outcome, Prover};
use crate::planner::engine::problem::{Problem, ProblemError};
use crate::planner::engine::schedule::{Control, Goal, Goals, Limits, Placed, Progress, Solution, StoppedBy};
use rayon::prelude::*;

/// Passes of an island between two looks at the others, the bound and the clock.
const ROUND: u64 = 500;

/// How many islands, and members of each; the same on any machine. Few passes are worth most in one population.
fn islands(budget: u64) -> (u64, usize) {
    let count = if budget <= 200_000 { 1 } else { 4 };
    // More schedules feed more members; each is met by chance often enough to be worth its place.
    (count, (budget / count).isqrt().clamp(16, 800 / count) as usize)
}

/// Solves a plain problem; `None` where it is more than plain.
pub(in super::super) fn solve(
    p: &Problem,
    limits: &Limits,
    control: &Control,
) -> Result<Option<Solution>, ProblemError> {
    Ok(instance::pack(p)?.and_then(|i| run(p, &i, limits, control)))
}

fn run(p: &Problem, i: &Instance, limits: &Limits, control: &Control) -> Option<Solution> {
    let bound = bounds::lower(i);
    let tail = bounds::tails(i);
    let (count, size) = islands(limits.schedules);
    let mut islands: Vec<Island> = (0..count)
        .map(|k| {
            let seed = limits.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15).wrapping_add(k);
            Island::new(i, tail.clone(), seed, size)
        })
        .collect();
    // Most problems of the easy kind end with the first list.
    islands.first_mut()?.run(1, bound);
    let mut best: Member = islands.first()?.best.clone()?;
    let used = |islands: &[Island]| islands.iter().map(|x| x.s.passes).sum::<u64>();
    // The prover knows no shapes.
    let provable = best.end > bound && i.of.is_empty();
    let mut prover = if provable { Prover::new(i, best.end, &best.start, limits.seed) } else { None };
    let mut bound = bound;
    let mut told = best.end;
    if let Some(x) = &mut prover
        && !x.tighten(best.end, &best.start)
    {
        bound = best.end;
    }
    let mut conflicts = 0;
    // A conflict costs some passes; on large problems a proof within reach is rare.
    let proving = match i.n {
        0..=45 => 500,
        46..=75 => 100,
        _ => 10,
    };
    let mut rounds = 0u64;
    let stopped_by = loop {
        let spent = used(&islands) + conflicts;
        (control.progress)(Progress {
            schedules: spent,
            of: limits.schedules,
            goals: goals(i, best.end, bound),
        });
        if best.end <= bound {
            break StoppedBy::Bound;
        }
        if spent >= limits.schedules {
            break StoppedBy::Schedules;
        }
        if (control.stop)() {
            break StoppedBy::Stop;
        }
        let share = ROUND.min((limits.schedules - spent).div_ceil(count));
        let mut outcome = Outcome::Open;
        rayon::join(
            || islands.par_iter_mut().for_each(|x| x.run(share, bound)),
            || {
                if let Some(x) = &mut prover {
                    outcome = x.run(if share < ROUND { share.min(proving) } else { proving });
                }
            },
        );
        conflicts = prover.as_ref().map_or(conflicts, Prover::conflicts);
        match outcome {
            // No proof stands against a schedule in hand: the limit proven is that of this round's start.
            Outcome::Proven => {
                bound = bound.max(told);
                prover = None;
            }
            Outcome::Found(end, start) => islands[0].adopt(&Member { end, start }),
            Outcome::Open => {}
        }
        for x in &islands {
            if let Some(b) = x.best.as_ref().filter(|b| b.end < best.end) {
                best = b.clone();
            }
        }
        if best.end < told {
            told = best.end;
            if prover.as_mut().is_some_and(|x| !x.tighten(best.end, &best.start)) {
                bound = bound.max(best.end);
                prover = None;
            }
            for x in &mut islands {
                if x.best.as_ref().is_none_or(|b| b.end > best.end) && rounds.is_multiple_of(4) {
                    x.adopt(&best);
                }
            }
        }
        rounds += 1;
        if rounds.is_multiple_of(16) {
            let to = (rounds / 16) as usize % islands.len();
            if let Some(x) = islands.get_mut(to).filter(|_| count > 1) {
                x.adopt(&best);
            }
        }
    };
    let placed = (0..p.activities.len())
        .map(|j| {
            let start = best.start[i.of.get(j).map_or(j, |k| *k as usize)] + i.origin;
            let session = p.activities[j].calendar.and_then(|c| {
                let w = &p.calendars[c];
                w.get(w.partition_point(|w| w.from <= start).checked_sub(1)?).map(|w| w.session)
            });
            Some(Placed { start, end: start + p.activities[j].duration, session, ..Placed::default() })
        })
        .collect();
    Some(Solution {
        placed,
        unplaced: Vec::new(),
        goals: goals(i, best.end, bound),
        schedules: used(&islands) + conflicts,
        stopped_by,
    })
}

fn goals(i: &Instance, end: i32, bound: i32) -> Goals {
    let at = |t: i32| i64::from(t + i.origin);
    Goals { finish: Goal { value: at(end), bound: at(bound.min(end)) }, ..Goals::default() }
}
