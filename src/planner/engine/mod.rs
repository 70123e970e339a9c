//! The scheduling engine: activities, waits, calendars, resources, people, tools and set-up, with seeded search and bounds.
//!
//! Call [`solve`] with a [`Problem`]: one search (`search`) over two decoders, `lean` and `yard`. Same seed and schedule count, same answer, whatever the number of threads.
//! Not here: steps, yards, dates and words on screen (the planner around it maps them to activities).

mod lean;
mod order;
pub mod problem;
pub mod schedule;
mod search;
mod solve;
mod solved;
mod yard;

pub use problem::{
    Activity, Edge, FAR, Fixed, Group, Hold, Lag, Mode, Problem, ProblemError, Resource, Run, Session, SetUp,
    Stretch, Time, Wait, Window, Worker,
};
pub use schedule::{
    Bound, Control, Goal, Goals, Limits, Placed, Progress, Reason, Solution, StoppedBy, Unplaced,
};
pub use solve::{bound, solve};
pub use solved::{from_numbers, to_numbers};
pub use yard::spans;
