//! The fast path: activities with lags, windows and at most four resources, earliest finish; one slot a minute.
//!
//! Not here: people, tools, set-up, modes and holds (`yard`).

mod bounds;
mod genetic;
mod instance;
mod learn;
mod learn_core;
mod schedule;
mod search;
mod together;

pub(super) use search::solve;
