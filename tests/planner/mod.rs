//! Finished plans, judged by the independent checker.

mod generated;
mod laws;
mod refusals;
mod spoiled;
pub mod yard;
