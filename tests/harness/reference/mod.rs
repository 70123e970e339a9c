//! One file a kind of reference case; shared by the example `reference_check` and by the tests.
//!
//! A check takes the text of a case file and gives one line for each difference, beginning with the case's id. A new
//! kind is one `mod` line and one row of [`KINDS`].

#![allow(unreachable_pub, reason = "the tests and an example each take this folder in as a private module")]

mod compare;
mod daylight;
mod injection;
mod mains;
mod network;
mod packing;
mod purchase;
mod reliability;
mod safety;
mod signal;
mod wind;

type Check = fn(&str) -> Vec<String>;

/// The kinds of case file and what checks them.
const KINDS: &[(&str, Check)] = &[
    ("daylight", daylight::check),
    ("injection", injection::check),
    ("mains", mains::check),
    ("network", network::check),
    ("packing", packing::check),
    ("purchase", purchase::check),
    ("reliability", reliability::check),
    ("safety", safety::check),
    ("signal", signal::check),
    ("wind", wind::check),
];

/// The differences between `text` and what the program computes; nothing where the kind is unknown.
pub fn check(kind: &str, text: &str) -> Option<Vec<String>> {
    KINDS.iter().find(|(name, _)| *name == kind).map(|(_, check)| check(text))
}

/// The kinds by name, for a message.
#[allow(dead_code, reason = "the tests do not print them")]
pub fn kinds() -> String {
    KINDS.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ")
}
