//! One row as the journal of the file tells it, without a replay of all of it.

use std::collections::HashMap;
use std::path::Path;

use rusqlite::Connection;

use crate::domain::Table;

use super::conflict;
use super::door::{self, EntryId};
use super::error::StoreError;
use super::replay::{self, PastLine, Told, decides, place};
use super::schema;

/// One row as the journal of the file tells it: the same as a replay of all of it.
fn told(conn: &Connection, path: &Path, table: &str, id: &str) -> Result<Told, StoreError> {
    let sql = |error| StoreError::of(error, path);
    let mut select = conn
        .prepare_cached(
            "SELECT entry_id, table_name, row_id, before, after, clock_ms, clock_tie, device, number, verb,
               undoes_device, undoes_number
             FROM journal_line JOIN journal_entry ON journal_entry.id = entry_id
             WHERE table_name = ?1 AND row_id = ?2 ORDER BY entry_id, line",
        )
        .map_err(sql)?;
    struct Past {
        entry: i64,
        line: PastLine,
        clock: (i64, i64),
        id: EntryId,
        decides: bool,
    }
    let mut past: Vec<Past> = Vec::new();
    let mut rows = select.query([table, id]).map_err(sql)?;
    while let Some(row) = rows.next().map_err(sql)? {
        let entry: i64 = row.get(0).map_err(sql)?;
        let line = replay::past_line(row).map_err(sql)?.ok_or_else(|| replay::no_image(path, entry))?;
        let read = || {
            let verb: String = row.get(9)?;
            let undoes = replay::undoes(row, 10)?;
            Ok(Past {
                entry,
                line,
                clock: (row.get(5)?, row.get(6)?),
                id: EntryId { device: row.get(7)?, number: row.get(8)? },
                decides: decides(&verb, undoes.as_ref()),
            })
        };
        past.push(read().map_err(sql)?);
    }
    past.sort_by(|a, b| place(a.clock, &a.id).cmp(&place(b.clock, &b.id)));
    let twins = past
        .windows(2)
        .any(|w| matches!(w, [a, b] if a.entry != b.entry && place(a.clock, &a.id) == place(b.clock, &b.id)));
    if twins {
        let mut said: HashMap<i64, String> = HashMap::new();
        for p in &past {
            said.insert(p.entry, replay::entry(conn, path, p.entry)?.digest());
        }
        past.sort_by(|a, b| {
            place(a.clock, &a.id)
                .cmp(&place(b.clock, &b.id))
                .then_with(|| said.get(&a.entry).cmp(&said.get(&b.entry)))
        });
    }
    let mut told = Told::default();
    for p in &past {
        told.take(&p.line, p.decides);
    }
    Ok(told)
}

/// Sets one row, and what is to be decided about it, as the journal tells it; called with the door open and foreign
/// keys deferred.
pub(super) fn set(conn: &Connection, path: &Path, table: &'static Table, id: &str) -> Result<(), StoreError> {
    let sql = |error| StoreError::of(error, path);
    let Told { mut row, overruled, .. } = told(conn, path, table.name, id)?;
    for column in row.keys() {
        schema::column(table, column)?;
    }
    match door::read_row(conn, path, table, id)? {
        // What the journal does not say is as it was made.
        Some(there) => {
            row.retain(|column, value| there.get(column) != Some(value));
            if !row.is_empty() {
                door::update(conn, table, id, &row).map_err(sql)?;
            }
        }
        None => door::insert(conn, table, id, &row).map_err(sql)?,
    }
    conflict::set_row(conn, path, table.name, id, &overruled)
}
