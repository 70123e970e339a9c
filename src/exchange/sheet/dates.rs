//! A day, with or without an hour, as people write it; what can be read two ways is refused with both.

use chrono::{Datelike, NaiveDate, NaiveTime};

/// A day, and its hour where it is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Told {
    pub(super) day: NaiveDate,
    pub(super) time: Option<NaiveTime>,
}

/// Why a text is no day: code, what, remedy.
type NoDay = (&'static str, String, String);

const MONTHS: &[&str] = &[
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];
const WEEKDAYS: &[&str] = &["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];
const REMEDY: &str = "write it like 2026-11-27 or 2026-11-27T17:00";

fn refuse<T>(code: &'static str, what: impl Into<String>) -> Result<T, NoDay> {
    Err((code, what.into(), REMEDY.to_owned()))
}

/// The place of a word in a list, by its first letters: at least three of them.
fn of_list(list: &[&str], word: &str) -> Option<u32> {
    let at = list.iter().position(|full| {
        word.len() >= 3 && (full.starts_with(word) || (*full == "september" && word == "sept"))
    })?;
    u32::try_from(at).ok().map(|at| at + 1)
}

/// Reads `2026-11-27`, `27 Nov 2026`, `Fri Nov 27th, 2026 5:30 pm`, `11/27/2026`, `27.11.2026 17:00`.
///
/// # Errors
/// `ambiguous-date` with both readings where a number may be day or month; a weekday that is none of that day.
pub(super) fn read(text: &str) -> Result<Told, NoDay> {
    let lower = text.trim().to_lowercase().replace(" o'clock", ":00");
    let lower =
        lower.replace(" p.m.", "pm").replace(" a.m.", "am").replace("p.m.", "pm").replace("a.m.", "am");
    let lower = lower.replace(" pm", "pm").replace(" am", "am");
    let (mut numbers, mut month, mut weekday, mut time) = (Vec::new(), None, None, None);
    let mut dotted = false;
    // A T between day and hour, as the standard writes it.
    let spaced: String = lower
        .char_indices()
        .map(|(at, c)| {
            let digit = |n: Option<char>| n.is_some_and(|n| n.is_ascii_digit());
            let before = lower.get(..at).and_then(|t| t.chars().next_back());
            let after = lower.get(at + c.len_utf8()..).and_then(|t| t.chars().next());
            if c == 't' && digit(before) && digit(after) { ' ' } else { c }
        })
        .collect();
    for word in spaced.split(|c: char| c.is_whitespace() || c == ',').filter(|w| !w.is_empty()) {
        let bare = word.trim_matches(['(', ')', '.']);
        if let Some(clock) = clock(bare) {
            if time.replace(clock).is_some() {
                return refuse("not-a-time", "two hours are told");
            }
            continue;
        }
        if matches!(bare, "at" | "on" | "the" | "of" | "h" | "uhr" | "from") {
            continue;
        }
        for part in bare.split(['-', '/', '.']).filter(|p| !p.is_empty()) {
            dotted |= bare.contains('.');
            let digits = part
                .trim_end_matches("st")
                .trim_end_matches("nd")
                .trim_end_matches("rd")
                .trim_end_matches("th");
            if digits.chars().all(|c| c.is_ascii_digit()) && !digits.is_empty() && digits.len() <= 4 {
                numbers.push(Number { text: digits.to_owned(), ordinal: digits.len() < part.len() });
            } else if let Some(m) = of_list(MONTHS, part) {
                if month.replace(m).is_some() {
                    return refuse("not-a-date", "two months are told");
                }
            } else if let Some(d) = of_list(WEEKDAYS, part) {
                weekday = Some(d);
            } else {
                return refuse("not-a-date", "this is no date");
            }
        }
    }
    let day = day_of(&numbers, month, dotted)?;
    if let Some(told) = weekday.filter(|w| *w != day.weekday().number_from_monday()) {
        let name = |n: u32| WEEKDAYS.get(n as usize - 1).copied().unwrap_or_default();
        let is = name(day.weekday().number_from_monday());
        return refuse(
            "wrong-weekday",
            format!("{} is a {is}, not a {}", day.format("%-d %b %Y"), name(told)),
        );
    }
    Ok(Told { day, time })
}

struct Number {
    text: String,
    ordinal: bool,
}

/// The day that a text tells, and its hour where it tells one.
///
/// # Errors
/// Code, what is wrong, what to write.
pub fn day(text: &str) -> Result<(NaiveDate, Option<NaiveTime>), NoDay> {
    // `26-11-27` is a year with its century left out to some, a day to others.
    let first = text.split_whitespace().next().unwrap_or_default();
    let short = first.split('-').filter(|n| n.len() == 2 && n.bytes().all(|b| b.is_ascii_digit())).count();
    if short == 3 && first.len() == 8 {
        return refuse("ambiguous-date", format!("{first} does not tell which of its numbers is the year"));
    }
    read(text).map(|told| (told.day, told.time))
}

/// The first such day from `from` on of a text that leaves its year out; any other text as it stands.
pub fn with_year(text: &str, from: NaiveDate) -> String {
    let left_out = read(text).is_err_and(|(code, ..)| code == "no-year");
    let of = |year: i32| format!("{text} {year}");
    let later = |text: &String| read(text).is_ok_and(|told| told.day >= from);
    let mut years = (from.year()..=from.year() + 1).filter(|_| left_out).map(of);
    years.find(later).unwrap_or_else(|| text.to_owned())
}

/// An hour, as `17:00`, `5pm`, `17h30`.
pub(in crate::exchange) fn clock(word: &str) -> Option<NaiveTime> {
    let (digits, half) = match (word.strip_suffix("pm"), word.strip_suffix("am")) {
        (Some(d), _) => (d, Some(12)),
        (_, Some(d)) => (d, Some(0)),
        _ => (word, None),
    };
    let (hour, minute) = match digits.split_once([':', 'h']) {
        Some((h, "")) => (h, "0"),
        Some((h, m)) => (h, m.strip_suffix(":00").unwrap_or(m)),
        None => (digits, half.map(|_| "0")?),
    };
    if minute.len() > 2 || !minute.chars().chain(hour.chars()).all(|c| c.is_ascii_digit()) {
        return None;
    }
    let hour: u32 = hour.parse().ok()?;
    let hour = match half {
        Some(add) => (1..=12).contains(&hour).then_some(hour % 12 + add)?,
        None => hour,
    };
    NaiveTime::from_hms_opt(hour, minute.parse().ok()?, 0)
}

fn day_of(numbers: &[Number], month: Option<u32>, dotted: bool) -> Result<NaiveDate, NoDay> {
    let value = |n: &Number| n.text.parse::<u32>().unwrap_or(0);
    let year_of = |n: &Number| match n.text.len() {
        4 => i32::try_from(value(n)).ok(),
        2 if !n.ordinal => i32::try_from(2000 + value(n)).ok(),
        _ => None,
    };
    let make = |y: Option<i32>, m: u32, d: u32| y.and_then(|y| NaiveDate::from_ymd_opt(y, m, d));
    let found = match (numbers, month) {
        ([a, b], Some(m)) if a.text.len() == 4 => make(year_of(a), m, value(b)),
        ([a, b], Some(m)) => make(year_of(b), m, value(a)),
        ([_], Some(_)) => return refuse("no-year", "the year is not told"),
        ([y, m, d], None) if y.text.len() == 4 => make(year_of(y), value(m), value(d)),
        ([a, b, y], None) => {
            let day_first = make(year_of(y), value(b), value(a));
            let month_first = make(year_of(y), value(a), value(b)).filter(|_| !dotted);
            match (day_first, month_first) {
                (Some(d), Some(m)) if d != m => {
                    let what = format!("this is {} or {}", d.format("%-d %B %Y"), m.format("%-d %B %Y"));
                    return refuse("ambiguous-date", what);
                }
                (d, m) => d.or(m),
            }
        }
        ([_] | [_, _], None) => return refuse("not-a-date", "day, month and year are not all told"),
        _ => None,
    };
    found
        .filter(|d| (1970..=2199).contains(&d.year()))
        .map_or_else(|| refuse("not-a-date", "there is no such day"), Ok)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> String {
        let told = read(text).unwrap_or_else(|e| panic!("{text}: {e:?}"));
        told.day.format("%F").to_string()
            + &told.time.map_or_else(String::new, |t| t.format(" %H:%M").to_string())
    }

    #[test]
    fn days_are_read_as_people_write_them() {
        for text in [
            "2026-11-27",
            "2026/11/27",
            "27 Nov 2026",
            "27. November 2026",
            "Nov 27, 2026",
            "November 27th 2026",
            "Fri 27 Nov 2026",
            "Friday, November 27, 2026",
            "27-Nov-26",
            "27-Nov-2026",
            "11/27/2026",
            "27/11/2026",
            "11/27/26",
            "27.11.2026",
            "27th of November 2026",
        ] {
            assert_eq!(shown(text), "2026-11-27", "{text}");
        }
        assert_eq!(shown("12.11.2026"), "2026-11-12");
        assert_eq!(shown("11/11/2026"), "2026-11-11");
        for text in [
            "2026-11-27T17:00",
            "27 Nov 2026 at 5 pm",
            "11/27/2026 5:00 PM",
            "27/11/2026 17:00",
            "Nov 27, 2026, 5pm",
            "27.11.2026 17h00",
            "2026-11-27 17:00:00",
        ] {
            assert_eq!(shown(text), "2026-11-27 17:00", "{text}");
        }
    }

    #[test]
    fn what_is_none_or_two_days_is_refused() {
        let (code, what, _) = read("11/12/2026").unwrap_err();
        assert_eq!((code, what.as_str()), ("ambiguous-date", "this is 11 December 2026 or 12 November 2026"));
        assert_eq!(read("Mon 27 Nov 2026").unwrap_err().0, "wrong-weekday");
        for text in [
            "Friday",
            "27 Nov",
            "31/11/2026",
            "2026-02-30",
            "11/2026",
            "46353",
            "",
            "27/11/2026 25:00",
            "30 Feb 2026",
            "soon",
            "99/99/2026",
        ] {
            assert!(read(text).is_err(), "{text}: {:?}", read(text));
        }
    }
}
