//! What the owner's own record says: failures by unit-season, durations, spares, the bench.
//!
//! `units` turns facts into unit-seasons with their failures; `groups` and `verdicts` rate and compare them, `lives`
//! says how long pieces last and when faults come, `findings` puts it into sentences; `learned` draws durations from
//! the ticks; `spare_list` and `bench` look ahead. `history` is the answer for screens and commands.
//!
//! Not here: the statistics themselves (`stats`), deeds, drawing.

mod bench;
mod dark;
mod findings;
mod groups;
mod history;
mod learned;
mod lives;
mod pauses;
mod report;
mod spare_list;
mod units;
mod verdicts;

pub(super) use bench::BenchJob;
pub(super) use learned::{Corrections, Learned, corrections, learned, own_record};
pub(super) use spare_list::{Shares, Spare};

/// Confidence of every interval, two-sided.
const CONFIDENCE: f64 = 0.95;
/// Below this chance, corrected for the number of comparisons, a difference is called one.
const ALPHA: f64 = 0.05;
