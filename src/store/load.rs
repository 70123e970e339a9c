//! Reads the facts.

use std::cell::Cell as Counter;
use std::path::Path;

use rusqlite::{Connection, Row};
use uuid::Uuid;

use crate::domain::limit::limits;
use crate::domain::{CellFault, Cells, Fact, FactSource, RowChange, Table, Value, Yard};

use super::error::StoreError;
use super::foreign;
use super::image;
use super::open::Store;
use super::schema;

impl Store {
    /// The facts that hold now, each list by code then id, what happened by time then id.
    pub fn load_yard(&self) -> Result<Yard, StoreError> {
        self.gather(false)
    }

    /// Every fact, those that no longer hold too.
    pub fn load_whole_yard(&self) -> Result<Yard, StoreError> {
        self.gather(true)
    }

    /// Takes in how the rows of a deed stand now, without reading all others again.
    pub fn refresh(&self, yard: &mut Yard, rows: &[RowChange]) -> Result<(), StoreError> {
        let mut loader = Loader { conn: &self.conn, path: &self.path, ended: false };
        rows.iter().try_for_each(|row| yard.refresh(row.table, row.id, &mut loader))
    }

    /// A number that changes when another program writes to the file.
    ///
    /// # Errors
    /// `Swapped` where another file has the name now.
    pub fn changed_elsewhere(&self) -> Result<i64, StoreError> {
        self.refuse_swapped()?;
        self.conn.query_row("PRAGMA data_version", [], |row| row.get(0)).map_err(|e| self.sql(e))
    }

    fn gather(&self, ended: bool) -> Result<Yard, StoreError> {
        // One transaction: all lists as of one moment.
        let gather = |conn: &Connection| Yard::gather(&mut Loader { conn, path: &self.path, ended });
        // A change that is held reads within itself.
        if self.held {
            return gather(&self.conn);
        }
        let tx = self.conn.unchecked_transaction().map_err(|e| self.sql(e))?;
        let yard = gather(&tx)?;
        tx.finish().map_err(|e| self.sql(e))?;
        // All pages were read once and hardly any is read again.
        self.conn.execute_batch("PRAGMA shrink_memory").map_err(|e| self.sql(e))?;
        Ok(yard)
    }
}

struct Loader<'a> {
    conn: &'a Connection,
    path: &'a Path,
    ended: bool,
}

impl FactSource for Loader<'_> {
    type Fault = StoreError;

    fn facts<F: Fact>(&mut self) -> Result<Vec<F>, StoreError> {
        let table = F::TABLE;
        let holds = if self.ended { "" } else { "WHERE ended_at IS NULL" };
        let order = if table.has_code() {
            "code, id"
        } else if table.column("at_ms").is_some() {
            "at_ms, id"
        } else {
            "id"
        };
        read(self.conn, self.path, &format!("{} {holds} ORDER BY {order}", schema::select(&table)), [])
    }

    fn fact<F: Fact>(&mut self, id: Uuid) -> Result<Option<F>, StoreError> {
        let sql = format!("{} WHERE id = ?1 AND ended_at IS NULL", schema::select(&F::TABLE));
        Ok(read(self.conn, self.path, &sql, [id.to_string()])?.pop())
    }
}

/// Reads facts with a statement that begins as `schema::select` does.
pub(super) fn read<F: Fact>(
    conn: &Connection,
    path: &Path,
    sql: &str,
    params: impl rusqlite::Params,
) -> Result<Vec<F>, StoreError> {
    let failed = |error| StoreError::of(error, path);
    let table = F::TABLE;
    let mut select = conn.prepare(sql).map_err(failed)?;
    let mut rows = select.query(params).map_err(failed)?;
    // Of the row as `schema::select` lists it; the id is text.
    let ranges: Vec<(i64, i64)> = [foreign::ENDED, foreign::ENDED]
        .into_iter()
        .chain(table.columns.iter().map(|c| limits(&table, c)))
        .collect();
    let mut facts = Vec::new();
    while let Some(row) = rows.next().map_err(failed)? {
        let cells = RowCells { row, table: &table, ranges: &ranges, next: Counter::new(0) };
        facts.push(F::read(&cells).map_err(|fault| StoreError::of_cell(path, table.name, &fault))?);
    }
    Ok(facts)
}

/// A row as `schema::select` lists it: id, `ended_at`, the declared columns.
struct RowCells<'a, 'b> {
    row: &'a Row<'b>,
    table: &'a Table,
    /// The least and most of each column.
    ranges: &'a [(i64, i64)],
    /// Where the next column is expected: a fact reads its columns in declared order.
    next: Counter<usize>,
}

impl RowCells<'_, '_> {
    fn name(&self, at: usize) -> Option<&'static str> {
        match at {
            0 => Some("id"),
            1 => Some("ended_at"),
            n => self.table.columns.get(n - 2).map(|c| c.name),
        }
    }
}

impl Cells for RowCells<'_, '_> {
    fn cell(&self, column: &'static str) -> Result<Value, CellFault> {
        let mut at = self.next.get();
        if self.name(at) != Some(column) {
            at = (0..self.table.columns.len() + 2)
                .find(|i| self.name(*i) == Some(column))
                .unwrap_or(usize::MAX);
        }
        self.next.set(at.saturating_add(1));
        let wanted = "column of the yard";
        let fault = |value, wanted| CellFault { column, value, wanted };
        let value =
            self.row.get_ref(at).ok().and_then(image::value_of).ok_or_else(|| fault(Value::Null, wanted))?;
        match (&value, self.ranges.get(at)) {
            (Value::Int(n), Some((least, most))) if !(least..=most).contains(&n) => {
                Err(fault(value, "number that a yard holds"))
            }
            _ => Ok(value),
        }
    }
}
