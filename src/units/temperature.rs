//! Temperatures.

use super::parse::{UnitError, split_unit, trim_number, whole};
use super::system::System;

/// Temperature in whole thousandths of a degree Celsius.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Temperature(i64);

impl Temperature {
    /// From thousandths of a degree Celsius.
    pub const fn from_mc(mc: i64) -> Self {
        Self(mc)
    }

    /// Thousandths of a degree Celsius.
    pub const fn mc(self) -> i64 {
        self.0
    }

    pub fn celsius(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    pub fn from_celsius(c: f64) -> Option<Self> {
        whole(c * 1000.0).map(Self)
    }

    /// Reads `31F`, `-2 C`, `10°`; a bare number is in the degrees of the site. Below absolute zero is refused.
    pub fn parse(text: &str, system: System) -> Result<Self, UnitError> {
        let refuse = || UnitError::new("temperature", text, "31F, -2 C, 10 °C");
        let (n, unit) = split_unit(&text.replace('°', " ")).ok_or_else(refuse)?;
        let celsius = match (unit.as_str(), system) {
            ("c", _) | ("", System::Si) => n,
            ("f", _) | ("", System::Us) => (n - 32.0) / 1.8,
            _ => return Err(refuse()),
        };
        if celsius < -273.15 {
            return Err(refuse());
        }
        Self::from_celsius(celsius).ok_or_else(refuse)
    }

    /// As shown: `50 °F` or `10 °C`.
    pub fn show(self, system: System) -> String {
        match system {
            System::Us => format!("{} °F", trim_number(self.celsius() * 1.8 + 32.0, 0)),
            System::Si => format!("{} °C", trim_number(self.celsius(), 1)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fahrenheit_comes_back_as_typed() {
        assert_eq!(Temperature::parse("31F", System::Si).map(|t| t.show(System::Us)), Ok("31 °F".to_owned()));
        assert_eq!(Temperature::parse("-2", System::Si), Ok(Temperature::from_mc(-2000)));
        assert!(Temperature::parse("-400 C", System::Si).is_err());
    }
}
