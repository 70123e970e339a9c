//! The one door to the facts: a deed becomes one journal entry, or nothing.

use std::path::Path;

use rusqlite::{Connection, ErrorCode, OptionalExtension, Row};
use uuid::Uuid;

use crate::domain::{Deed, RowChange, Table, Value};

use super::error::StoreError;
use super::foreign;
use super::image::{self, Image};
use super::open::Store;
use super::schema;

/// Names one journal entry for good, on every copy of the yard.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EntryId {
    pub device: String,
    /// Counts the entries of the device; on a copy, on from those that it was copied with.
    pub number: i64,
}

/// What a deed came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Applied {
    Entry(EntryId),
    /// Every row stood as the deed wanted it already; nothing was written.
    Nothing,
}

impl Applied {
    pub fn entry(&self) -> Option<&EntryId> {
        match self {
            Self::Entry(id) => Some(id),
            Self::Nothing => None,
        }
    }
}

/// One changed row: what its changed columns held, and hold now.
pub(super) struct Line {
    pub(super) table: &'static Table,
    pub(super) id: String,
    /// Nothing for a new row.
    pub(super) before: Option<Image>,
    pub(super) after: Image,
}

/// What an entry says besides its rows.
pub(super) struct Head<'a> {
    pub(super) verb: &'a str,
    pub(super) what: &'a str,
    pub(super) at_ms: i64,
    pub(super) undoes: Option<&'a EntryId>,
}

impl Store {
    /// Writes a deed: all of its rows and its journal entry, or nothing. When this returns, it is on the disk.
    ///
    /// A row that is not there yet is inserted; a row that stands so already leaves no line, and a deed without
    /// lines no entry.
    ///
    /// # Errors
    /// `NoTable`, `NoColumn`, `NoRow`, `Refers`, `Refused`: nothing is written. `Newer`, `ReadOnly`, `Busy`, `Full`.
    pub fn apply(&mut self, deed: &Deed) -> Result<Applied, StoreError> {
        let (path, device) = (self.path.clone(), self.writer.clone());
        self.write(|conn| {
            let lines = set_rows(conn, &path, &deed.rows)?;
            if lines.is_empty() {
                return Ok(Applied::Nothing);
            }
            let head = Head { verb: deed.verb, what: &deed.what, at_ms: deed.at_ms, undoes: None };
            write_entry(conn, &path, &device, &head, &lines).map(Applied::Entry)
        })
    }
}

/// Sets rows and says which changed, in order.
pub(super) fn set_rows(conn: &Connection, path: &Path, rows: &[RowChange]) -> Result<Vec<Line>, StoreError> {
    let mut lines = Vec::new();
    for row in rows {
        lines.extend(set_row(conn, path, row)?);
    }
    for line in &lines {
        refuse_dangling(conn, path, line)?;
    }
    Ok(lines)
}

fn set_row(conn: &Connection, path: &Path, row: &RowChange) -> Result<Option<Line>, StoreError> {
    let table = schema::table(row.table)?;
    let mut set = Image::new();
    for (name, value) in &row.set {
        set.insert(schema::column(table, name)?.to_owned(), value.clone());
    }
    let id = row.id.hyphenated().to_string();
    if let Some(what) = set.iter().find_map(|(column, value)| foreign::out_of_range(table, column, value)) {
        return Err(StoreError::Refused { table: table.name.to_owned(), id, what });
    }
    let refused = |error| refused(error, path, table, &id);
    let Some(current) = read_row(conn, path, table, &id)? else {
        if set.keys().all(|c| c == "ended_at") {
            return Err(StoreError::NoRow { table: table.name, id: row.id });
        }
        insert(conn, table, &id, &set).map_err(refused)?;
        let mut after = read_row(conn, path, table, &id)?.unwrap_or_default();
        after.retain(|_, value| *value != Value::Null);
        return Ok(Some(Line { table, id, before: None, after }));
    };
    set.retain(|column, value| current.get(column) != Some(value));
    if set.is_empty() {
        return Ok(None);
    }
    update(conn, table, &id, &set).map_err(refused)?;
    let before = current.into_iter().filter(|(column, _)| set.contains_key(column)).collect();
    Ok(Some(Line { table, id, before: Some(before), after: set }))
}

pub(super) fn insert(conn: &Connection, table: &Table, id: &str, set: &Image) -> rusqlite::Result<()> {
    let names: Vec<_> = set.keys().map(String::as_str).collect();
    let marks = ", ?".repeat(names.len());
    let comma = if names.is_empty() { "" } else { ", " };
    let sql = format!("INSERT INTO {} (id{comma}{}) VALUES (?{marks})", table.name, names.join(", "));
    let id = Value::Text(id.to_owned());
    conn.prepare_cached(&sql)?.execute(rusqlite::params_from_iter([&id].into_iter().chain(set.values())))?;
    Ok(())
}

pub(super) fn update(conn: &Connection, table: &Table, id: &str, set: &Image) -> rusqlite::Result<()> {
    let names: Vec<_> = set.keys().map(|c| format!("{c} = ?")).collect();
    let sql = format!("UPDATE {} SET {} WHERE id = ?", table.name, names.join(", "));
    let id = Value::Text(id.to_owned());
    conn.prepare_cached(&sql)?.execute(rusqlite::params_from_iter(set.values().chain([&id])))?;
    Ok(())
}

