//! One cell as typed to a value of its column.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime, NaiveTime};
use chrono_tz::Tz;
use uuid::Uuid;

use super::names::{self, Row, near, rows};
use super::{Telling, Typed};
use crate::answers::told::takes;
use crate::domain::limit::value_untold;
use crate::domain::{CellKind, Column, Session, TABLES, Table, Value};
use crate::exchange::csv::{field, field::Refusal, read_cell};
use crate::exchange::sheet::mounting::{Reading, Way, understand};
use crate::exchange::sheet::{read_clock, read_day};
use crate::units::{Money, System};

/// Lights go on at this hour where only the day is told.
const LIGHTS_ON_HOUR: u32 = 17;
/// What a forecast tells of a session.
const FORECAST: &[&str] = &["forecast_on", "rain", "snow", "ice", "frozen", "gust_mms", "low_mc"];

/// What cells are read by.
pub(super) struct Reader<'a> {
    on: &'a Telling<'a>,
    table: &'static Table,
    units: System,
    currency: String,
    zone: Option<Tz>,
}

fn refuse<T>(code: &'static str, what: impl Into<String>, remedy: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal(code, what.into(), remedy.into()))
}

impl<'a> Reader<'a> {
    pub(super) fn of(on: &'a Telling<'a>, table: &'static Table) -> Self {
        let site = on.existing.sites.iter().find(|s| s.ended_at.is_none());
        Self {
            on,
            table,
            units: site.map_or(System::default(), |s| s.units),
            currency: site.map_or_else(String::new, |s| s.currency().to_owned()),
            zone: on.zone(),
        }
    }

    /// The value; `row` is what is told of the row so far.
    pub(super) fn value(
        &self,
        cell: &Typed<'_>,
        row: &BTreeMap<&'static str, Value>,
        said: &mut Vec<String>,
    ) -> Result<Value, Refusal> {
        let (column, text) = (cell.column, cell.text);
        if text.is_empty() {
            return value_untold(self.table, column)
                .map_or_else(|| refuse("missing-value", "this can't be left untold", takes(column)), Ok);
        }
        let plain = match column.kind {
            CellKind::Refers(to) => return self.refer(to, text, said),
            CellKind::Choice(words) => choice(words, text)?,
            CellKind::Date => day(text)?.format("%Y-%m-%d").to_string(),
            CellKind::LocalTime => self.time(column, text, row, said)?.format("%Y-%m-%dT%H:%M").to_string(),
            CellKind::Whole => text.replace(',', ""),
            CellKind::Money if cell.in_its_unit => text.to_owned(),
            CellKind::Money => self.amount(text)?,
            _ if cell.in_its_unit => text.to_owned(),
            _ => field::typed(column, text, self.units)?.map_or_else(|| text.to_owned(), |n| n.to_string()),
        };
        read_cell(self.table, column, &plain, self.zone, &self.currency)
    }

    fn amount(&self, text: &str) -> Result<String, Refusal> {
        if field::other_currency(text, &self.currency).is_some() {
            // The same refusal as a cell of a file has.
            return Ok(text.to_owned());
        }
        let amount = Money::parse(text).map_err(|e| field::of_unit(&e))?;
        Ok(amount.cents().to_string())
    }

    /// A time: its hour alone is of the day the row has, or begins on.
    fn time(
        &self,
        column: &Column,
        text: &str,
        row: &BTreeMap<&'static str, Value>,
        said: &mut Vec<String>,
    ) -> Result<NaiveDateTime, Refusal> {
        if let Some(clock) = read_clock(&text.to_lowercase().replace(' ', "")) {
            let session = row.get("session_id").and_then(|id| {
                let of = |s: &&Session| Value::Text(s.id.to_string()) == *id;
                self.on.existing.sessions.iter().find(of).map(|s| s.starts)
            });
            let held = [column.name, "starts", "lights_on"].iter().find_map(|c| match row.get(c) {
                Some(Value::Text(t)) => NaiveDateTime::parse_from_str(t, "%Y-%m-%dT%H:%M").ok(),
                _ => None,
            });
            let held = held.or(session);
            return match held {
                Some(day) => Ok(day.date().and_time(clock)),
                None => refuse("not-a-time", "the day is not told", "write it like 2026-11-27T17:00"),
            };
        }
        let (day, time) = read_day(text).map_err(|(code, what, remedy)| Refusal(code, what, remedy))?;
        let assumed = (column.name == "lights_on").then(|| NaiveTime::from_hms_opt(LIGHTS_ON_HOUR, 0, 0));
        match (time, assumed.flatten()) {
            (Some(time), _) => Ok(day.and_time(time)),
            (None, Some(hour)) => {
                said.push("lights on at 17:00 assumed".to_owned());
                Ok(day.and_time(hour))
            }
            (None, None) => refuse("not-a-time", "the hour is not told", "write it like 2026-11-27T17:00"),
        }
    }

