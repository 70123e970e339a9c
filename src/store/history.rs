//! What was done, as a list for people.

use std::collections::HashSet;
use std::ops::ControlFlow;

use rusqlite::{Connection, OptionalExtension};

use crate::domain::{PastChange, Value};

use super::door::EntryId;
use super::error::StoreError;
use super::image;
use super::open::Store;

/// One deed of the past.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PastDeed {
    pub entry: EntryId,
    /// UTC milliseconds by the clock of the copy that did it.
    pub at_ms: i64,
    /// The journal's clock, which never goes back.
    pub(super) clock: (i64, i64),
    pub verb: String,
    pub what: String,
    /// Whether it was undone (and not done again).
    pub undone: bool,
    /// The entry that it takes back, for an undo or a redo.
    pub undoes: Option<EntryId>,
}

/// The deed on disk that was done last.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LastDeed {
    pub entry: EntryId,
    /// UTC milliseconds by the clock of the copy that did it.
    pub at_ms: i64,
    pub what: String,
}

impl Store {
    /// Changes of these columns of a row, oldest first: no first values, nothing that was undone.
    ///
    /// # Errors
    /// Where the file can't be read.
    pub fn changes(
        &self,
        table: &str,
        row_id: &str,
        columns: &[&str],
    ) -> Result<Vec<PastChange>, StoreError> {
        changes(&self.conn, table, row_id, columns).map_err(|e| self.sql(e))
    }

    /// The latest deeds, newest first.
    pub fn history(&self, limit: usize) -> Result<Vec<PastDeed>, StoreError> {
        let mut deeds = Vec::new();
        let mut left = limit;
        newest_first(&self.conn, &[], |deed| {
            if left == 0 {
                return ControlFlow::Break(());
            }
            left -= 1;
            deeds.push(deed);
            ControlFlow::Continue(())
        })
        .map_err(|e| self.sql(e))?;
        Ok(deeds)
    }

    /// The last saved deed. It stands in every picture, so the journal is not read for what was undone.
    pub fn last_deed(&self) -> Result<Option<LastDeed>, StoreError> {
        let select = "SELECT device, number, coalesce(own_ms, clock_ms), what FROM journal_entry
           ORDER BY clock_ms DESC, clock_tie DESC, device DESC, number DESC LIMIT 1";
        let read = |row: &rusqlite::Row| {
            let entry = EntryId { device: row.get(0)?, number: row.get(1)? };
            Ok(LastDeed { entry, at_ms: row.get(2)?, what: row.get(3)? })
        };
        let last = self.conn.prepare_cached(select).and_then(|mut last| last.query_row([], read));
        last.optional().map_err(|e| self.sql(e))
    }
}

/// Visits deeds newest first, those written under one of these names or (none told) all, until one is enough.
pub(super) fn newest_first(
    conn: &Connection,
    of: &[String],
    mut see: impl FnMut(PastDeed) -> ControlFlow<()>,
) -> rusqlite::Result<()> {
    let undone = undone(conn)?;
    let mut select = conn.prepare(
        "SELECT device, number, coalesce(own_ms, clock_ms), verb, what, undoes_device, undoes_number, clock_ms, clock_tie
         FROM journal_entry ORDER BY clock_ms DESC, clock_tie DESC, device DESC, number DESC",
    )?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        if !of.is_empty() && !of.contains(&row.get(0)?) {
            continue;
        }
        let undoes = match (row.get(5)?, row.get(6)?) {
            (Some(device), Some(number)) => Some(EntryId { device, number }),
            _ => None,
        };
        let entry = EntryId { device: row.get(0)?, number: row.get(1)? };
        let deed = PastDeed {
            undone: undone.contains(&entry),
            entry,
            at_ms: row.get(2)?,
            clock: (row.get(7)?, row.get(8)?),
            verb: row.get(3)?,
            what: row.get(4)?,
            undoes,
        };
        if see(deed).is_break() {
            break;
        }
    }
    Ok(())
}

fn changes(
    conn: &Connection,
    table: &str,
    row_id: &str,
    columns: &[&str],
) -> rusqlite::Result<Vec<PastChange>> {
    let undone = undone(conn)?;
    let mut select = conn.prepare(
        "SELECT e.device, e.number, coalesce(e.own_ms, e.clock_ms), l.before, l.after, e.verb FROM journal_line l
         JOIN journal_entry e ON e.id = l.entry_id
         WHERE l.table_name = ?1 AND l.row_id = ?2 AND l.before IS NOT NULL AND e.undoes_device IS NULL
         ORDER BY e.clock_ms, e.clock_tie, e.device, e.number, l.line",
    )?;
    let mut out = Vec::new();
    let mut rows = select.query([table, row_id])?;
    while let Some(row) = rows.next()? {
        if undone.contains(&EntryId { device: row.get(0)?, number: row.get(1)? }) {
            continue;
        }
        let at_ms = row.get(2)?;
        let before = image::from_json(&row.get::<_, String>(3)?).unwrap_or_default();
        let after = image::from_json(&row.get::<_, String>(4)?).unwrap_or_default();
        for column in columns {
            let Some(now) = after.get(*column) else { continue };
            let was = before.get(*column).cloned().unwrap_or(Value::Null);
            if was != *now {
                let column = (*column).to_owned();
                out.push(PastChange { at_ms, verb: row.get(5)?, column, before: was, after: now.clone() });
            }
        }
    }
    Ok(out)
}

/// The entries that are taken back: an undo counts unless it was itself taken back.
pub(super) fn undone(conn: &Connection) -> rusqlite::Result<HashSet<EntryId>> {
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