/// The whole row as it stands, without its id.
pub(super) fn read_row(
    conn: &Connection,
    path: &Path,
    table: &Table,
    id: &str,
) -> Result<Option<Image>, StoreError> {
    let sql = format!("{} WHERE id = ?1", schema::select(table));
    conn.prepare_cached(&sql)
        .and_then(|mut s| s.query_row([id], |row| Ok(image_of(row, table))).optional())
        .map_err(|e| StoreError::of(e, path))?
        .map(|image| {
            image.ok_or_else(|| StoreError::Damaged {
                path: path.to_owned(),
                what: format!("{} {id} holds what no yard holds", table.name),
            })
        })
        .transpose()
}

/// The image of a row read with `schema::select`.
pub(super) fn image_of(row: &Row<'_>, table: &Table) -> Option<Image> {
    schema::columns(table)
        .zip(1..)
        .map(|(column, at)| Some((column.to_owned(), image::value_of(row.get_ref(at).ok()?)?)))
        .collect()
}

fn refused(error: rusqlite::Error, path: &Path, table: &Table, id: &str) -> StoreError {
    if error.sqlite_error_code() == Some(ErrorCode::ConstraintViolation) {
        StoreError::Refused { table: table.name.to_owned(), id: id.to_owned(), what: error.to_string() }
    } else {
        StoreError::of(error, path)
    }
}

/// Foreign keys are checked at the commit, which would not say which; so each changed one is looked up here.
fn refuse_dangling(conn: &Connection, path: &Path, line: &Line) -> Result<(), StoreError> {
    for (column, to) in schema::references(line.table) {
        let Some(Value::Text(id)) = line.after.get(column) else { continue };
        let there = conn
            .prepare_cached(&format!("SELECT 1 FROM {to} WHERE id = ?1"))
            .and_then(|mut s| s.exists([id]))
            .map_err(|e| StoreError::of(e, path))?;
        if !there {
            return Err(StoreError::Refers {
                table: line.table.name.to_owned(),
                id: line.id.clone(),
                column: column.to_owned(),
                value: format!("{to} {id}"),
            });
        }
    }
    Ok(())
}

/// Writes the entry of `lines`.
///
/// Its clock is a hybrid logical one (Kulkarni and others, "Logical Physical Clocks", 2014): never before the last
/// entry of this file, so that what was done knowing an entry is replayed after it on every copy. What this copy's own
/// clock said is kept beside it and is what people read.
pub(super) fn write_entry(
    conn: &Connection,
    path: &Path,
    device: &str,
    head: &Head<'_>,
    lines: &[Line],
) -> Result<EntryId, StoreError> {
    let sql = |error| StoreError::of(error, path);
    let number: i64 = conn
        .prepare_cached(
            "SELECT coalesce(max(number), (SELECT max(number) FROM journal_entry), 0) + 1 FROM journal_entry WHERE device = ?1",
        )
        .and_then(|mut s| s.query_row([device], |row| row.get(0)))
        .map_err(sql)?;
    let last: Option<(i64, i64)> = conn
        .prepare_cached(
            "SELECT clock_ms, clock_tie FROM journal_entry ORDER BY clock_ms DESC, clock_tie DESC LIMIT 1",
        )
        .and_then(|mut s| s.query_row([], |row| Ok((row.get(0)?, row.get(1)?))).optional())
        .map_err(sql)?;
    let (clock_ms, clock_tie) = match last {
        Some((ms, tie)) if ms >= head.at_ms => (ms, tie.saturating_add(1)),
        _ => (head.at_ms, 0),
    };
    conn.prepare_cached(
        "INSERT INTO journal_entry (device, number, clock_ms, clock_tie, verb, what, undoes_device, undoes_number, own_ms)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
    )
    .and_then(|mut s| {
        s.execute(rusqlite::params![
            device,
            number,
            clock_ms,
            clock_tie,
            head.verb,
            head.what,
            head.undoes.map(|e| &e.device),
            head.undoes.map(|e| e.number),
            (clock_ms != head.at_ms).then_some(head.at_ms)
        ])
    })
    .map_err(sql)?;
    let entry = conn.last_insert_rowid();
    for (line, at) in lines.iter().zip(1_i64..) {
        conn.prepare_cached(
            "INSERT INTO journal_line (entry_id, line, table_name, row_id, before, after) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )
        .and_then(|mut s| {
            s.execute(rusqlite::params![
                entry,
                at,
                line.table.name,
                line.id,
                line.before.as_ref().map(image::to_json),
                image::to_json(&line.after)
            ])
        })
        .map_err(sql)?;
    }
    Ok(EntryId { device: device.to_owned(), number })
}

/// A row's id as the domain has it.
pub(super) fn row_uuid(path: &Path, id: &str) -> Result<Uuid, StoreError> {
    Uuid::parse_str(id).map_err(|_| StoreError::Damaged {
        path: path.to_owned(),
        what: format!("the row id {id:?} is no UUID"),
    })
}
