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
    /// The conflicts that wait for a decision.
    pub fn conflicts(&self) -> Result<Vec<Conflict>, StoreError> {
        let sql = |error| self.sql(error);
        let mut select = self
            .conn
            .prepare(
                "SELECT id, table_name, row_id, column_name, stands, other FROM conflict WHERE decided IS NULL
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
                    stands: read(&row.get::<_, String>(4)?),
                    other: read(&row.get::<_, String>(5)?),
                })
            })
            .map_err(sql)?;
        rows.collect::<Result<_, _>>().map_err(sql)
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

/// Sets the conflict rows as the replay found them; a decision on the same two values holds on.
pub(super) fn set(conn: &Connection, path: &Path, told: &Replayed) -> Result<(), StoreError> {
    let sql = |error| StoreError::of(error, path);
    let mut select = conn
        .prepare("SELECT table_name, row_id, column_name, stands, other, decided FROM conflict WHERE decided IS NOT NULL")
        .map_err(sql)?;
    let decided: BTreeMap<[String; 5], String> = select
        .query_map([], |row| {
            Ok(([row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?], row.get(5)?))
        })
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
        let key =
            [table.clone(), id.clone(), column.clone(), text(stands.unwrap_or(&Value::Null)), text(other)];
        let mind = decided.get(&key);
        insert.execute(rusqlite::params![key[0], key[1], key[2], key[3], key[4], mind]).map_err(sql)?;
    }
    Ok(())
}

fn text(value: &Value) -> String {
    image::to_json(&Image::from([("value".to_owned(), value.clone())]))
}

fn read(text: &str) -> Value {
    image::from_json(text).and_then(|mut i| i.remove("value")).unwrap_or(Value::Null)
}
