//! Checked `f64` quantities in SI units, for formulas.

use std::fmt;

/// A number refused by a constructor of this module.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutOfRange {
    /// The quantity, as "voltage".
    pub what: &'static str,
    pub value: f64,
    /// Its unit, as "V".
    pub unit: &'static str,
    /// The lowest and highest value taken.
    pub range: (f64, f64),
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (low, high) = self.range;
        write!(f, "{} {} {} is outside {low} to {high} {}", self.what, self.value, self.unit, self.unit)
    }
}

impl std::error::Error for OutOfRange {}

macro_rules! si {
    ($($(#[$doc:meta])* $name:ident, $what:literal, $unit:literal, $low:expr, $high:expr;)+) => { $(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Refuses what is not finite or outside the quantity's sensible range.
            pub fn new(value: f64) -> Result<Self, OutOfRange> {
                if value.is_finite() && ($low..=$high).contains(&value) {
                    Ok(Self(value))
                } else {
                    Err(OutOfRange { what: $what, value, unit: $unit, range: ($low, $high) })
                }
            }

            /// The number in the SI unit.
            pub const fn get(self) -> f64 {
                self.0
            }
        }
    )+ };
}

si! {
    /// Volts, 0 to 1000.
    Volts, "voltage", "V", 0.0, 1000.0;
    /// Amperes, either direction.
    Amps, "current", "A", -10_000.0, 10_000.0;
    /// Ohms, zero allowed: the network decides whether zero makes sense.
    Ohms, "resistance", "ohm", 0.0, 1e9;
    /// Ohms a metre of one conductor, more than zero.
    OhmsPerMetre, "resistance a metre", "ohm/m", 1e-9, 1e6;
    /// Watts, zero or more.
    Watts, "power", "W", 0.0, 1e7;
    /// Metres, zero or more.
    Metres, "length", "m", 0.0, 1e5;
    /// Square metres, zero or more.
    SquareMetres, "area", "m2", 0.0, 1e6;
    /// Newtons, zero or more.
    Newtons, "force", "N", 0.0, 1e8;
    /// Kilograms, zero or more.
    Kilograms, "mass", "kg", 0.0, 1e7;
    /// Degrees Celsius of weather and work, -90 to 100.
    Celsius, "temperature", "°C", -90.0, 100.0;
    /// Metres a second of wind, 0 to 120.
    MetresPerSecond, "wind speed", "m/s", 0.0, 120.0;
    /// A dimensionless share, 0 to 1.
    Fraction, "share", "", 0.0, 1.0;
    /// Elapsed hours, zero or more.
    Hours, "time", "h", 0.0, 1e6;
    /// Pascals of wind pressure, zero or more.
    Pascals, "pressure", "Pa", 0.0, 1e6;
    /// Degrees of an angle or azimuth, a full turn either way.
    Degrees, "angle", "°", -360.0, 360.0;
    /// Cubic metres, zero or more.
    CubicMetres, "volume", "m3", 0.0, 1e6;
    /// Kilograms a cubic metre, more than zero.
    KilogramsPerCubicMetre, "density", "kg/m3", 1e-3, 3e4;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn not_a_number_is_no_quantity() {
        assert!(Volts::new(f64::NAN).is_err());
        assert!(Metres::new(-1.0).is_err());
        assert!(Fraction::new(1.01).is_err());
        assert_eq!(Volts::new(5.0).map(Volts::get), Ok(5.0));
    }
}
