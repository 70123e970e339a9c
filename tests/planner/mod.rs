//! Finished plans, judged by the independent checker.

mod again;
mod drop;
mod explain;
mod forgotten;
mod generated;
mod laws;
mod left_out;
mod odds;
mod parts;
mod refusals;
mod room;
mod rounds;
mod running_tests;
mod spoiled;
mod visits;
mod whatif;
pub mod yard;
