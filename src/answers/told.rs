//! What is told: any table's rows, any row's columns, the way they would be typed.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use uuid::Uuid;

pub use super::column_takes::takes;
use super::column_takes::{about, kind_about};
use super::column_words::{kind_said, said};
use super::{Outlook, read_local};
use crate::domain::limit::value_untold;
use crate::domain::{Cell as _, CellKind, Column, RowChange, TABLES, Table, Value, Yard, natural_key};

/// Units at the end of a column's name.
const UNITS: &[&str] = &[
    "_id", "_mm", "_mv", "_ma", "_mw", "_mms", "_mc", "_mn", "_g", "_s", "_cents", "_pct", "_ms", "_udeg",
    "_deg", "_hz", "_cm2",
];

/// A column's name without its unit: what a person calls it.
pub fn bare(column: &str) -> &str {
    UNITS.iter().find_map(|end| column.strip_suffix(end)).unwrap_or(column)
}

/// The same in words.
pub fn label(column: &str) -> String {
    bare(column).replace('_', " ")
}

/// A value the way it would be typed, in the site's units.
pub fn words(outlook: &Outlook, kind: CellKind, value: &Value) -> String {
    use crate::units as u;
    let units = outlook.units();
    match (kind, value) {
        (_, Value::Null) => String::new(),
        (CellKind::YesNo, Value::Int(n)) => if *n == 0 { "no" } else { "yes" }.to_owned(),
        (CellKind::Length, Value::Int(n)) => u::Length::from_mm(*n).show(units),
        (CellKind::Mass, Value::Int(n)) => u::Mass::from_g(*n).show(units),
        (CellKind::Volume, Value::Int(n)) => u::Volume::from_ml(*n).show(units),
        (CellKind::Voltage, Value::Int(n)) => u::Voltage::from_mv(*n).show(units),
        (CellKind::Current, Value::Int(n)) => u::Current::from_ma(*n).show(units),
        (CellKind::Power, Value::Int(n)) => u::Power::from_mw(*n).show(units),
        (CellKind::Force, Value::Int(n)) => u::Force::from_mn(*n).show(units),
        (CellKind::Speed, Value::Int(n)) => u::Speed::from_mms(*n).show(units),
        (CellKind::Temperature, Value::Int(n)) => u::Temperature::from_mc(*n).show(units),
        (CellKind::Span, Value::Int(n)) => u::Span::from_s(*n).show(),
        (CellKind::Money, Value::Int(n)) => u::Money::from_cents(*n).show(&outlook.currency()),
        (CellKind::Angle, Value::Int(n)) => u::Angle::from_udeg(*n).show(),
        (CellKind::Moment, Value::Int(n)) => outlook.say_ms(*n),
        (CellKind::Percent, Value::Int(n)) => format!("{n} %"),
        (CellKind::Refers(table), Value::Text(id)) => name_of(outlook, table, id),
        (CellKind::Date, Value::Text(day)) => {
            day.parse::<NaiveDate>().map_or_else(|_| day.clone(), |d| d.format("%-d %b %Y").to_string())
        }
        (CellKind::LocalTime, Value::Text(time)) => {
            read_local(time).map_or_else(|| time.clone(), |t| t.format("%-d %b %Y %H:%M").to_string())
        }
        (_, Value::Int(n)) => n.to_string(),
        (_, Value::Text(t)) => t.clone(),
    }
}

/// The code of a row that is referred to.
fn name_of(outlook: &Outlook, table: &'static str, id: &str) -> String {
    let Ok(id) = Uuid::parse_str(id) else { return id.to_owned() };
    outlook.yard.names(&[(table, id)]).remove(&id).unwrap_or_default()
}

/// A line of a form: a column, the way it would be typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormField {
    pub column: &'static str,
    /// As files call it.
    pub header: &'static str,
    pub label: String,
    /// Its comment in the declaration.
    pub about: &'static str,
    /// As it is told now.
    pub text: String,
    pub takes: String,
    /// A new row can't be without it.
    pub must: bool,
    /// What may be picked: what is told then, and a word beside it.
    pub choices: Vec<(String, String)>,
}

/// A form of one row, or of a new one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormPage {
    pub kind: &'static str,
    /// Nothing of a new one.
    pub id: Option<String>,
    pub title: String,
    pub fields: Vec<FormField>,
}

/// Every kind of fact, what one of it is, and how many are told.
pub fn kinds(outlook: &Outlook) -> Vec<(&'static str, String, usize)> {
    let known = TABLES.iter().filter(|t| t.name != "attachment");
    known
        .map(|t| (t.name, kind_about(t.name, t.about).to_owned(), outlook.yard.rows_of(t.name).len()))
        .collect()
}

/// The rows of a kind that hold: id, name, code; of props those of the coming season.
pub fn named(outlook: &Outlook, kind: &str) -> Vec<(String, String, String)> {
    let Some(table) = TABLES.iter().find(|t| t.name == kind) else { return Vec::new() };
    let season = outlook.season_for(outlook.phase_now()).ok().map(|s| s.id.to_value());
    let other = |row: &RowChange| {
        kind == "placement"
            && season.is_some()
            && cell(&row.set, "season_id") != season.clone().unwrap_or(Value::Null)
    };
    let rows = outlook.yard.rows_of(kind);
    let rows = rows.into_iter().filter(|r| !other(r));
    rows.map(|row| {
        let (name, code) = named_one(outlook, table, &row.set);
        (row.id.to_string(), name, code)
    })
    .collect()
}

