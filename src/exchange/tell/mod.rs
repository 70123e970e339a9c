//! Any fact told by itself, as a person types it: a table by its name, columns by theirs, what it refers to by code or
//! name, quantities with the units people use. All from the `fact!` declarations; every fault at once, at its column.
//!
//! A bare number is in the unit of the column's name where that is how it is called (`height_mm=2300`), else in the
//! units of the site (`height=2.3`).
//!
//! Not here: files (`csv`, `sheet`), writing the rows (`app`).

mod end;
mod names;
mod value;

use std::collections::BTreeMap;

use chrono_tz::Tz;
use uuid::Uuid;

pub use end::{Ended, end};
pub use names::{near, table_called};

use crate::answers::told::takes;
use crate::domain::limit::value_untold;
use crate::domain::{Cell as _, CellKind, Column, Moment, RowChange, Table, Value, Yard};
use crate::exchange::csv::{CsvFault, Target, field, identity, settle};
use crate::exchange::sheet::{free_code, slug};
use names::{Row, rows};
use value::Reader;

/// The yard that a fact is told for.
#[derive(Debug, Clone, Copy)]
pub struct Telling<'a> {
    pub yard_id: Uuid,
    /// All its facts, those that ended too.
    pub existing: &'a Yard,
    /// The season that props are of where none is told.
    pub season: Option<Uuid>,
    /// The letters that new labels of this copy carry.
    pub mark: &'a str,
    /// UTC milliseconds: when something happened that is told without its time.
    pub now_ms: i64,
}

impl Telling<'_> {
    fn target(&self) -> Target<'_> {
        Target { yard_id: self.yard_id, existing: self.existing }
    }

    fn zone(&self) -> Option<Tz> {
        self.target().zone()
    }
}

/// Which row is told of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which<'a> {
    /// By its code or name; nothing where its columns say which, or it is new.
    Called(Option<&'a str>),
    Row(Uuid),
}

/// How the row stood before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Was {
    New,
    There,
    /// It had ended, and holds again.
    Ended,
}

/// A column that is told otherwise than before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    pub column: &'static Column,
    pub before: Value,
    pub after: Value,
}

/// What was told, as a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    pub table: &'static Table,
    pub row: RowChange,
    pub was: Was,
    /// As people name it.
    pub code: String,
    pub changes: Vec<Change>,
    /// What was assumed or understood, a sentence each.
    pub said: Vec<String>,
}

/// A cell as typed, its column made out.
struct Typed<'a> {
    column: &'static Column,
    /// Called by the column's own name, whose unit a bare number has.
    in_its_unit: bool,
    text: &'a str,
}

