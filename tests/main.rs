//! The one test binary; each folder under `tests/` is a part of it.
// Items are shared between the folders of this one binary by `pub`; nothing outside can reach them.
#![allow(unreachable_pub)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

mod electrical;
mod engine;
mod exchange;
mod laws;
mod physical;
mod planner;
mod power;
mod record;
#[path = "harness/reference/mod.rs"]
mod reference;
mod running;
mod steps;
mod store;
mod structure;
mod triples;
mod tui;
mod walks;
