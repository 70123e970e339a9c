//! One cell to a value of its column, and back.

use chrono::{DateTime, Datelike, NaiveDate, NaiveDateTime};
use chrono_tz::Tz;

use crate::domain::limit::{YEARS, limits};
use crate::domain::{
    CellKind, Column, Moment, NoSuchTime, Table, Value, Words, local_time, on_clock, time_zone,
};
use crate::exchange::sheet::read_clock;
use crate::units::{
    Angle, Current, Force, Gauge, Length, Mass, Money, Power, Span, Speed, System, Temperature, UnitError,
    Voltage, Volume,
};

/// Why a cell is refused: code, what, remedy.
pub(in crate::exchange) struct Refusal(
    pub(in crate::exchange) &'static str,
    pub(in crate::exchange) String,
    pub(in crate::exchange) String,
);

fn refuse<T>(code: &'static str, what: impl Into<String>, remedy: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal(code, what.into(), remedy.into()))
}

/// The header of a column.
pub(in crate::exchange) fn header(column: &Column) -> &'static str {
    column.header()
}

/// Reads a cell that is not empty; references are left as their code.
pub(super) fn parse(table: &Table, column: &Column, text: &str, zone: Option<Tz>) -> Result<Value, Refusal> {
    let value = match column.kind {
        CellKind::Text if column.name == "time_zone" => zone_name(text)?,
        CellKind::Text if matches!(column.name, "nightly_from" | "nightly_to") => clock(text)?,
        CellKind::Text | CellKind::Refers(_) => Value::Text(text.to_owned()),
        CellKind::Words => Value::Text(Words::of(text).text()),
        CellKind::YesNo => yes_no(text)?,
        CellKind::Choice(words) => choice(words, text)?,
        CellKind::Date => date(text)?,
        CellKind::LocalTime => local(text, zone)?,
        CellKind::Moment => moment(text, zone)?,
        CellKind::Gauge => Value::Text(Gauge::parse(text).map_err(|e| of_unit(&e))?.show()),
        CellKind::Whole => Value::Int(whole(text)?),
        CellKind::Percent => Value::Int(whole(text.trim_end_matches('%').trim_end())?),
        _ => Value::Int(quantity(column, text)?),
    };
    if let Value::Int(n) = value {
        let (least, most) = limits(table, column);
        if n < least || n > most {
            let takes = format!("give {least} to {most}");
            return refuse("out-of-range", format!("{n} is out of range"), takes);
        }
    }
    Ok(value)
}

pub(in crate::exchange) fn of_unit(error: &UnitError) -> Refusal {
    let code = if error.near.is_some() { "too-fine" } else { "not-a-quantity" };
    Refusal(code, error.says(), error.remedy())
}

fn whole(text: &str) -> Result<i64, Refusal> {
    text.parse().or_else(|_| refuse("not-a-number", "this is no whole number", "write it like 8"))
}

/// A bare whole number in the column's unit, or a quantity with its unit.
fn quantity(column: &Column, text: &str) -> Result<i64, Refusal> {
    if let Ok(n) = text.parse::<i64>() {
        // Beyond this a fraction could no longer be told from its neighbour when calculated with.
        if n.unsigned_abs() > 1 << 53 {
            return refuse("out-of-range", "the number is far too large", "look at the unit of the column");
        }
        return Ok(n);
    }
    let degrees = column.kind == CellKind::Angle;
    if !degrees && text.parse::<f64>().is_ok() {
        let remedy = format!("give a whole number for {}, or a number with its unit", column.name);
        return refuse("not-a-number", "a number without unit must be whole", remedy);
    }
    match typed(column, text, System::Si)? {
        Some(n) => Ok(n),
        None if column.kind == CellKind::Money => {
            Money::parse(text).map(Money::cents).map_err(|e| of_unit(&e))
        }
        None => whole(text),
    }
}

