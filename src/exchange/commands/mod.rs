//! What commands answer, one file a command: the same typed answer as text for people and as a JSON document.
//!
//! Not here: what the answer is (`answers`), document types (`json`), reading the command line (`cli`).

pub mod bench;
pub mod buy;
pub mod check;
pub mod drops;
pub mod faults;
pub mod history;
pub mod kit;
pub mod plan;
pub mod seasons;
pub mod sessions;
pub mod spares;
pub mod steps;
pub mod what_if;
pub mod why;
