//! Columns that copies changed apart: every value that was told, until the owner decides.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use rusqlite::Connection;

use crate::domain::{RowChange, Value};

use super::attachment::sha256_hex;
use super::door::{self, EntryId, Head, Line};
use super::error::StoreError;
use super::image::{self, Image};
use super::open::Store;
use super::replay::Spot;
use super::schema;

/// The verb of an entry that decides: whoever hears of it has nothing left to decide there.
pub(super) const DECIDED: &str = "conflict-decided";

/// A value that somebody told for a column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rival {
    pub value: Value,
    /// The mark of the copy where it was told last; empty where the journal does not say.
    pub copy: String,
    /// When, by that copy's clock, UTC milliseconds.
    pub at_ms: i64,
}

/// A column that was set on two copies or more, none knowing of the other; the latest stands until it is decided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// The same on every copy.
    pub code: String,
    pub table: String,
    pub row_id: String,
    pub column: String,
    /// The first is the one that stands.
    pub rivals: Vec<Rival>,
}

impl Store {
    /// The conflicts that wait for a decision; where all values are one by now, there is nothing left to decide.
    pub fn conflicts(&self) -> Result<Vec<Conflict>, StoreError> {
        let sql = |error| self.sql(error);
        let mut select = self
            .conn
            .prepare("SELECT table_name, row_id, column_name, other FROM conflict WHERE decided IS NULL")
            .map_err(sql)?;
        let mut spots: BTreeMap<Spot, BTreeSet<Value>> = BTreeMap::new();
        let mut rows = select.query([]).map_err(sql)?;
        while let Some(row) = rows.next().map_err(sql)? {
            let read = || Ok(((row.get(0)?, row.get(1)?, row.get(2)?), row.get::<_, String>(3)?));
            let (spot, other) = read().map_err(sql)?;
            spots.entry(spot).or_default().insert(value_in(&other));
        }
        let mut waiting = Vec::new();
        for ((table, row_id, column), mut others) in spots {
            let row = door::read_row(&self.conn, &self.path, schema::table(&table)?, &row_id)?;
            let stands = row.and_then(|mut r| r.remove(&column)).unwrap_or(Value::Null);
            others.remove(&stands);
            if others.is_empty() {
                continue;
            }
            let told = told(&self.conn, &table, &row_id, &column).map_err(sql)?;
            let rivals = std::iter::once(stands)
                .chain(others)
                .map(|value| {
                    let (copy, at_ms) = told.get(&value).cloned().unwrap_or_default();
                    Rival { value, copy, at_ms }
                })
                .collect();
            waiting.push(Conflict { code: code_of(&table, &row_id, &column), table, row_id, column, rivals });
        }
        Ok(waiting)
    }

    /// Decides a conflict for one of its values, as a deed of its own, which every copy hears of.
    ///
    /// # Errors
    /// `Refused` where the value is none of its rivals.
    pub fn decide(
        &mut self,
        conflict: &Conflict,
        value: &Value,
        at_ms: i64,
    ) -> Result<(EntryId, RowChange), StoreError> {
        let table = schema::table(&conflict.table)?;
        let column = schema::column(table, &conflict.column)?;
        let id = conflict.row_id.as_str();
        if !conflict.rivals.iter().any(|r| r.value == *value) {
            return Err(StoreError::Refused {
                table: table.name.to_owned(),
                id: id.to_owned(),
                what: format!("{value:?} is none of the values of {column} to choose from"),
            });
        }
        let (path, writer) = (self.path.clone(), self.writer.clone());
        let change = RowChange::new(table.name, door::row_uuid(&path, id)?, vec![(column, value.clone())]);
        let entry = self.write(|conn| {
            let row = door::read_row(conn, &path, table, id)?.unwrap_or_default();
            let stands = row.get(column).cloned().unwrap_or(Value::Null);
            let after = Image::from([(column.to_owned(), value.clone())]);
            if stands != *value {
                door::update(conn, table, id, &after).map_err(|e| StoreError::of(e, &path))?;
            }
            // A line also where the value stays: the decision itself is what others are to hear.
            let before = Some(Image::from([(column.to_owned(), stands)]));
            let line = Line { table, id: id.to_owned(), before, after };
            let what = format!("Decided {}: {} {column}", conflict.code, table.name);
            let head = Head { verb: DECIDED, what: &what, at_ms, undoes: None };
            forget(conn, &path, table.name, id, column)?;
            door::write_entry(conn, &path, &writer, &head, &[line])
        })?;
        Ok((entry, change))
    }
}