fn cell(set: &[(&'static str, Value)], column: &str) -> Value {
    set.iter().find(|(c, _)| *c == column).map_or(Value::Null, |(_, v)| v.clone())
}

/// The form of a row, or of a new one of its kind; nothing where it is not there.
pub fn form(outlook: &Outlook, kind: &str, called: Option<&str>) -> Option<FormPage> {
    let table = TABLES.iter().find(|t| t.name == kind)?;
    let row = match called {
        Some(called) => {
            let id = Uuid::parse_str(called).ok();
            let code = Value::Text(called.to_owned());
            let is = |r: &RowChange| Some(r.id) == id || cell(&r.set, "code") == code;
            Some(outlook.yard.rows_of(kind).into_iter().find(is)?)
        }
        None => None,
    };
    let id = row.as_ref().map(|r| r.id);
    let set = row.as_ref().map_or(&[][..], |r| r.set.as_slice());
    let mut lists: BTreeMap<&str, Vec<(String, String, String)>> = BTreeMap::new();
    let can = |c: &&Column| c.kind != CellKind::Refers("attachment") && !(c.name == "code" && id.is_some());
    let mut fields = Vec::new();
    for column in table.columns.iter().filter(can) {
        let value = cell(set, column.name);
        let mut text = words(outlook, column.kind, &value);
        let choices = match column.kind {
            // Read with blanks as with the signs that files have.
            CellKind::Choice(words) => {
                text = text.replace('_', " ");
                words.iter().map(|w| (w.replace('_', " "), String::new())).collect()
            }
            CellKind::YesNo => vec![("yes".to_owned(), String::new()), ("no".to_owned(), String::new())],
            CellKind::Refers(to) => {
                let list = lists.entry(to).or_insert_with(|| named(outlook, to));
                let name = |(_, name, code): &(String, String, String)| {
                    // What two are called says not which.
                    let twice = list.iter().filter(|r| r.1 == *name).count() > 1;
                    if twice { code.clone() } else { name.clone() }
                };
                if let Some(row) = list.iter().find(|r| Value::Text(r.0.clone()) == value) {
                    text = name(row);
                }
                list.iter().map(|row| (name(row), row.2.clone())).collect()
            }
            CellKind::Text if column.name == "time_zone" => {
                chrono_tz::TZ_VARIANTS.iter().map(|zone| (zone.name().to_owned(), String::new())).collect()
            }
            _ => Vec::new(),
        };
        let made = matches!(column.name, "code" | "season_id") || column.kind == CellKind::Moment;
        fields.push(FormField {
            column: column.name,
            header: column.header(),
            label: said(column.name),
            about: about(column),
            text,
            takes: if column.name == "code" {
                "a code of its own; made from the name where empty".to_owned()
            } else {
                takes(column)
            },
            must: value_untold(table, column).is_none() && !made,
            choices,
        });
    }
    // What is always asked comes first.
    fields.sort_by_key(|f| (!f.must, f.column == "code"));
    let word = kind_said(kind);
    let title = if id.is_some() {
        let (name, code) = named_one(outlook, table, set);
        // What it is called comes first; its code is for labels and files.
        if name == code {
            format!("{word} {}", when(outlook, set).unwrap_or(code))
        } else {
            format!("{name} ({code}), {word}")
        }
    } else {
        format!("A new {word}")
    };
    Some(FormPage { kind: table.name, id: id.map(|id| id.to_string()), title, fields })
}

/// Of a stretch of time, which has no name, the day: "of 14 Nov 2026 09:00".
fn when(outlook: &Outlook, set: &[(&'static str, Value)]) -> Option<String> {
    let starts = cell(set, "starts");
    (starts != Value::Null).then(|| format!("of {}", words(outlook, CellKind::LocalTime, &starts)))
}

fn named_one(outlook: &Outlook, table: &Table, set: &[(&'static str, Value)]) -> (String, String) {
    let text = |column| match cell(set, column) {
        Value::Text(text) => text,
        _ => String::new(),
    };
    let code = if table.has_code() { text("code") } else { apart(table, set, outlook.yard) };
    let name = ["name", "title"].into_iter().map(text).find(|t| !t.is_empty());
    (name.unwrap_or_else(|| code.clone()), code)
}

/// What tells a row without code apart, as `S-1114-0900:ann`.
pub fn apart(table: &Table, set: &[(&'static str, Value)], yard: &Yard) -> String {
    if table.name == "site" {
        return table.name.to_owned();
    }
    let parts = natural_key(table.name).iter().filter_map(|name| {
        let column = table.column(name)?;
        match (column.kind, set.iter().find(|(c, _)| c == name).map_or(Value::Null, |(_, v)| v.clone())) {
            (_, Value::Null) => None,
            (CellKind::Refers(to), Value::Text(id)) => {
                let id = Uuid::parse_str(&id).ok()?;
                yard.names(&[(to, id)]).remove(&id)
            }
            (_, Value::Int(n)) => Some(n.to_string()),
            (_, Value::Text(text)) => Some(text),
        }
    });
    parts.collect::<Vec<_>>().join(":")
}

/// One row: how people name it, and every column of its table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToldRow {
    pub id: Uuid,
    pub code: String,
    pub cells: Vec<(&'static Column, Value)>,
}

/// The rows of a table that hold.
pub fn rows(outlook: &Outlook, table: &'static Table) -> Vec<ToldRow> {
    let rows = outlook.yard.rows_of(table.name);
    rows.into_iter()
        .map(|row| ToldRow {
            id: row.id,
            code: named_one(outlook, table, &row.set).1,
            cells: (table.columns.iter())
                .filter_map(|c| Some((c, row.set.iter().find(|(name, _)| *name == c.name)?.1.clone())))
                .collect(),
        })
        .collect()
}
