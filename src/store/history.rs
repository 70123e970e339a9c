//! What was done, as a list for people.

use std::collections::HashSet;

use rusqlite::Connection;

use super::door::EntryId;
use super::error::StoreError;
use super::open::Store;

/// One deed of the past.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PastDeed {
    pub entry: EntryId,
    /// UTC milliseconds of the entry's clock, which never goes back.
    pub at_ms: i64,
    pub verb: String,
    pub what: String,
    /// How many rows it changed.
    pub rows: i64,
    /// Whether it was undone (and not done again).
    pub undone: bool,
    /// The entry that it takes back, for an undo or a redo.
    pub undoes: Option<EntryId>,
}

impl Store {
    /// The latest deeds, newest first.
    pub fn history(&self, limit: usize) -> Result<Vec<PastDeed>, StoreError> {
        list(&self.conn, "", limit).map_err(|e| self.sql(e))
    }

    /// The last saved deed.
    pub fn last_deed(&self) -> Result<Option<PastDeed>, StoreError> {
        Ok(self.history(1)?.pop())
    }
}

/// Deeds newest first, those of one device or (empty) of all.
pub(super) fn list(conn: &Connection, device: &str, limit: usize) -> rusqlite::Result<Vec<PastDeed>> {
    let undone = undone(conn)?;
    let mut select = conn.prepare(
        "SELECT device, number, clock_ms, verb, what, undoes_device, undoes_number,
           (SELECT count(*) FROM journal_line WHERE entry_id = journal_entry.id)
         FROM journal_entry WHERE ?1 = '' OR device = ?1
         ORDER BY clock_ms DESC, clock_tie DESC, device DESC, number DESC LIMIT ?2",
    )?;
    let limit = i64::try_from(limit).unwrap_or(i64::MAX);
    let rows = select.query_map(rusqlite::params![device, limit], |row| {
        let undoes = match (row.get(5)?, row.get(6)?) {
            (Some(device), Some(number)) => Some(EntryId { device, number }),
            _ => None,
        };
        let entry = EntryId { device: row.get(0)?, number: row.get(1)? };
        Ok(PastDeed {
            undone: undone.contains(&entry),
            entry,
            at_ms: row.get(2)?,
            verb: row.get(3)?,
            what: row.get(4)?,
            rows: row.get(7)?,
            undoes,
        })
    })?;
    rows.collect()
}

/// The entries that are taken back: an undo counts unless it was itself taken back.
fn undone(conn: &Connection) -> rusqlite::Result<HashSet<EntryId>> {
    let mut select = conn.prepare(
        "SELECT device, number, undoes_device, undoes_number FROM journal_entry WHERE undoes_device IS NOT NULL
         ORDER BY clock_ms DESC, clock_tie DESC, device DESC, number DESC",
    )?;
    let mut undone = HashSet::new();
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        let by = EntryId { device: row.get(0)?, number: row.get(1)? };
        if !undone.contains(&by) {
            undone.insert(EntryId { device: row.get(2)?, number: row.get(3)? });
        }
    }
    Ok(undone)
}
