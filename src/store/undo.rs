//! Taking back a deed: an entry that sets everything as it was before.

use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::ops::ControlFlow;
use std::path::Path;

use rusqlite::{Connection, OptionalExtension};

use crate::domain::{RowChange, TABLES, Value};

use super::door::{self, EntryId, Head};
use super::error::StoreError;
use super::history::{self, PastDeed};
use super::merged;
use super::meta;
use super::open::Store;
use super::replay::{self, PastLine};
use super::schema;

/// The verb of what brings in files, the shipped recipes and the demo among them.
const IMPORT: &str = "import";

/// What an undo or redo came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Undone {
    /// The deed was taken back (or done again), which changed these rows.
    Done { entry: EntryId, what: String, rows: Vec<RowChange> },
    /// There is nothing to take back (or do again) on this device.
    Nothing,
    /// What would go is more than a deed of one's own: what made the yard, an import, a merge, what was done before a
    /// restore. Nothing was written; [`Store::undo_past`] goes on.
    Border { what: String, goes: String },
    /// A later deed builds on it: take that back first. Nothing was written.
    Overtaken { what: String, later: String, later_at_ms: i64 },
}

impl Store {
    /// Takes back the last deed of this copy that still counts: changed columns go back, new rows are ended. Stops at
    /// a border.
    pub fn undo(&mut self, at_ms: i64) -> Result<Undone, StoreError> {
        self.undo_to(at_ms, false)
    }

    /// The same, over the border where [`Store::undo`] stops.
    pub fn undo_past(&mut self, at_ms: i64) -> Result<Undone, StoreError> {
        self.undo_to(at_ms, true)
    }

    fn undo_to(&mut self, at_ms: i64, past: bool) -> Result<Undone, StoreError> {
        self.refuse_reading_only()?;
        let earlier = self.meta(meta::EARLIER)?.unwrap_or_default();
        let own: Vec<String> =
            earlier.split_whitespace().map(str::to_owned).chain([self.writer.clone()]).collect();
        let deed = self.latest_of(&own, |d| (d.undoes.is_none() && !d.undone).then_some(true))?;
        if let Some(merge) = self.last_merge()?
            && deed.as_ref().is_none_or(|d| d.clock <= merge.clock)
        {
            if past {
                return self.undo_merge(&merge, at_ms);
            }
            let goes = format!("{} that came by it", merged::deeds(merge.deeds));
            return Ok(Undone::Border { what: merge.what, goes });
        }
        let Some(deed) = deed else { return Ok(Undone::Nothing) };
        let restored = deed.entry.device != self.writer;
        if !past && (restored || deed.verb == IMPORT) {
            let mut goes = self.rows_of(&deed.entry)?;
            if restored {
                goes.push_str(", done before this file was restored");
            }
            return Ok(Undone::Border { what: deed.what, goes });
        }
        self.take_back(&deed, &format!("Undid: {}", deed.what), &deed.what, "undo", at_ms)
    }

    /// How many rows of which tables an entry wrote, for people.
    fn rows_of(&self, entry: &EntryId) -> Result<String, StoreError> {
        let mut tables: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for line in lines_of(&self.conn, &self.path, entry)? {
            tables.entry(line.table).or_default().insert(line.id);
        }
        let said: Vec<String> =
            tables.iter().map(|(table, rows)| format!("{} of {table}", rows.len())).collect();
        let total: usize = tables.values().map(BTreeSet::len).sum();
        Ok(format!("{total} {} ({})", if total == 1 { "row" } else { "rows" }, said.join(", ")))
    }

    /// Does the deed again that was taken back last, unless something else was done since.
    pub fn redo(&mut self, at_ms: i64) -> Result<Undone, StoreError> {
        // An undo counts while it is not undone; a redo has the verb `redo`.
        let own = [self.writer.clone()];
        let undo = self.latest_of(&own, |d| match d.undoes {
            None => Some(false),
            Some(_) => (d.verb == "undo" && !d.undone).then_some(true),
        })?;
        let Some(undo) = undo else { return Ok(Undone::Nothing) };
        let what = undo.what.strip_prefix("Undid: ").unwrap_or(&undo.what);
        self.take_back(&undo, &format!("Done again: {what}"), what, "redo", at_ms)
    }

    /// The latest deed written under one of these names that `is` it; nothing once it says that none can be any more.
    fn latest_of(
        &self,
        names: &[String],
        is: impl Fn(&PastDeed) -> Option<bool>,
    ) -> Result<Option<PastDeed>, StoreError> {
        let mut found = None;
        history::newest_first(&self.conn, names, |deed| match is(&deed) {
            None => ControlFlow::Continue(()),
            Some(it) => {
                found = it.then_some(deed);
                ControlFlow::Break(())
            }
        })
        .map_err(|e| self.sql(e))?;
        Ok(found)
    }

