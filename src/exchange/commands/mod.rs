//! What commands answer, one file a command: the same typed answer as text for people and as a JSON document.
//!
//! Not here: what the answer is (`answers`), document types (`json`), reading the command line (`cli`).

pub(crate) mod bench;
pub(crate) mod buy;
pub(crate) mod check;
pub(crate) mod choices;
pub(crate) mod dates;
pub(crate) mod drops;
pub(crate) mod faults;
pub(crate) mod helps;
pub(crate) mod history;
pub(crate) mod kit;
pub(crate) mod plan;
pub(crate) mod seasons;
pub(crate) mod sessions;
pub(crate) mod spares;
pub(crate) mod steps;
pub(crate) mod told;
pub(crate) mod totes;
pub(crate) mod what_if;
pub(crate) mod why;
