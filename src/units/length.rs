//! Lengths, typed as metres or as feet and inches.

use super::parse::{COARSE, UnitError, keep, parse_number, split_unit, trim_number, whole};
use super::system::System;

const MM_PER_INCH: f64 = 25.4;
const TAKES: &str = "7'6\", 2.3 m, 230 cm, 90 in";

/// Length in whole millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

impl Length {
    /// From whole millimetres.
    pub const fn from_mm(mm: i64) -> Self {
        Self(mm)
    }

    /// Whole millimetres.
    pub const fn mm(self) -> i64 {
        self.0
    }

    pub fn metres(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// From metres, rounded to the millimetre; nothing where it can't be held.
    pub fn from_metres(m: f64) -> Option<Self> {
        whole(m * 1000.0).map(Self)
    }

    /// Reads `7'6"`, `7 ft 6 in`, `2.3 m`, `230 cm`; a bare number is feet or metres, as the site has it.
    pub fn parse(text: &str, system: System) -> Result<Self, UnitError> {
        let refuse = || UnitError::new("length", text, TAKES);
        let tidy = text.trim().to_lowercase().replace(['′', '’'], "'").replace(['″', '”'], "\"");
        if let Some(mm) = feet_and_inches(&tidy) {
            return keep(mm, "mm", COARSE, refuse()).map(Self);
        }
        let (n, unit) = split_unit(&tidy).ok_or_else(refuse)?;
        let factor = match unit.as_str() {
            "mm" => 1.0,
            "cm" => 10.0,
            "m" => 1000.0,
            "in" | "\"" | "inch" | "inches" => MM_PER_INCH,
            "ft" | "'" | "feet" | "foot" => 12.0 * MM_PER_INCH,
            "yd" => 36.0 * MM_PER_INCH,
            "" if system == System::Us => 12.0 * MM_PER_INCH,
            "" => 1000.0,
            _ => return Err(refuse()),
        };
        keep(n * factor, "mm", COARSE, refuse()).map(Self)
    }

    /// As shown: `7'6"` to the nearest half inch in US units, metres otherwise.
    pub fn show(self, system: System) -> String {
        match system {
            System::Si if self.0.abs() < 100 => format!("{} mm", self.0),
            System::Si => format!("{} m", trim_number(self.metres(), 3)),
            System::Us => {
                let halves = (self.0.unsigned_abs() as f64 / MM_PER_INCH * 2.0).round() as u64;
                let (feet, rest) = (halves / 24, (halves % 24) as f64 / 2.0);
                let sign = if self.0 < 0 { "-" } else { "" };
                match (feet, halves % 24) {
                    (0, _) => format!("{sign}{}\"", trim_number(rest, 1)),
                    (_, 0) => format!("{sign}{feet}'"),
                    _ => format!("{sign}{feet}'{}\"", trim_number(rest, 1)),
                }
            }
        }
    }
}

/// `7'6"`, `7' 6`, `7ft 6in`: both parts present; nothing otherwise.
fn feet_and_inches(text: &str) -> Option<f64> {
    let (feet, rest) = text.split_once('\'').or_else(|| text.split_once("ft"))?;
    let inches = rest.trim().trim_end_matches("in").trim_end_matches('"').trim();
    let (sign, feet) = match feet.trim().strip_prefix('-') {
        Some(feet) => (-1.0, parse_number(feet)?),
        None => (1.0, parse_number(feet)?),
    };
    let inches = if inches.is_empty() { 0.0 } else { parse_number(inches)? };
    (feet >= 0.0 && (0.0..12.0).contains(&inches)).then_some(sign * (feet * 12.0 + inches) * MM_PER_INCH)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn feet_and_inches_come_back_as_typed() {
        let typed = Length::parse("7'6\"", System::Us);
        assert_eq!(typed, Ok(Length::from_mm(2286)));
        assert_eq!(typed.map(|l| l.show(System::Us)), Ok("7'6\"".to_owned()));
        assert_eq!(Length::parse("7 ft 6 in", System::Si), Ok(Length::from_mm(2286)));
        assert_eq!(Length::parse("2,3", System::Si), Ok(Length::from_mm(2300)));
    }

    #[test]
    fn what_lies_left_of_zero_is_shown_and_read() {
        let left = Length::from_mm(-2300);
        assert_eq!(left.show(System::Us), "-7'6.5\"");
        assert_eq!(Length::parse("-7'6.5\"", System::Us), Ok(Length::from_mm(-2299)));
        assert_eq!(Length::parse("-0'6\"", System::Us), Ok(Length::from_mm(-152)));
    }

    #[test]
    fn a_length_without_sense_is_refused() {
        for text in ["", "long", "7'14\"", "7'6\"x", "--3 m", "--3'2", "3 miles", "1e9 m"] {
            assert!(Length::parse(text, System::Us).is_err(), "{text}");
        }
    }
}