    fn take_back(
        &mut self,
        deed: &PastDeed,
        said: &str,
        what: &str,
        verb: &str,
        at_ms: i64,
    ) -> Result<Undone, StoreError> {
        let (path, device) = (self.path.clone(), self.writer.clone());
        let done = self.write(|conn| {
            let lines = lines_of(conn, &path, &deed.entry)?;
            let (mut written, mut rows) = (Vec::new(), Vec::new());
            for line in lines.iter().rev() {
                if let Some(column) = moved_on(conn, &path, line)? {
                    return Err(Halt::Overtaken(later(
                        conn,
                        &path,
                        &deed.entry,
                        &line.table,
                        &line.id,
                        &column,
                    )?));
                }
                let row = inverse(&path, line, at_ms)?;
                written.extend(door::set_rows(conn, &path, std::slice::from_ref(&row))?);
                rows.push(row);
            }
            if let Some((table, id)) = leaned_on(conn, &path, &lines)? {
                return Err(Halt::Overtaken(later(conn, &path, &deed.entry, &table, &id, "")?));
            }
            let head = Head { verb, what: said, at_ms, undoes: Some(&deed.entry) };
            Ok((door::write_entry(conn, &path, &device, &head, &written)?, rows))
        });
        match done {
            Ok((entry, rows)) => Ok(Undone::Done { entry, what: what.to_owned(), rows }),
            Err(Halt::Overtaken((later, later_at_ms))) => {
                Ok(Undone::Overtaken { what: what.to_owned(), later, later_at_ms })
            }
            Err(Halt::Failed(error)) => Err(error),
        }
    }
}

/// Why taking back stopped; either way the transaction is rolled back.
pub(super) enum Halt {
    Overtaken((String, i64)),
    Failed(StoreError),
}

impl From<StoreError> for Halt {
    fn from(error: StoreError) -> Self {
        Self::Failed(error)
    }
}

fn lines_of(conn: &Connection, path: &Path, entry: &EntryId) -> Result<Vec<PastLine>, StoreError> {
    let sql = |error| StoreError::of(error, path);
    let mut select = conn
        .prepare(
            "SELECT entry_id, table_name, row_id, before, after FROM journal_line
             JOIN journal_entry ON journal_entry.id = entry_id WHERE device = ?1 AND number = ?2 ORDER BY line",
        )
        .map_err(sql)?;
    let rows =
        select.query_map(rusqlite::params![entry.device, entry.number], replay::past_line).map_err(sql)?;
    rows.map(|line| {
        line.map_err(sql)?.ok_or_else(|| StoreError::Damaged {
            path: path.to_owned(),
            what: format!("a line of entry {} of {} is no row image", entry.number, entry.device),
        })
    })
    .collect()
}

/// The first column that no longer stands as the line left it.
fn moved_on(conn: &Connection, path: &Path, line: &PastLine) -> Result<Option<String>, StoreError> {
    let table = schema::table(&line.table)?;
    let Some(row) = door::read_row(conn, path, table, &line.id)? else { return Ok(Some("id".to_owned())) };
    let left = |column: &str| line.after.get(column).unwrap_or(&Value::Null);
    Ok(row
        .iter()
        .filter(|(column, _)| line.before.is_none() || line.after.contains_key(*column))
        .find(|(column, value)| *value != left(column))
        .map(|(column, _)| column.clone()))
}

fn inverse(path: &Path, line: &PastLine, at_ms: i64) -> Result<RowChange, StoreError> {
    let table = schema::table(&line.table)?;
    let id = door::row_uuid(path, &line.id)?;
    let Some(before) = &line.before else { return Ok(RowChange::end(table.name, id, at_ms)) };
    let set = before
        .iter()
        .map(|(column, value)| Ok((schema::column(table, column)?, value.clone())))
        .collect::<Result<_, StoreError>>()?;
    Ok(RowChange::new(table.name, id, set))
}

/// A row that holds and refers to one that would be ended.
pub(super) fn leaned_on(
    conn: &Connection,
    path: &Path,
    lines: &[PastLine],
) -> Result<Option<(String, String)>, StoreError> {
    let sql = |error| StoreError::of(error, path);
    let mut ended: HashSet<String> = HashSet::new();
    let mut tables = BTreeSet::new();
    for line in lines.iter().filter(|l| l.before.is_none()) {
        ended.insert(line.id.clone());
        tables.insert(line.table.as_str());
    }
    for table in TABLES {
        for (column, to) in schema::references(table).filter(|(_, to)| tables.contains(to)) {
            let _ = to;
            let sql_text = format!(
                "SELECT id, {column} FROM {} WHERE ended_at IS NULL AND {column} IS NOT NULL",
                table.name
            );
            let mut select = conn.prepare(&sql_text).map_err(sql)?;
            let mut rows = select.query([]).map_err(sql)?;
            while let Some(row) = rows.next().map_err(sql)? {
                let (id, to): (String, String) = (row.get(0).map_err(sql)?, row.get(1).map_err(sql)?);
                if ended.contains(&to) {
                    return Ok(Some((table.name.to_owned(), id)));
                }
            }
        }
    }
    Ok(None)
}

/// The deed that changed a row last, other than `than`.
pub(super) fn later(
    conn: &Connection,
    path: &Path,
    than: &EntryId,
    table: &str,
    id: &str,
    column: &str,
) -> Result<(String, i64), StoreError> {
    conn.query_row(
        "SELECT what, coalesce(own_ms, clock_ms) FROM journal_entry JOIN journal_line ON entry_id = journal_entry.id
         WHERE table_name = ?1 AND row_id = ?2 AND NOT (device = ?3 AND number = ?4)
           AND (?5 = '' OR json_type(after, '$.' || ?5) IS NOT NULL)
         ORDER BY clock_ms DESC, clock_tie DESC LIMIT 1",
        rusqlite::params![table, id, than.device, than.number, column],
        |row| Ok((row.get(0)?, row.get(1)?)),
    )
    .optional()
    .map(|found| found.unwrap_or_else(|| (format!("a change of {table} {id} outside the journal"), 0)))
    .map_err(|e| StoreError::of(e, path))
}
