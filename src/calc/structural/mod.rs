//! What the wind does to what stands in the yard: pressure, force, guyed mast, ballast, arch, concrete.
//!
//! Planning estimates, static, of what was typed and nothing else: not a structural design and no permit document.
//! Outside the ranges of this folder (mast over 30 ft, wind over 115 mph, solidity over 0.7, guy steeper than 70°)
//! nothing is computed; those limits are the program's own choice.
//!
//! Not here: which prop stands where (`domain`), what must be lowered tonight (`steps`), forecasts (`weather`).

pub mod arch;
pub mod ballast;
pub mod concrete;
pub mod force;
pub mod gust;
mod guy_solver;
pub mod guyed;
pub mod pressure;

use super::refusal::Refusal;

/// 30 ft: nothing higher is computed.
pub const HIGHEST_M: f64 = 9.144;
/// 115 mph: no stronger gust is computed.
pub const FASTEST_MS: f64 = 115.0 * 0.447_04;

/// A figure of these formulas that must lie within `range`.
fn within(
    code: &'static str,
    what: &'static str,
    value: f64,
    unit: &'static str,
    range: (f64, f64),
    remedy: &'static str,
) -> Result<f64, Refusal> {
    Refusal { code, what, value, unit, range, remedy }.unless_within()
}

/// A result that must still be a sensible quantity.
fn sensible(error: crate::units::si::OutOfRange) -> Refusal {
    Refusal {
        code: "structural_result",
        what: error.what,
        value: error.value,
        unit: error.unit,
        range: error.range,
        remedy: "check the measures: the result is out of all proportion",
    }
}