/// Takes a conflict off the list.
pub(super) fn forget(
    conn: &Connection,
    path: &Path,
    table: &str,
    id: &str,
    column: &str,
) -> Result<usize, StoreError> {
    conn.execute(
        "DELETE FROM conflict WHERE table_name = ?1 AND row_id = ?2 AND column_name = ?3",
        [table, id, column],
    )
    .map_err(|e| StoreError::of(e, path))
}

/// Sets the conflict rows as the replay found them; a decision that an earlier program noted here holds on.
pub(super) fn set(
    conn: &Connection,
    path: &Path,
    overruled: &BTreeMap<Spot, BTreeSet<Value>>,
) -> Result<(), StoreError> {
    conn.execute("DELETE FROM conflict WHERE decided IS NULL", []).map_err(|e| StoreError::of(e, path))?;
    for ((table, id, column), others) in overruled {
        add(conn, path, [table, id, column], others)?;
    }
    Ok(())
}

/// The same of one row.
pub(super) fn set_row(
    conn: &Connection,
    path: &Path,
    table: &str,
    id: &str,
    overruled: &BTreeMap<String, BTreeSet<Value>>,
) -> Result<(), StoreError> {
    conn.prepare_cached("DELETE FROM conflict WHERE decided IS NULL AND table_name = ?1 AND row_id = ?2")
        .and_then(|mut s| s.execute([table, id]))
        .map_err(|e| StoreError::of(e, path))?;
    for (column, others) in overruled {
        add(conn, path, [table, id, column], others)?;
    }
    Ok(())
}

fn add(
    conn: &Connection,
    path: &Path,
    [table, id, column]: [&str; 3],
    others: &BTreeSet<Value>,
) -> Result<(), StoreError> {
    for other in others {
        conn.prepare_cached(
            "INSERT INTO conflict (table_name, row_id, column_name, stands, other)
             SELECT ?1, ?2, ?3, '', ?4 WHERE NOT EXISTS (SELECT 1 FROM conflict
               WHERE table_name = ?1 AND row_id = ?2 AND column_name = ?3 AND other = ?4)",
        )
        .and_then(|mut s| s.execute(rusqlite::params![table, id, column, text_of(other)]))
        .map_err(|e| StoreError::of(e, path))?;
    }
    Ok(())
}

/// Who told each value of a column last, and when.
fn told(
    conn: &Connection,
    table: &str,
    id: &str,
    column: &str,
) -> rusqlite::Result<BTreeMap<Value, (String, i64)>> {
    // In the order of replaying, whatever an entry that met another of its name is called here.
    let mut select = conn.prepare(
        "SELECT device, coalesce(own_ms, clock_ms), before IS NULL, after FROM journal_line
         JOIN journal_entry ON journal_entry.id = entry_id WHERE table_name = ?1 AND row_id = ?2
         ORDER BY clock_ms, clock_tie, CASE instr(device, '~~') WHEN 0 THEN device
           ELSE substr(device, 1, instr(device, '~~') - 1) END, number, own_ms, what",
    )?;
    let mut told = BTreeMap::new();
    let mut rows = select.query([table, id])?;
    while let Some(row) = rows.next()? {
        let mut after = image::from_json(&row.get::<_, String>(3)?).unwrap_or_default();
        let new: bool = row.get(2)?;
        if let Some(value) = after.remove(column).or(new.then_some(Value::Null)) {
            let device: String = row.get(0)?;
            told.insert(value, (super::meta::mark_of(&device).to_owned(), row.get(1)?));
        }
    }
    Ok(told)
}

fn code_of(table: &str, id: &str, column: &str) -> String {
    let hash = sha256_hex(format!("{table} {id} {column}").as_bytes());
    format!("K-{}", hash.get(..6).unwrap_or_default().to_uppercase())
}

fn text_of(value: &Value) -> String {
    image::to_json(&Image::from([("value".to_owned(), value.clone())]))
}

fn value_in(text: &str) -> Value {
    image::from_json(text).and_then(|mut i| i.remove("value")).unwrap_or(Value::Null)
}
