//! The lean decoder: activities with lags, windows, at most eight resources and people who are always there, earliest
//! finish; one slot a minute.
//!
//! Not here: people who come and go, tools, set-up, modes and holds (`yard`).

pub(super) mod bounds;
mod crew;
pub(super) mod instance;
mod plain;
mod scheme;
mod slots;
mod together;

pub(super) use scheme::{bound, solve};

use super::problem::{FAR, Time};

/// Who is there until then is there all the time.
const FOREVER: Time = FAR / 2;
