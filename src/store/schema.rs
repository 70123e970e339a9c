//! The tables as the domain declares them, and the SQL made from that.

use std::collections::BTreeMap;

use rusqlite::Connection;

use crate::domain::{CellKind, TABLES, Table, Value};

use super::error::StoreError;

pub(super) fn table(name: &str) -> Result<&'static Table, StoreError> {
    TABLES.iter().find(|t| t.name == name).ok_or_else(|| StoreError::NoTable(name.to_owned()))
}

/// The declared name of a column, `ended_at` included.
pub(super) fn column(table: &'static Table, name: &str) -> Result<&'static str, StoreError> {
    if name == "ended_at" {
        return Ok("ended_at");
    }
    table
        .column(name)
        .map(|c| c.name)
        .ok_or_else(|| StoreError::NoColumn { table: table.name.to_owned(), column: name.to_owned() })
}

/// `ended_at` and the declared columns.
pub(super) fn columns(table: &Table) -> impl Iterator<Item = &'static str> {
    std::iter::once("ended_at").chain(table.columns.iter().map(|c| c.name))
}

/// The columns that refer to a row of another table, with that table.
pub(super) fn references(table: &Table) -> impl Iterator<Item = (&'static str, &'static str)> {
    table.columns.iter().filter_map(|c| match c.kind {
        CellKind::Refers(to) => Some((c.name, to)),
        _ => None,
    })
}

/// `SELECT ended_at, … FROM table` with all columns in declared order.
pub(super) fn select(table: &Table) -> String {
    let names: Vec<_> = columns(table).collect();
    format!("SELECT id, {} FROM {}", names.join(", "), table.name)
}

/// The default of each column that has one, as SQLite knows it.
pub(super) fn defaults(conn: &Connection, table: &Table) -> rusqlite::Result<BTreeMap<String, Value>> {
    let mut info =
        conn.prepare("SELECT name, dflt_value FROM pragma_table_info(?1) WHERE dflt_value IS NOT NULL")?;
    let rows =
        info.query_map([table.name], |row| Ok((row.get::<_, String>(0)?, row.get::<_, String>(1)?)))?;
    rows.map(|row| row.map(|(name, literal)| (name, literal_value(&literal)))).collect()
}

/// The value of a SQL literal, a whole number or quoted text.
fn literal_value(literal: &str) -> Value {
    literal.parse().map_or_else(|_| Value::Text(literal.trim_matches('\'').replace("''", "'")), Value::Int)
}
