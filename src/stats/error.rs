//! Figures that no statistic can be made of.

use std::fmt;

/// A refused figure with what it may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StatsError {
    /// A code that never changes.
    pub code: &'static str,
    /// The figure, as "exposure".
    pub what: &'static str,
    pub value: f64,
    /// The lowest and highest value taken.
    pub range: (f64, f64),
    pub remedy: &'static str,
}

impl fmt::Display for StatsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (low, high) = self.range;
        write!(f, "{} {} is outside {low} to {high}: {}", self.what, self.value, self.remedy)
    }
}

impl std::error::Error for StatsError {}

const REMEDY: &str = "correct the figure";

/// Most units or events taken, ten million.
pub(super) const MOST: u64 = 10_000_000;

/// A number more than zero.
pub(super) fn positive(code: &'static str, what: &'static str, value: f64) -> Result<f64, StatsError> {
    within(code, what, value, (f64::MIN_POSITIVE, 1e12))
}

/// A probability strictly between 0 and 1.
pub(super) fn open_share(code: &'static str, what: &'static str, value: f64) -> Result<f64, StatsError> {
    within(code, what, value, (1e-9, 1.0 - 1e-9))
}

/// A count up to `most`.
pub(super) fn count(
    code: &'static str,
    what: &'static str,
    value: u64,
    most: u64,
) -> Result<f64, StatsError> {
    within(code, what, value as f64, (0.0, most.min(MOST) as f64))
}

pub(super) fn within(
    code: &'static str,
    what: &'static str,
    value: f64,
    range: (f64, f64),
) -> Result<f64, StatsError> {
    if (range.0..=range.1).contains(&value) {
        Ok(value)
    } else {
        Err(StatsError { code, what, value, range, remedy: REMEDY })
    }
}