/// Reads what is told of one row.
///
/// # Errors
/// Every fault, each with its column; then nothing is told.
pub fn tell(
    kind: &str,
    which: Which<'_>,
    cells: &[(String, String)],
    on: &Telling<'_>,
) -> Result<Told, Vec<CsvFault>> {
    let table = table_called(kind).map_err(|fault| vec![*fault])?;
    let mut faults = Vec::new();
    let typed = columns_of(table, cells, &mut faults);
    let there = rows(table, on.existing);
    let code_cell = typed.iter().find(|t| t.column.name == "code").map(|t| t.text).filter(|t| !t.is_empty());
    let called = match which {
        Which::Called(text) => text.map(str::trim).filter(|t| !t.is_empty()).or(code_cell),
        Which::Row(_) => None,
    };
    let mut row = match (which, called) {
        (Which::Row(id), _) => there.iter().find(|r| r.id == id),
        (_, Some(text)) => match names::find(table, &there, text, on.season) {
            Ok(found) => found,
            Err(fault) => return Err(vec![*fault]),
        },
        (_, None) if table.name == "site" => there.first(),
        (_, None) => None,
    };
    let label = format!("{} {}", table.name, row.map_or(called.unwrap_or_default(), |r| r.code.as_str()));
    let label = label.trim();
    let reader = Reader::of(on, table);
    let mut set = cells_of(row);
    let mut told: BTreeMap<&'static str, Value> = BTreeMap::new();
    let mut said = Vec::new();
    for column in table.columns {
        let Some(cell) = typed.iter().find(|t| t.column.name == column.name) else { continue };
        match reader.value(cell, &set, &mut said) {
            Ok(value) => {
                set.insert(column.name, value.clone());
                told.insert(column.name, value);
            }
            Err(field::Refusal(code, what, remedy)) => {
                let fault = CsvFault::new(code, label, 0, what, remedy);
                faults.push(fault.at(field::header(column), cell.text));
            }
        }
    }
    let key = crate::domain::natural_key(table.name);
    if !table.has_code() && row.is_none() {
        if called.is_some() {
            let known: Vec<&str> = there.iter().map(|r| r.code.as_str()).collect();
            let near = near(called.unwrap_or_default(), known.iter().copied(), 3).join(", ");
            let titles: Vec<&str> =
                table.columns.iter().filter(|c| key.contains(&c.name)).map(field::header).collect();
            let which = if titles.is_empty() {
                format!("a {} has no code: leave it out", table.name)
            } else {
                format!("its {} say which", titles.join(" and "))
            };
            let remedy = if near.is_empty() { which } else { format!("{which}; nearest are: {near}") };
            faults.push(CsvFault::new("no-row", label, 0, "there is no such row", remedy));
        }
        // What says which row it is, is told: the row that is there is meant.
        let same =
            |r: &&Row| key.iter().all(|c| told.get(c).unwrap_or(&Value::Null) == &names::cell(&r.set, c));
        row = there.iter().filter(|r| !r.ended).find(same).filter(|_| !key.is_empty());
        set = cells_of(row);
        set.extend(told.clone());
    }
    let code = match row {
        Some(row) => {
            stays(table, row, &told, label, &mut faults);
            row.code.clone()
        }
        None => fill(table, called, &mut set, &there, on, label, &mut faults),
    };
    if row.is_none()
        && let Some(other) = there.iter().find(|r| table.has_code() && r.code.eq_ignore_ascii_case(&code))
    {
        let what = format!("there is a {} {} already", table.name, other.code);
        let remedy = format!(
            "ladderday tell {} {} … changes it; another one needs its own code",
            table.name, other.code
        );
        faults.push(CsvFault::new("code-taken", label, 0, what, remedy).at("code", &code));
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let was = row.map_or(Was::New, |r| if r.ended { Was::Ended } else { Was::There });
    set.insert("ended_at", Value::Null);
    said.extend(value::follow(table, row, &told, &mut set));
    let id = match row {
        Some(row) => Some(row.id),
        None if table.has_code() => Some(identity::id_of(on.yard_id, table.name, &code)),
        None => None,
    };
    let id = settle(table, label, &mut set, id, &on.target())?;
    let before = cells_of(row);
    let changes: Vec<Change> = (table.columns.iter())
        .filter_map(|column| {
            let before = before.get(column.name).cloned().unwrap_or(Value::Null);
            let after = set.get(column.name)?.clone();
            (before != after).then_some(Change { column, before, after })
        })
        .collect();
    let set = match was {
        Was::There => changes.iter().map(|c| (c.column.name, c.after.clone())).collect(),
        _ => set.into_iter().collect(),
    };
    let code = if code.is_empty() { names::composed(table, id, &changes, on.existing) } else { code };
    Ok(Told { table, row: RowChange::new(table.name, id, set), was, code, changes, said })
}

fn cells_of(row: Option<&Row>) -> BTreeMap<&'static str, Value> {
    row.map(|r| r.set.iter().cloned().collect()).unwrap_or_default()
}

/// The columns that are told, each once.
fn columns_of<'a>(
    table: &'static Table,
    cells: &'a [(String, String)],
    faults: &mut Vec<CsvFault>,
) -> Vec<Typed<'a>> {
    let mut typed: Vec<Typed<'a>> = Vec::new();
    for (title, text) in cells {
        match names::column(table, title) {
            Ok((column, in_its_unit)) if !typed.iter().any(|t| t.column.name == column.name) => {
                typed.push(Typed { column, in_its_unit, text: text.trim() });
            }
            Ok((column, _)) => {
                let what = "this is told twice";
                let fault = CsvFault::new("column-twice", table.name, 0, what, "take one of them out");
                faults.push(fault.at(field::header(column), text));
            }
            Err(fault) => faults.push(*fault),
        }
    }
    typed
}

