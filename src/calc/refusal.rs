//! What a formula says to an input outside its range of use.

use std::fmt;

use crate::units::si::OutOfRange;

/// An input outside the range in which a formula or table holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Refusal {
    /// Stable code, as `cord_not_listed`.
    pub code: &'static str,
    /// The quantity refused, as "wire temperature".
    pub what: &'static str,
    pub value: f64,
    /// Its unit, as "V"; empty for a count or a share.
    pub unit: &'static str,
    /// The lowest and highest value taken.
    pub range: (f64, f64),
    /// What to do about it.
    pub remedy: &'static str,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (low, high) = self.range;
        let unit = if self.unit.is_empty() { String::new() } else { format!(" {}", self.unit) };
        write!(f, "{} {}{unit} is outside {low} to {high}{unit}: {}", self.what, self.value, self.remedy)
    }
}

impl std::error::Error for Refusal {}

impl From<OutOfRange> for Refusal {
    fn from(o: OutOfRange) -> Self {
        let remedy = "correct the figure, or its unit, where it was told";
        Self { code: "out_of_range", what: o.what, value: o.value, unit: o.unit, range: o.range, remedy }
    }
}

impl Refusal {
    /// Refuses a value outside the refusal's own range, NaN included; `self` is the refusal to give.
    pub fn unless_within(self) -> Result<f64, Self> {
        let (low, high) = self.range;
        if (low..=high).contains(&self.value) { Ok(self.value) } else { Err(self) }
    }
}
