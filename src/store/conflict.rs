//! Columns that two laptops changed apart: both values, until the owner decides.

use std::collections::BTreeMap;
use std::path::Path;

use rusqlite::Connection;

use crate::domain::{Deed, RowChange, Value};

use super::door::{self, Applied};
use super::error::StoreError;
use super::image::{self, Image};
use super::open::Store;
use super::replay::Replayed;
use super::schema;

/// A column that was set on two copies, neither knowing of the other; the later one stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    pub id: i64,
    pub table: String,
    pub row_id: String,
    pub column: String,
    pub stands: Value,
    pub other: Value,
}

impl Store {
    /// The conflicts that wait for a decision, with the value that stands now; where that is the other one by now,
    /// there is nothing left to decide.
    pub fn conflicts(&self) -> Result<Vec<Conflict>, StoreError> {
        let sql = |error| self.sql(error);
        let mut select = self
            .conn
            .prepare(
                "SELECT id, table_name, row_id, column_name, other FROM conflict WHERE decided IS NULL
                 ORDER BY table_name, row_id, column_name",
            )
            .map_err(sql)?;
        let rows = select
            .query_map([], |row| {
                Ok(Conflict {
                    id: row.get(0)?,
                    table: row.get(1)?,
                    row_id: row.get(2)?,
                    column: row.get(3)?,
                    stands: Value::Null,
                    other: read(&row.get::<_, String>(4)?),
                })
            })
            .map_err(sql)?;
        let mut waiting = Vec::new();
        for conflict in rows {
            let mut conflict = conflict.map_err(sql)?;
            let row =
                door::read_row(&self.conn, &self.path, schema::table(&conflict.table)?, &conflict.row_id)?;
            conflict.stands = row.and_then(|mut r| r.remove(&conflict.column)).unwrap_or(Value::Null);
            if conflict.stands != conflict.other {
                waiting.push(conflict);
            }
        }
        Ok(waiting)
    }

    /// Decides a conflict: the value that stands stays, or the other takes its place as a deed of its own.
    pub fn decide(
        &mut self,
        conflict: &Conflict,
        take_other: bool,
        at_ms: i64,
    ) -> Result<Applied, StoreError> {
        let mut done = Applied::Nothing;
        if take_other {
            let table = schema::table(&conflict.table)?;
            let column = schema::column(table, &conflict.column)?;
            let id = door::row_uuid(&self.path, &conflict.row_id)?;
            done = self.apply(&Deed {
                verb: "conflict-decided",
                what: format!("Took the other value of {}.{column}", table.name),
                at_ms,
                rows: vec![RowChange::new(table.name, id, vec![(column, conflict.other.clone())])],
            })?;
        }
        self.refuse_reading_only()?;
        let decided = if take_other { "other" } else { "stands" };
        self.conn
            .execute(
                "UPDATE conflict SET decided = ?1 WHERE id = ?2",
                rusqlite::params![decided, conflict.id],
            )
            .map_err(|e| self.sql(e))?;
        Ok(done)
    }
}

/// Sets the conflict rows as the replay found them; a decision against the same value holds on.
pub(super) fn set(conn: &Connection, path: &Path, told: &Replayed) -> Result<(), StoreError> {
    let sql = |error| StoreError::of(error, path);
    let mut select = conn
        .prepare(
            "SELECT table_name, row_id, column_name, other, decided FROM conflict WHERE decided IS NOT NULL",
        )
        .map_err(sql)?;
    let decided: BTreeMap<[String; 4], String> = select
        .query_map([], |row| Ok(([row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?], row.get(4)?)))
        .map_err(sql)?
        .collect::<Result<_, _>>()
        .map_err(sql)?;
    conn.execute("DELETE FROM conflict", []).map_err(sql)?;
    let mut insert = conn
        .prepare(
            "INSERT INTO conflict (table_name, row_id, column_name, stands, other, decided)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )
        .map_err(sql)?;
    for ((table, id, column), other) in &told.overruled {
        let stands = told.rows.get(&(table.clone(), id.clone())).and_then(|row| row.get(column));
        let stands = text(stands.unwrap_or(&Value::Null));
        let key = [table.clone(), id.clone(), column.clone(), text(other)];
        let mind = decided.get(&key);
        let [table, id, column, other] = &key;
        insert.execute(rusqlite::params![table, id, column, stands, other, mind]).map_err(sql)?;
    }
    Ok(())
}

fn text(value: &Value) -> String {
    image::to_json(&Image::from([("value".to_owned(), value.clone())]))
}

fn read(text: &str) -> Value {
    image::from_json(text).and_then(|mut i| i.remove("value")).unwrap_or(Value::Null)
}
