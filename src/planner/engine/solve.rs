//! The way in: checks the problem and takes the fast or the full path.

use super::problem::{Problem, ProblemError};
use super::schedule::{Control, Limits, Solution};
use super::yard;

/// Finds the best schedule within `limits`.
///
/// # Errors
/// [`ProblemError`] where the problem contradicts itself; an activity that cannot be placed is no error.
pub fn solve(problem: &Problem, limits: &Limits, control: &Control) -> Result<Solution, ProblemError> {
    yard::solve(problem, limits, control)
}
