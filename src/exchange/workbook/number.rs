//! The value of a cell as text: days, hours, shares and units by the format it is shown in.
//!
//! Built-in formats are those of ECMA-376-1 (5th edition) 18.8.30, serial days those of its 18.17.4.

use chrono::{Duration, NaiveDate, NaiveDateTime, Timelike as _};

/// What a format makes of a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Format {
    /// With the words around it, as a unit or a currency.
    Plain {
        before: String,
        after: String,
    },
    /// An amount of the currency of whoever looks at it.
    Amount,
    Percent,
    Day,
    Elapsed,
}

impl Format {
    pub(super) const GENERAL: Self = Self::Plain { before: String::new(), after: String::new() };

    /// A format by its number alone.
    pub(super) fn built_in(id: u32) -> Self {
        match id {
            9 | 10 => Self::Percent,
            5..=8 | 42 | 44 => Self::Amount,
            14..=22 | 27..=36 | 45 | 47 | 50..=58 => Self::Day,
            46 => Self::Elapsed,
            _ => Self::GENERAL,
        }
    }

    /// A format by its code, as `yyyy\-mm\-dd` or `0.0" m"`; the part for positive numbers decides.
    pub(super) fn of_code(code: &str) -> Self {
        let (mut before, mut after) = (String::new(), String::new());
        let (mut digits, mut scaled, mut percent, mut day) = (false, false, false, false);
        let mut chars = code.chars().peekable();
        while let Some(c) = chars.next() {
            let words = if digits { &mut after } else { &mut before };
            match c {
                ';' => break,
                '"' => words.extend(chars.by_ref().take_while(|c| *c != '"')),
                '\\' => words.extend(chars.next()),
                // A blank as wide as the next sign; the next sign as often as there is room.
                '_' | '*' => {
                    chars.next();
                    words.push(' ');
                }
                '[' => {
                    let inside: String = chars.by_ref().take_while(|c| *c != ']').collect();
                    if let Some(currency) = inside.strip_prefix('$') {
                        words.push_str(currency.split('-').next().unwrap_or_default());
                    } else if !inside.is_empty() && inside.to_lowercase().chars().all(|c| "hms".contains(c)) {
                        return Self::Elapsed;
                    }
                }
                '0' | '#' | '?' => {
                    digits = true;
                    scaled = false;
                }
                // A comma between digits parts thousands, one after them leaves them out.
                ',' => scaled = digits,
                '%' => percent = true,
                'G' | 'g' if !digits && code.to_lowercase().contains("general") => {
                    digits = true;
                    chars.by_ref().take("eneral".len()).for_each(drop);
                }
                'E' | 'e' if digits => {}
                'y' | 'Y' | 'd' | 'D' | 'm' | 'M' | 'h' | 'H' | 's' | 'S' | 'e' | 'E' | 'g' | 'b' => {
                    day = true;
                }
                '$' | '€' | '£' | '¥' | ' ' => words.push(c),
                _ => {}
            }
        }
        if percent {
            return Self::Percent;
        }
        if day {
            return Self::Day;
        }
        if scaled {
            return Self::GENERAL;
        }
        Self::Plain { before: before.trim().to_owned(), after: after.trim_end().to_owned() }
    }

    pub(super) fn show(&self, value: f64, from_1904: bool) -> String {
        match self {
            Self::Plain { before, after } => format!("{before}{}{after}", plain(value)),
            Self::Amount => crate::units::figure(value, 2),
            Self::Percent => format!("{}%", plain(value * 100.0)),
            Self::Day => moment(value, from_1904).unwrap_or_else(|| plain(value)),
            Self::Elapsed => {
                let minutes = (value * 24.0 * 60.0).round() as i64;
                format!("{}h{:02}", minutes / 60, minutes % 60)
            }
        }
    }
}

/// With the 15 digits that spreadsheet programs work with: 0.1 + 0.2 is 0.3.
pub(super) fn plain(value: f64) -> String {
    format!("{value:.14e}").parse::<f64>().unwrap_or(value).to_string()
}

/// A serial number of days as day and hour, to the minute.
fn moment(value: f64, from_1904: bool) -> Option<String> {
    // The day 60 of the older count is a 29 February 1900 that never was.
    let (first, lost) = match (from_1904, value < 60.0) {
        (true, _) => (NaiveDate::from_ymd_opt(1904, 1, 1)?, 0),
        (false, true) => (NaiveDate::from_ymd_opt(1899, 12, 31)?, 0),
        (false, false) => (NaiveDate::from_ymd_opt(1899, 12, 31)?, 1),
    };
    let minutes = (value * 24.0 * 60.0).round();
    if !(0.0..4.3e9).contains(&minutes) {
        return None;
    }
    let minutes = minutes as i64 - lost * 24 * 60;
    let time: NaiveDateTime = first.and_hms_opt(0, 0, 0)?.checked_add_signed(Duration::minutes(minutes))?;
    Some(if value < 1.0 {
        time.format("%H:%M").to_string()
    } else if time.hour() + time.minute() == 0 {
        time.format("%Y-%m-%d").to_string()
    } else {
        time.format("%Y-%m-%dT%H:%M").to_string()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_come_out_as_they_are_meant() {
        let shown = |code: &str, value: f64| Format::of_code(code).show(value, false);
        for (code, value, text) in [
            ("General", 8.0, "8"),
            ("General", 0.1 + 0.2, "0.3"),
            ("#,##0", 1200.0, "1200"),
            ("0.0\" m\"", 2.5, "2.5 m"),
            ("0\\ \"pcs\"", 8.0, "8 pcs"),
            ("[$€-407]\\ #,##0.00", 12.5, "€12.5"),
            ("#,##0.00\\ [$€-407];[Red]\\-#,##0.00\\ [$€-407]", 12.5, "12.5 €"),
            ("_-\"$\"* #,##0.00_-", 12.0, "$12"),
            ("0,\" k\"", 12_000.0, "12000"),
            ("0.00E+00", 1500.0, "1500"),
            ("0%", 0.8, "80%"),
            ("0.0 %", 0.07, "7%"),
            ("yyyy\\-mm\\-dd", 46_353.0, "2026-11-27"),
            ("ddd d mmm yyyy", 46_353.0, "2026-11-27"),
            ("[$-409]d\\-mmm\\-yy;@", 46_353.0, "2026-11-27"),
            ("m/d/yy h:mm", 46_353.0 + 17.0 / 24.0, "2026-11-27T17:00"),
            ("h:mm AM/PM", 17.0 / 24.0, "17:00"),
            ("yyyy\\-mm\\-dd\\ hh:mm:ss.000", 46_353.0, "2026-11-27"),
            ("[h]:mm", 1.5, "36h00"),
            ("General\" boats\"", 3.0, "3 boats"),
        ] {
            assert_eq!(shown(code, value), text, "{code}");
        }
        assert_eq!(Format::built_in(14).show(46_353.0, false), "2026-11-27");
        // The older count on other machines begins four years and a day later: ECMA-376-1, 18.17.4.1.
        assert_eq!(Format::built_in(14).show(46_353.0 - 1462.0, true), "2026-11-27");
        assert_eq!(Format::built_in(44).show(12.0, false), "12.00");
        assert_eq!(Format::built_in(9).show(0.5, false), "50%");
        // The days before and after the one that never was: 18.17.4.1.
        let day = |n: f64| Format::Day.show(n, false);
        assert_eq!([day(59.0), day(61.0)], ["1900-02-28", "1900-03-01"]);
        assert_eq!([day(-1.0), day(1e18), day(f64::NAN)], ["-1", "1000000000000000000", "NaN"]);
    }
}