/// What names a row stays: labels, keys of steps and other tables go by it.
fn stays(
    table: &Table,
    row: &Row,
    told: &BTreeMap<&'static str, Value>,
    label: &str,
    faults: &mut Vec<CsvFault>,
) {
    let key = crate::domain::natural_key(table.name);
    for (column, value) in told {
        let names_it = *column == "code" || (!table.has_code() && key.contains(column));
        if names_it && names::cell(&row.set, column) != *value {
            let what = "this says which row it is, and stays";
            let remedy = if *column == "code" {
                "its name may change; for another thing, tell a new one".to_owned()
            } else {
                format!("end {} {:?} and tell another", table.name, row.code)
            };
            faults.push(CsvFault::new("stays", label, 0, what, remedy).at(column, ""));
        }
    }
}

/// Fills a new row's other columns, and gives it its code; empty where its table has none.
fn fill(
    table: &'static Table,
    called: Option<&str>,
    set: &mut BTreeMap<&'static str, Value>,
    there: &[Row],
    on: &Telling<'_>,
    label: &str,
    faults: &mut Vec<CsvFault>,
) -> String {
    let text = |set: &BTreeMap<&'static str, Value>, column: &str| match set.get(column) {
        Some(Value::Text(text)) if !text.is_empty() => Some(text.clone()),
        _ => None,
    };
    let title = ["name", "title"].into_iter().find(|c| table.column(c).is_some());
    let must = |name: &str| table.column(name).is_some_and(|c| value_untold(table, c).is_none());
    if let (Some(title), Some(called)) = (title, called)
        && text(set, title).is_none()
        && (must(title) || called.contains(char::is_whitespace))
    {
        set.insert(title, Value::Text(called.to_owned()));
    }
    if let Some(season) = on.season.filter(|_| table.column("season_id").is_some_and(|c| !c.optional)) {
        set.entry("season_id").or_insert(Value::Text(season.hyphenated().to_string()));
    }
    let mut code = String::new();
    if table.has_code() {
        let typed = text(set, "code").or_else(|| called.map(str::to_owned));
        let plain = typed.filter(|t| !t.chars().any(char::is_whitespace));
        code = plain.unwrap_or_else(|| {
            let name = title.and_then(|t| text(set, t));
            new_code(table, name.as_deref().or(called), set, there, on)
        });
        set.insert("code", Value::Text(code.clone()));
        if let Some(title) = title.filter(|t| must(t)) {
            set.entry(title).or_insert(Value::Text(code.clone()));
        }
    }
    if table.name == "site" {
        set.entry("name").or_insert(Value::Text("Home".to_owned()));
    }
    if table.name == "season" {
        // Its show, as other ways of opening one have it.
        let show = code.rsplit_once('-').map_or(code.as_str(), |(show, _)| show).to_owned();
        set.entry("show").or_insert(Value::Text(show));
    }
    for column in table.columns {
        if set.contains_key(column.name) {
            continue;
        }
        if let Some(value) = value_untold(table, column) {
            set.insert(column.name, value);
        } else if column.kind == CellKind::Moment {
            set.insert(column.name, Moment(on.now_ms).to_value());
        } else if !faults.iter().any(|f| f.column == field::header(column)) {
            let title = field::header(column);
            let remedy = format!("add {title}=…, {}", takes(column));
            faults.push(CsvFault::new("missing-value", label, 0, "this must be told", remedy).at(title, ""));
        }
    }
    code
}

/// A code for what was told without one.
fn new_code(
    table: &Table,
    name: Option<&str>,
    set: &BTreeMap<&'static str, Value>,
    there: &[Row],
    on: &Telling<'_>,
) -> String {
    let mut taken = there.iter().map(|r| r.code.clone()).collect();
    let day = |column: &str, form: &str| match set.get(column) {
        Some(Value::Text(t)) => chrono::NaiveDateTime::parse_from_str(t, "%Y-%m-%dT%H:%M")
            .ok()
            .map(|t| t.format(form).to_string()),
        _ => None,
    };
    if let Some(code) = day("lights_on", "lights-%Y").or_else(|| day("starts", "S-%m%d-%H%M")) {
        return free_code(&code, "", &mut taken);
    }
    if let Some(name) = name {
        return free_code(&slug(name, &table.name.to_uppercase()), on.mark, &mut taken);
    }
    let letter: String = table.name.chars().take(1).flat_map(char::to_uppercase).collect();
    let prefix = format!("{letter}-{}", on.mark);
    let last = taken.iter().filter_map(|c| c.strip_prefix(&prefix)?.parse::<u32>().ok()).max().unwrap_or(0);
    format!("{prefix}{:03}", last + 1)
}
