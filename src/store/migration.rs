//! Brings a yard file of an earlier format to this program's.
//!
//! Migrations are only added, never edited or reordered; each only adds tables and columns with a default. The
//! format is SQLite's `user_version`.

use rusqlite::{Connection, TransactionBehavior};

use super::error::StoreError;

/// One step from a format to the next.
#[derive(Debug, Clone, Copy)]
pub struct Migration {
    pub name: &'static str,
    pub sql: &'static str,
}

/// Every migration, in order; the n-th leads to format n.
pub const MIGRATIONS: &[Migration] = &[
    Migration { name: "0001_facts.sql", sql: include_str!("../../migrations/0001_facts.sql") },
    Migration { name: "0002_power.sql", sql: include_str!("../../migrations/0002_power.sql") },
    Migration { name: "0003_wind.sql", sql: include_str!("../../migrations/0003_wind.sql") },
    Migration { name: "0004_record.sql", sql: include_str!("../../migrations/0004_record.sql") },
    Migration { name: "0005_clocks.sql", sql: include_str!("../../migrations/0005_clocks.sql") },
    Migration { name: "0006_piece_looks.sql", sql: include_str!("../../migrations/0006_piece_looks.sql") },
    Migration { name: "0007_runs.sql", sql: include_str!("../../migrations/0007_runs.sql") },
    Migration { name: "0008_power_factor.sql", sql: include_str!("../../migrations/0008_power_factor.sql") },
];

/// The format that this program writes.
pub const SCHEMA_VERSION: u32 = MIGRATIONS.len() as u32;

/// Marks a SQLite file as a yard: "LDay".
pub(super) const APPLICATION_ID: i32 = 0x4C44_6179;

pub(super) fn version_of(conn: &Connection) -> rusqlite::Result<u32> {
    conn.query_row("PRAGMA user_version", [], |row| row.get::<_, i64>(0))
        .map(|v| u32::try_from(v).unwrap_or(u32::MAX))
}

/// Applies `migrations` that the file has not had yet: one exclusive transaction each, foreign keys checked before
/// its commit.
pub(super) fn run(conn: &mut Connection, migrations: &[Migration]) -> Result<(), StoreError> {
    let have = version_of(conn).map_err(StoreError::Sql)?;
    for (version, migration) in (1_u32..).zip(migrations) {
        if version > have {
            step(conn, version, migration).map_err(|error| StoreError::Migration {
                version,
                what: format!("{}: {error}", migration.name),
            })?;
        }
    }
    Ok(())
}

fn step(conn: &mut Connection, version: u32, migration: &Migration) -> rusqlite::Result<()> {
    let tx = conn.transaction_with_behavior(TransactionBehavior::Exclusive)?;
    // Another process may have migrated between our look and our lock.
    if version_of(&tx)? >= version {
        return Ok(());
    }
    tx.execute_batch(migration.sql)?;
    if let Some(table) = first_broken_reference(&tx)? {
        let what = format!("a row of {table} would refer to nothing");
        return Err(rusqlite::Error::ToSqlConversionFailure(what.into()));
    }
    tx.pragma_update(None, "application_id", APPLICATION_ID)?;
    tx.pragma_update(None, "user_version", version)?;
    tx.commit()
}

/// The table of the first row whose foreign key refers to nothing.
pub(super) fn first_broken_reference(conn: &Connection) -> rusqlite::Result<Option<String>> {
    let mut check = conn.prepare("PRAGMA foreign_key_check")?;
    let mut rows = check.query([])?;
    rows.next()?.map(|row| row.get(0)).transpose()
}