/// A quantity in the unit of its column, as people type it; nothing where such a column holds none.
pub(in crate::exchange) fn typed(column: &Column, text: &str, units: System) -> Result<Option<i64>, Refusal> {
    match column.kind {
        CellKind::Length => Length::parse(text, units).map(Length::mm),
        CellKind::Mass => Mass::parse(text, units).map(Mass::g),
        CellKind::Volume => Volume::parse(text, units).map(Volume::ml),
        CellKind::Voltage => Voltage::parse(text, units).map(Voltage::mv),
        CellKind::Current => Current::parse(text, units).map(Current::ma),
        CellKind::Power => Power::parse(text, units).map(Power::mw),
        CellKind::Force => Force::parse(text, units).map(Force::mn),
        CellKind::Speed => Speed::parse(text, units).map(Speed::mms),
        CellKind::Temperature => Temperature::parse(text, units).map(Temperature::mc),
        CellKind::Span => Span::parse(text).map(Span::s),
        CellKind::Angle => Angle::parse(text).map(Angle::udeg),
        _ => return Ok(None),
    }
    .map(Some)
    .map_err(|e| {
        let Refusal(code, what, mut remedy) = of_unit(&e);
        // Small lamps take fractions of a milliampere; their watts are whole milliwatts.
        if e.near.is_some() && column.name == "pixel_ma" {
            remedy.push_str(", or tell its power as pixel_mw");
        }
        Refusal(code, what, remedy)
    })
}

/// The currency an amount is marked with, where it is another than the site's; a bare amount is the site's, and so is any
/// where the site's is not known.
pub fn other_currency(text: &str, own: &str) -> Option<String> {
    let mark: String =
        text.chars().filter(|c| !c.is_ascii_digit() && !matches!(c, '.' | ',' | '-' | '+' | ' ')).collect();
    let own = own.to_uppercase();
    // Several countries write their dollars with the same sign.
    let same = match mark.as_str() {
        "" => true,
        "$" => own.ends_with('D'),
        "€" => own == "EUR",
        "£" => own == "GBP",
        code => code.to_uppercase() == own,
    };
    (!same).then_some(mark)
}

/// What is wrong with a price in another currency than the yard's, and what to do.
pub fn mixed_currency(other: &str, own: &str) -> (String, String) {
    if own.is_empty() {
        let how = "tell it first, as currency EUR of the site: a yard has one currency";
        return (format!("this is {other}, the yard's currency is not told"), how.to_owned());
    }
    (
        format!("this is {other}, the yard counts in {own}"),
        format!("give it in {own}: a yard has one currency"),
    )
}

pub(in crate::exchange) fn yes_no(text: &str) -> Result<Value, Refusal> {
    match text.to_lowercase().as_str() {
        "yes" | "y" | "1" | "true" => Ok(Value::Int(1)),
        "no" | "n" | "0" | "false" => Ok(Value::Int(0)),
        _ => refuse("not-yes-no", "this is neither yes nor no", "write yes or no"),
    }
}

fn choice(words: &[&str], text: &str) -> Result<Value, Refusal> {
    let word = text.to_lowercase().replace([' ', '-'], "_");
    if words.contains(&word.as_str()) {
        return Ok(Value::Text(word));
    }
    refuse("not-a-choice", "this word is not known here", format!("write one of: {}", words.join(", ")))
}

fn zone_name(text: &str) -> Result<Value, Refusal> {
    match time_zone(text) {
        Some(zone) => Ok(Value::Text(zone.name().to_owned())),
        None => refuse("unknown-zone", "this time zone is not known", "write it like America/New_York"),
    }
}

/// An hour of the night, kept as `17:00`.
fn clock(text: &str) -> Result<Value, Refusal> {
    match read_clock(&text.to_lowercase().replace(' ', "")) {
        Some(clock) => Ok(Value::Text(clock.format("%H:%M").to_string())),
        None => refuse("not-a-time", "this is no hour", "write it like 17:00 or 5 pm"),
    }
}

