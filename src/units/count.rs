//! Shares and angles.

use super::parse::{UnitError, parse_number, trim_number, whole};

/// A share in whole percent, 0 to 100.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Percent(u8);

impl Percent {
    /// Whole percent; nothing above 100.
    pub fn new(percent: i64) -> Option<Self> {
        u8::try_from(percent).ok().filter(|p| *p <= 100).map(Self)
    }

    pub fn get(self) -> i64 {
        i64::from(self.0)
    }

    /// As a fraction, 0 to 1.
    pub fn fraction(self) -> f64 {
        f64::from(self.0) / 100.0
    }
}

/// A latitude or longitude in whole millionths of a degree; north and east are positive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Angle(i64);

impl Angle {
    pub const fn from_udeg(udeg: i64) -> Self {
        Self(udeg)
    }

    /// Millionths of a degree.
    pub const fn udeg(self) -> i64 {
        self.0
    }

    pub fn degrees(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// Reads `44.05`, `69.10 W`, `12 S`; beyond 180 degrees is refused.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let refuse = || UnitError::new("position in degrees", text, "44.05, 69.10 W, -12.5");
        let upper = text.trim().to_uppercase().replace('°', "");
        let (digits, sign) = match upper.chars().last() {
            Some('S' | 'W') => (upper.trim_end_matches(['S', 'W']), -1.0),
            Some('N' | 'E') => (upper.trim_end_matches(['N', 'E']), 1.0),
            _ => (upper.as_str(), 1.0),
        };
        let n = parse_number(digits).ok_or_else(refuse)? * sign;
        if n.abs() > 180.0 {
            return Err(refuse());
        }
        whole(n * 1e6).map(Self).ok_or_else(refuse)
    }

    /// Degrees with up to six decimals.
    pub fn show(self) -> String {
        trim_number(self.degrees(), 6)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn west_is_negative() {
        assert_eq!(Angle::parse("69.10 W"), Ok(Angle::from_udeg(-69_100_000)));
        assert!(Angle::parse("181").is_err());
    }

    #[test]
    fn more_than_all_is_no_share() {
        assert!(Percent::new(101).is_none());
        assert!(Percent::new(-1).is_none());
        assert_eq!(Percent::new(40).map(Percent::fraction), Some(0.4));
    }
}
