//! When each step is done, by whom, and whether the date holds.

pub mod engine;