pub(super) fn date(text: &str) -> Result<Value, Refusal> {
    match NaiveDate::parse_from_str(text, "%Y-%m-%d") {
        Ok(day) if text.len() == 10 => {
            in_our_years(day)?;
            Ok(Value::Text(day.format("%Y-%m-%d").to_string()))
        }
        _ => refuse("not-a-date", "this is no date", "write it like 2026-11-27"),
    }
}

fn in_our_years(day: NaiveDate) -> Result<(), Refusal> {
    let year = day.year();
    if (YEARS.0..=YEARS.1).contains(&year) {
        return Ok(());
    }
    refuse(
        "not-our-year",
        format!("the year {year} is outside {} to {}", YEARS.0, YEARS.1),
        "write it like 2026-11-27",
    )
}

fn civil(text: &str) -> Option<NaiveDateTime> {
    ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"]
        .iter()
        .find_map(|form| NaiveDateTime::parse_from_str(text, form).ok())
        .filter(|_| text.len() == 16)
}

pub(in crate::exchange) fn local(text: &str, zone: Option<Tz>) -> Result<Value, Refusal> {
    let Some(time) = civil(text) else {
        return refuse("not-a-time", "this is no local time", "write it like 2026-11-27T17:00");
    };
    in_our_years(time.date())?;
    if let Some(zone) = zone {
        local_time(zone, time).map_err(|e| of_local(&e))?;
    }
    Ok(Value::Text(time.format("%Y-%m-%dT%H:%M").to_string()))
}

fn of_local(fault: &NoSuchTime) -> Refusal {
    let code = if fault.readings.is_some() { "time-exists-twice" } else { "no-such-time" };
    let remedy = "take one of the two; a moment may be written with its offset";
    Refusal(code, fault.to_string(), remedy.to_owned())
}

fn moment(text: &str, zone: Option<Tz>) -> Result<Value, Refusal> {
    let remedy = "write it like 2025-11-02T14:20, 2025-11-02T14:20-05:00 or 2025-11-02T19:20Z";
    let with_offset = text.strip_suffix(['Z', 'z']).map_or_else(|| text.to_owned(), |t| format!("{t}+00:00"));
    for form in ["%Y-%m-%dT%H:%M%:z", "%Y-%m-%dT%H:%M:%S%.f%:z"] {
        if let Ok(time) = DateTime::parse_from_str(&with_offset, form) {
            return Ok(Value::Int(time.timestamp_millis()));
        }
    }
    let Some(time) = civil(text) else { return refuse("not-a-time", "this is no time", remedy) };
    let Some(zone) = zone else {
        return refuse(
            "no-zone",
            "the site's time zone is not told",
            "tell time_zone in site.csv, or write the offset",
        );
    };
    local_time(zone, time).map(|t| Value::Int(t.timestamp_millis())).map_err(|e| of_local(&e))
}

/// A value as its cell, without references.
pub fn show(column: &Column, value: &Value, zone: Option<Tz>) -> String {
    match (column.kind, value) {
        (_, Value::Null) => String::new(),
        (CellKind::YesNo, Value::Int(n)) => if *n == 0 { "no" } else { "yes" }.to_owned(),
        (CellKind::Moment, Value::Int(n)) => show_moment(Moment(*n), zone),
        (_, Value::Int(n)) => n.to_string(),
        (_, Value::Text(t)) => t.clone(),
    }
}

/// On the site's clock with its offset, as exact as it is known.
pub(in crate::exchange) fn show_moment(moment: Moment, zone: Option<Tz>) -> String {
    let Some(time) = on_clock(moment, zone.unwrap_or(Tz::UTC)) else { return moment.0.to_string() };
    // Before zones, clocks differed by seconds, which an offset in hours and minutes can not tell.
    let time = if time.offset().local_minus_utc() % 60 == 0 {
        time
    } else {
        time.with_timezone(&Tz::UTC).fixed_offset()
    };
    let form =
        if moment.0.rem_euclid(60_000) == 0 { "%Y-%m-%dT%H:%M%:z" } else { "%Y-%m-%dT%H:%M:%S%.3f%:z" };
    time.format(form).to_string()
}
