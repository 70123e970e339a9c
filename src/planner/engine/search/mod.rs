//! One search for every problem: a population of schedules that several makers add to at fixed counts, and a learner
//! beside it that proves and finds where the problem is lean; the same answer whatever the number of threads.
//!
//! Not here: how an order becomes a schedule (`lean`, `yard`).

mod crowd;
mod island;
mod learn;
mod learn_core;
mod maker;
mod scheme;
mod sorter;
mod windows;

use self::island::Island;
use self::learn::{Outcome, Prover};
pub(super) use self::scheme::{Genes, Member, Scheme, Score, Spread};
use self::windows::Windows;
use super::lean::instance::Instance;
use super::problem::{FAR, Problem};
use super::schedule::{Control, Goal, Goals, Limits, Progress, Solution, StoppedBy};

/// Up to so many activities a proof is likely.
const SMALL: usize = 45;
/// Conflicts spent in windows beside a round of passes.
const IN_WINDOWS: u64 = 150;

/// The start of what is left out.
pub(super) const NEVER: i32 = i32::MAX;

/// What is searched.
pub(super) struct Ask<'a, G> {
    pub(super) p: &'a Problem,
    /// What comes before first.
    pub(super) order: &'a [u32],
    pub(super) bound: Score,
    /// Where to begin: a later one has to be better.
    pub(super) firsts: Vec<G>,
    pub(super) spread: Spread,
    /// What can be learned from: all schedules of the problem are schedules of it.
    pub(super) learn: Option<&'a Instance>,
}

/// Searches from the first genes on; `None` where not even they can be scheduled.
pub(super) fn run<S: Scheme>(
    ask: &Ask<S::Genes>,
    make: &impl Fn() -> S,
    limits: &Limits,
    control: &Control,
) -> Option<Solution> {
    let Ask { p, order, spread, .. } = *ask;
    let mut bound = ask.bound;
    let seed = limits.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let mut island = Island::new(make, order, seed, spread);
    let mut stopped = false;
    for g in &ask.firsts {
        if let Some(b) = &island.best {
            stopped = (control.stop)();
            if stopped || island.passes() >= limits.schedules || b.score <= bound {
                break;
            }
        }
        island.found(g.clone());
    }
    let mut best = island.best.clone()?;
    let end = island.decoder().end(&best.score);
    let mut prover = ask
        .learn
        .filter(|_| best.score > bound && !stopped)
        .and_then(|i| Prover::new(i, end, &best.start, limits.seed));
    // No relaxed schedule that ends before this is asked for any more.
    let mut told = end;
    let proven = |bound: &mut Score, end: i32, origin: i32| {
        let at = if p.finish_first { 3 } else { 4 };
        bound[at] = bound[at].max(i64::from(end + origin));
    };
    let origin = ask.learn.map_or(0, |i| i.origin);
    if let Some(x) = &mut prover
        && !x.tighten(end, &best.start)
    {
        proven(&mut bound, end, origin);
        prover = None;
    }
    let mut windows = ask.learn.filter(|i| i.n > SMALL).and_then(|i| Windows::new(i, limits.seed));
    let mut conflicts = 0;
    // A conflict costs some passes; on large problems a proof within reach is rare.
    let proving = match order.len() {
        0..=SMALL => 500,
        _ => 10,
    };
    let stopped_by = loop {
        let spent = island.passes() + conflicts + windows.as_ref().map_or(0, Windows::spent);
        (control.progress)(Progress {
            schedules: spent,
            of: limits.schedules,
            goals: goals(p, &best.score, &bound),
        });
        if best.score <= bound {
            break if stopped { StoppedBy::Stop } else { StoppedBy::Bound };
        }
        if spent >= limits.schedules {
            break StoppedBy::Schedules;
        }
        if stopped || (control.stop)() {
            break StoppedBy::Stop;
        }
        // Sought from the start, room for all comes with many sessions that cost more than is won back later.
        island.lacks = spent > limits.schedules / 2 && best.score[..2] > bound[..2];
        let round = spread.round;
        let share = round.min(limits.schedules - spent);
        let mut outcome = Outcome::Open;
        let mut found: Option<Vec<i32>> = None;
        let mut shorter: Option<Vec<i32>> = None;
        let look = windows.as_ref().and_then(|_| island.look());
        rayon::join(
            || island.run(share, &bound),
            || {
                if let Some(x) = &mut prover {
                    outcome = x.run(if share < round { share.min(proving) } else { proving });
                }
                if let (Some(w), Some(look)) = (&mut windows, &look) {
                    shorter = w.run(look, IN_WINDOWS);
                }
            },
        );
        conflicts = prover.as_ref().map_or(conflicts, Prover::conflicts);
        if let Some(start) = &shorter {
            island.ordered(start);
        }
        match outcome {
            // No proof stands against a schedule in hand: the limit proven is that of this round's start.
            Outcome::Proven => {
                proven(&mut bound, told, origin);
                prover = None;
            }
            Outcome::Found(start) => {
                island.ordered(&start);
                found = Some(start);
            }
            Outcome::Open => {}
        }
        if let Some(b) = island.best.as_ref().filter(|b| b.score < best.score) {
            best = b.clone();
        }
        let mut known = (island.decoder().end(&best.score), &best.start);
        if let (Some(i), Some(start)) = (ask.learn, &found) {
            let end = (0..i.n).filter(|j| i.work[*j]).map(|j| start[j] + i.dur[j]).max().unwrap_or(0);
            // It may keep less than the problem asks for.
            if end < known.0 {
                known = (end, start);
            }
        }
        if known.0 < told {
            told = known.0;
            if prover.as_mut().is_some_and(|x| !x.tighten(told, known.1)) {
                proven(&mut bound, told, origin);
                prover = None;
            }
        }
    };
    let schedules = island.passes() + conflicts + windows.as_ref().map_or(0, Windows::spent);
    let score = best.score;
    let (placed, unplaced) = island.decoder().hand_out(best);
    Some(Solution { placed, unplaced, goals: goals(p, &score, &bound), schedules, stopped_by })
}

/// A score and the bounds of it as goals.
fn goals(p: &Problem, s: &Score, bound: &Score) -> Goals {
    let total: i64 = p.groups.iter().map(|g| g.worth).sum();
    let goal = |k: usize| Goal { value: s[k], bound: bound[k].min(s[k]) };
    let (given, finish) = if p.finish_first { (goal(4), goal(3)) } else { (goal(3), goal(4)) };
    Goals {
        worth: Goal { value: total - s[0], bound: total - bound[0].min(s[0]) },
        unplaced: goal(1),
        days_over: goal(2),
        given,
        finish: Goal { value: finish.value.min(i64::from(FAR)), ..finish },
    }
}
