//! The scheduling engine against an independent checker, an independent exact search and published files.

mod brute;
mod check;
mod exact;
mod psplib;
#[allow(dead_code, reason = "the harness reads more kinds of file than these tests")]
#[path = "../harness/psplib/read.rs"]
mod read;
mod yards;
