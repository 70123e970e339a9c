//! How long something takes.

use super::parse::{FINE, UnitError, keep, split_unit};

const TAKES: &str = "45 min, 1h20, 1.5 h, 48 h, 7 d";

/// A stretch of time in whole seconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span(i64);

/// The longest span that is read, in seconds: 100,000 hours.
const MOST_S: i64 = 100_000 * 3600;

impl Span {
    pub const fn from_s(seconds: i64) -> Self {
        Self(seconds)
    }

    /// Whole seconds.
    pub const fn s(self) -> i64 {
        self.0
    }

    pub const fn from_minutes(minutes: i64) -> Self {
        Self(minutes * 60)
    }

    /// Minutes, a begun one counted whole.
    pub const fn minutes_up(self) -> i64 {
        self.0.div_euclid(60) + if self.0.rem_euclid(60) > 0 { 1 } else { 0 }
    }

    /// Reads `45 min`, `1h20`, `1:20`, `1.5 h`, `48 h`, `7 d`; a bare number is minutes.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let refuse = || UnitError::new("duration", text, TAKES);
        let tidy = text.trim().to_lowercase();
        if let Some((h, m)) = tidy.split_once([':', 'h']).filter(|(_, m)| !m.trim().is_empty()) {
            let minutes = m.trim().trim_end_matches("min").trim_end_matches('m').trim();
            let (h, m): (i64, i64) =
                (h.trim().parse().map_err(|_| refuse())?, minutes.parse().map_err(|_| refuse())?);
            return if (0..60).contains(&m) && (0..=MOST_S / 3600).contains(&h) {
                Some(h * 3600 + m * 60).filter(|s| *s <= MOST_S).map(Self).ok_or_else(refuse)
            } else {
                Err(refuse())
            };
        }
        let (n, unit) = split_unit(&tidy).ok_or_else(refuse)?;
        let factor = match unit.as_str() {
            "s" | "sec" => 1.0,
            "" | "m" | "min" | "minutes" => 60.0,
            "h" | "hours" | "hour" => 3600.0,
            "d" | "day" | "days" => 86_400.0,
            "w" | "week" | "weeks" => 604_800.0,
            _ => return Err(refuse()),
        };
        if n < 0.0 {
            return Err(refuse());
        }
        let seconds = keep(n * factor, "s", FINE, refuse())?;
        if seconds > MOST_S { Err(refuse()) } else { Ok(Self(seconds)) }
    }

    /// As shown: `45 min`, `1 h 20`, `48 h`, `7 d`.
    pub fn show(self) -> String {
        match self.minutes_up() {
            m if m >= 4320 && m % 1440 == 0 => format!("{} d", m / 1440),
            m => hours_and_minutes(m),
        }
    }
}

/// Minutes of work as people read them: `45 min`, `1 h 20`, `72 h`; hours of hands are never days.
pub fn hours_and_minutes(minutes: i64) -> String {
    match minutes {
        m if m.abs() < 60 => format!("{m} min"),
        m if m % 60 == 0 => format!("{} h", m / 60),
        m => format!("{} h {:02}", m / 60, (m % 60).abs()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_come_back_as_typed() {
        for text in ["45 min", "1 h 20", "48 h", "7 d"] {
            assert_eq!(Span::parse(text).map(Span::show), Ok(text.to_owned()));
        }
        assert_eq!(Span::parse("90"), Ok(Span::from_minutes(90)));
        assert!(Span::parse("1h75").is_err());
        assert!(Span::parse("-5 min").is_err());
        assert!(Span::parse("soon").is_err());
        assert_eq!(Span::parse("99999h59").map(|s| s.0), Ok(MOST_S - 60));
        for too_long in ["44444444444444", "100000h01", "100001 h", "9999999999999999h00"] {
            assert!(Span::parse(too_long).is_err(), "{too_long}");
        }
        assert_eq!(Span::parse("359999999 s").map(Span::show), Ok("100000 h".to_owned()));
        assert_eq!(Span::parse("100000 h").map(Span::show), Ok("100000 h".to_owned()));
    }
}
