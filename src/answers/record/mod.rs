//! What the owner's own record says: failures by unit-season, durations, spares.
//!
//! `units` turns facts into unit-seasons with their failures; `groups` and `verdicts` rate and compare them, `lives`
//! says how long pieces last and when faults come, `findings` puts it into sentences; `learned` draws durations from
//! the ticks; `spare_list` looks ahead. `history` is the answer for screens and commands.
//!
//! Not here: the statistics themselves (`stats`), the bench (`faults`), deeds, drawing.

pub(crate) mod dark;
pub(crate) mod findings;
pub(crate) mod groups;
pub(crate) mod history;
pub(crate) mod learned;
pub(crate) mod lives;
pub(crate) mod pauses;
pub(crate) mod spare_list;
pub(crate) mod units;
pub(crate) mod verdicts;

pub(crate) use findings::percent;
pub(crate) use learned::{Corrections, Learned, corrections, learned, own_record};
pub(crate) use spare_list::{Shares, Spare, spares_by_need};

/// Confidence of every interval, two-sided.
pub(crate) const CONFIDENCE: f64 = 0.95;
/// Below this chance, corrected for the number of comparisons, a difference is called one.
pub(crate) const ALPHA: f64 = 0.05;
