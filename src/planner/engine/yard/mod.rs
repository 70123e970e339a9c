//! The full path: people, tools, set-up, modes, holds and calendars, decoded one activity at a time.
//!
//! Not here: the fast path for plain cumulative problems (`plain`), the checks of a problem (`order`).

mod blocks;
mod bounds;
mod crew;
mod decode;
mod evaluate;
mod genes;
mod model;
mod profile;
mod reach;
mod reasons;
mod rows;
mod running;
mod search;
mod spans;
mod start;
mod state;
mod tight;
mod visits;

pub(super) use search::solve;
pub use spans::spans;
