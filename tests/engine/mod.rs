//! The scheduling engine against an independent checker, an independent exact search and published files.

mod bounds;
mod brute;
mod check;
mod exact;
mod laws;
mod psplib;
#[path = "../harness/psplib/read.rs"]
mod read;
mod stretches;
mod yards;
