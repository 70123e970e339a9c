//! Money in whole cents of the yard's one currency.

use super::parse::{UnitError, parse_number};

/// An amount in whole cents.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(i64);

impl Money {
    pub const fn from_cents(cents: i64) -> Self {
        Self(cents)
    }

    pub const fn cents(self) -> i64 {
        self.0
    }

    /// Reads `$12.50`, `12.5`, `1,250.00`; more than two decimals is refused, not rounded.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let refuse = || UnitError::new("amount of money", text, "$12.50, 12.50");
        let bare =
            text.trim().trim_start_matches(|c: char| !c.is_ascii_digit() && !matches!(c, '-' | '.')).trim();
        let places = bare.rsplit_once('.').map_or(0, |(_, d)| d.len());
        let n = parse_number(bare).ok_or_else(refuse)?;
        if places > 2 || n.abs() >= 1e12 {
            return Err(refuse());
        }
        Ok(Self((n * 100.0).round() as i64))
    }

    /// `12.50`, with the currency's sign or code in front.
    pub fn show(self, currency: &str) -> String {
        let sign = if self.0 < 0 { "-" } else { "" };
        let (whole, cents) = (self.0.unsigned_abs() / 100, self.0.unsigned_abs() % 100);
        let mark = match currency {
            "USD" => "$".to_owned(),
            "" => String::new(),
            code => format!("{code} "),
        };
        format!("{sign}{mark}{whole}.{cents:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_comes_back_as_typed() {
        assert_eq!(Money::parse("$12.50").map(|m| m.show("USD")), Ok("$12.50".to_owned()));
        assert_eq!(Money::parse("12.5"), Ok(Money::from_cents(1250)));
        assert!(Money::parse("12.505").is_err());
        assert!(Money::parse("free").is_err());
    }
}
