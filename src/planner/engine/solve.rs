//! The way in: one search, with the lean decoder where a problem is that, the whole one otherwise.

use super::problem::{Problem, ProblemError};
use super::schedule::{Bound, Control, Limits, Solution};
use super::{lean, yard};

/// Finds the best schedule within `limits`.
///
/// # Errors
/// [`ProblemError`] where the problem contradicts itself; an activity that cannot be placed is no error.
pub fn solve(problem: &Problem, limits: &Limits, control: &Control) -> Result<Solution, ProblemError> {
    match lean::solve(problem, limits, control) {
        Ok(Some(s)) => Ok(s),
        // What lies on a circle of waits is left out with its reason; the rest is planned.
        Ok(None) | Err(ProblemError::Cycle { .. }) => yard::solve(problem, limits, control),
        Err(e) => Err(e),
    }
}

/// What no schedule of a problem can better, without a search.
///
/// # Errors
/// As [`solve`].
pub fn bound(problem: &Problem) -> Result<Bound, ProblemError> {
    match lean::bound(problem) {
        Ok(Some(b)) => Ok(Bound(b)),
        Ok(None) | Err(ProblemError::Cycle { .. }) => yard::bound(problem).map(Bound),
        Err(e) => Err(e),
    }
}