    /// The row that a text names.
    fn refer(&self, to: &str, text: &str, said: &mut Vec<String>) -> Result<Value, Refusal> {
        let Some(table) = TABLES.iter().find(|t| t.name == to && to != "attachment") else {
            return refuse("no-attachments", "files are not told in words", "add a photo on Faults");
        };
        let id = |id: Uuid| Value::Text(id.hyphenated().to_string());
        let there = rows(table, self.on.existing);
        match names::find(table, &there, text, self.on.season) {
            Ok(Some(row)) if !row.ended => return Ok(id(row.id)),
            Err(fault) => return refuse(fault.code, fault.what, fault.remedy),
            Ok(_) => {}
        }
        let holding = || there.iter().filter(|r| !r.ended);
        if to == "method" {
            let methods = self.on.existing.methods.iter().filter(|m| m.ended_at.is_none());
            let ways: Vec<Way<'_>> =
                methods.map(|m| Way { code: &m.code, name: &m.name, also: &m.also }).collect();
            if let Reading::Understood { code, because } = understand(text, "", &ways)
                && let Some(row) = holding().find(|r| r.code == code)
            {
                said.push(format!("{text:?} is {}, because of {because:?}", row.name));
                return Ok(id(row.id));
            }
        }
        let words = || holding().flat_map(|r| [r.code.as_str(), r.name.as_str()]);
        let near = near(text, words(), 3);
        let word = to.replace('_', " ");
        let remedy = if near.is_empty() {
            format!("tell it first: tell {to} {text:?}")
        } else {
            format!("nearest are: {}; or tell it first: tell {to} {text:?}", near.join(", "))
        };
        refuse("unknown-reference", format!("there is no {word} of this code or name"), remedy)
    }
}

fn day(text: &str) -> Result<NaiveDate, Refusal> {
    read_day(text).map(|(day, _)| day).map_err(|(code, what, remedy)| Refusal(code, what, remedy))
}

/// The word of a list that is meant: whole, or the only one that begins so.
fn choice(words: &[&'static str], text: &str) -> Result<String, Refusal> {
    const LEAST: usize = 3;
    let word = text.to_lowercase().replace([' ', '-'], "_");
    let begins: Vec<&&str> = words.iter().filter(|w| w.starts_with(&word)).collect();
    match begins.as_slice() {
        _ if words.contains(&word.as_str()) => Ok(word),
        [one] if word.len() >= LEAST => Ok((**one).to_owned()),
        _ => {
            let near = near(&word, words.iter().copied(), 1).join("");
            let remedy = format!("nearest is {near}; one of: {}", words.join(", "));
            refuse("not-a-choice", "this word is not known here", remedy)
        }
    }
}

/// What follows of itself from what was told: the forecast of a session is of its day.
pub(super) fn follow(
    table: &Table,
    row: Option<&Row>,
    told: &BTreeMap<&'static str, Value>,
    set: &mut BTreeMap<&'static str, Value>,
) -> Option<String> {
    let day = |value: &Value| match value {
        Value::Text(t) => t.get(..10).map(str::to_owned),
        _ => None,
    };
    let before = names::cell(&row.filter(|_| table.name == "session")?.set, "starts");
    let moved = told.get("starts").is_some_and(|now| day(now) != day(&before));
    let has = set.get("forecast_on").is_some_and(|v| *v != Value::Null);
    if !moved || !has || told.contains_key("forecast_on") {
        return None;
    }
    for column in FORECAST {
        set.insert(column, Value::Null);
    }
    Some("its forecast was of the other day and is gone".to_owned())
}
