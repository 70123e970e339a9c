//! Searches of one problem, and which of their answers stands.

use super::engine::{Control, Limits, Problem, ProblemError, Progress, Solution, StoppedBy, solve};

/// From what people expect, and afresh: what they expect stands unless a fresh plan is better in the goals, so that
/// keeping a plan never makes the next one worse.
pub(super) fn solve_kept(
    problem: &Problem,
    limits: &Limits,
    control: &Control,
) -> Result<Solution, ProblemError> {
    if control.kept.is_none() {
        return solve_whole(problem, limits, control);
    }
    let (first, second) = (|p| (control.progress)(share(p, 0, 2)), |p| (control.progress)(share(p, 1, 2)));
    let kept = solve(problem, limits, &Control { progress: &first, ..*control })?;
    let fresh = solve_whole(problem, limits, &Control { kept: None, progress: &second, ..*control })?;
    Ok(better(problem, kept, fresh))
}

/// Of all, one in this many is few: a search that leaves so few out may only have begun badly.
const FEW: i64 = 33;
/// How often a search that leaves few out begins again.
const AGAIN: u64 = 2;
/// Of a larger yard a search takes seconds, and its answer stands.
const LARGE: usize = 800;

/// A search that leaves few steps out, and doesn't know that they must be, begins again from other seeds.
fn solve_whole(problem: &Problem, limits: &Limits, control: &Control) -> Result<Solution, ProblemError> {
    let mut best = solve(problem, limits, control)?;
    let many = problem.activities.len();
    for again in 1..=AGAIN {
        let left = best.goals.unplaced;
        let few = left.value > left.bound && left.value * FEW <= many as i64;
        if !few || many > LARGE || best.stopped_by == StoppedBy::Stop {
            break;
        }
        let limits = Limits { seed: limits.seed.wrapping_add(again), ..*limits };
        best = better(problem, best, solve(problem, &limits, control)?);
    }
    Ok(best)
}

/// The first where neither is better.
fn better(problem: &Problem, first: Solution, second: Solution) -> Solution {
    let row = |s: &Solution| s.goals.ranked(problem.finish_first);
    if row(&second) < row(&first) { second } else { first }
}

/// The progress of one of several searches as that of all.
pub(super) fn share(p: Progress, nth: u64, searches: u64) -> Progress {
    Progress { schedules: (nth * p.of + p.schedules.min(p.of)) / searches, ..p }
}
