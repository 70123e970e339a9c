//! The journal as a list, and the facts as they follow from it.
//!
//! Entries are replayed in the order (clock, device, number): the same set of entries gives the same facts, however
//! it came together.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use rusqlite::Connection;
use sha2::{Digest as _, Sha256};

use crate::domain::{TABLES, Value};

use super::conflict;
use super::door::{self, EntryId};
use super::error::StoreError;
use super::image::{self, Image};
use super::merged;
use super::meta;
use super::schema;

/// One journal entry as read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    pub(super) id: EntryId,
    pub(super) clock: (i64, i64),
    pub(super) verb: String,
    pub(super) what: String,
    pub(super) undoes: Option<EntryId>,
    /// What the copy's own clock said, where the journal's is another.
    pub(super) own_ms: Option<i64>,
    pub(super) lines: Vec<PastLine>,
}

impl Entry {
    /// Whether two entries that were written under one name are the same one, whatever name each goes by.
    pub(super) fn is(&self, other: &Self) -> bool {
        let undoes = |e: &Self| e.undoes.as_ref().map(|u| (meta::written_by(&u.device).to_owned(), u.number));
        (self.clock, self.own_ms, &self.verb, &self.what, &self.lines)
            == (other.clock, other.own_ms, &other.verb, &other.what, &other.lines)
            && undoes(self) == undoes(other)
    }

    /// What tells two entries apart that were written under one name by copies that did not know of each other.
    /// The same on every copy, whatever name the entry goes by there.
    pub(super) fn digest(&self) -> String {
        let mut hash = Sha256::new();
        let mut tell = |text: &str| {
            hash.update((text.len() as u64).to_le_bytes());
            hash.update(text);
        };
        let undoes = self.undoes.as_ref().map(|e| (meta::written_by(&e.device), e.number));
        tell(&format!("{:?} {:?} {undoes:?}", self.clock, self.own_ms));
        tell(&self.verb);
        tell(&self.what);
        for line in &self.lines {
            tell(&line.table);
            tell(&line.id);
            tell(&line.before.as_ref().map(image::to_json).unwrap_or_default());
            tell(&image::to_json(&line.after));
        }
        hash.finalize().iter().take(8).fold(String::new(), |hex, b| format!("{hex}{b:02x}"))
    }
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PastLine {
    pub(super) table: String,
    pub(super) id: String,
    pub(super) before: Option<Image>,
    pub(super) after: Image,
}

/// One column of one row.
pub(super) type Spot = (String, String, String);

/// The facts that follow from the entries.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Replayed {
    /// By table and row id.
    pub(super) rows: BTreeMap<(String, String), Image>,
    /// Columns set by someone who had not seen the value that stood: every value that was overruled so.
    pub(super) overruled: BTreeMap<Spot, BTreeSet<Value>>,
}

/// One row as the lines about it tell it, taken in the order of replaying.
#[derive(Debug, Default)]
pub(super) struct Told {
    pub(super) row: Image,
    known: bool,
    /// By column: every value that was overruled by someone who had not seen it.
    pub(super) overruled: BTreeMap<String, BTreeSet<Value>>,
}

impl Told {
    pub(super) fn take(&mut self, line: &PastLine, decides: bool) {
        for (column, value) in &line.after {
            let stood = self.row.insert(column.clone(), value.clone()).unwrap_or(Value::Null);
            let seen = line.before.as_ref().map_or(&Value::Null, |b| b.get(column).unwrap_or(&Value::Null));
            if self.known && stood != *seen && stood != *value {
                self.overruled.entry(column.clone()).or_default().insert(stood);
            }
            if decides {
                self.overruled.remove(column);
            }
        }
        // Another copy inserted the row with an empty column where this one had told a value.
        if line.before.is_none() && self.known {
            for (column, stood) in &mut self.row {
                if !line.after.contains_key(column) && *stood != Value::Null {
                    let lost = std::mem::replace(stood, Value::Null);
                    self.overruled.entry(column.clone()).or_default().insert(lost);
                }
            }
        }
        self.known = true;
    }
}

pub(super) fn decides(verb: &str, undoes: Option<&EntryId>) -> bool {
    verb == conflict::DECIDED || merged::is_of_merge(undoes)
}

/// Where an entry stands in the order of replaying; what it says decides between two of one name.
pub(super) fn place(clock: (i64, i64), id: &EntryId) -> ((i64, i64), &str, i64) {
    (clock, meta::written_by(&id.device), id.number)
}

pub(super) fn replay(entries: &mut [Entry]) -> Replayed {
    entries.sort_by(|a, b| {
        place(a.clock, &a.id).cmp(&place(b.clock, &b.id)).then_with(|| a.digest().cmp(&b.digest()))
    });
    let mut rows: BTreeMap<(String, String), Told> = BTreeMap::new();
    for entry in entries.iter() {
        let decides = decides(&entry.verb, entry.undoes.as_ref());
        for line in &entry.lines {
            rows.entry((line.table.clone(), line.id.clone())).or_default().take(line, decides);
        }
    }
    let mut out = Replayed::default();
    for ((table, id), told) in rows {
        for (column, values) in told.overruled {
            out.overruled.insert((table.clone(), id.clone(), column), values);
        }
        out.rows.insert((table, id), told.row);
    }
    out
}

/// One entry with its lines.
pub(super) fn entry(conn: &Connection, path: &Path, id: i64) -> Result<Entry, StoreError> {
    let mut found = None;
    each(conn, path, Some(id), |_, entry| {
        found = Some(entry);
        Ok(())
    })?;
    found.ok_or_else(|| no_image(path, id))
}

pub(super) fn no_image(path: &Path, entry: i64) -> StoreError {
    StoreError::Damaged {
        path: path.to_owned(),
        what: format!("a line of journal entry {entry} is no row image"),
    }
}

pub(super) fn undoes(row: &rusqlite::Row<'_>, at: usize) -> rusqlite::Result<Option<EntryId>> {
    Ok(match (row.get(at)?, row.get(at + 1)?) {
        (Some(device), Some(number)) => Some(EntryId { device, number }),
        _ => None,
    })
}

/// Every entry of a file with its lines.
pub(super) fn entries(conn: &Connection, path: &Path) -> Result<Vec<Entry>, StoreError> {
    let mut list = Vec::new();
    each(conn, path, None, |_, entry| {
        list.push(entry);
        Ok(())
    })?;
    Ok(list)
}

/// Shows every entry of a file (or `only` that one) with its lines, one after the other, in the order of their rows.
pub(super) fn each(
    conn: &Connection,
    path: &Path,
    only: Option<i64>,
    mut show: impl FnMut(i64, Entry) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let sql = |error| StoreError::of(error, path);
    // A copy that is only read keeps its format, which may be one without the clocks of copies.
    let own = "SELECT count(*) FROM pragma_table_info('journal_entry') WHERE name = 'own_ms'";
    let own: bool = conn.prepare_cached(own).and_then(|mut s| s.query_row([], |r| r.get(0))).map_err(sql)?;
    let mut heads = conn
        .prepare_cached(&format!(
            "SELECT id, device, number, clock_ms, clock_tie, verb, what, undoes_device, undoes_number, {}
             FROM journal_entry WHERE {} ORDER BY id",
            if own { "own_ms" } else { "NULL" },
            if only.is_some() { "id = ?1" } else { "?1 IS NULL" },
        ))
        .map_err(sql)?;
    let mut lines = conn
        .prepare_cached("SELECT entry_id, table_name, row_id, before, after FROM journal_line WHERE entry_id = ?1 ORDER BY line")
        .map_err(sql)?;
    let mut rows = heads.query([only]).map_err(sql)?;
    while let Some(row) = rows.next().map_err(sql)? {
        let read = || {
            let entry = Entry {
                id: EntryId { device: row.get(1)?, number: row.get(2)? },
                clock: (row.get(3)?, row.get(4)?),
                verb: row.get(5)?,
                what: row.get(6)?,
                undoes: undoes(row, 7)?,
                own_ms: row.get(9)?,
                lines: vec![],
            };
            Ok((row.get(0)?, entry))
        };
        let (key, mut entry): (i64, Entry) = read().map_err(sql)?;
        let mut found = lines.query([key]).map_err(sql)?;
        while let Some(row) = found.next().map_err(sql)? {
            entry.lines.push(past_line(row).map_err(sql)?.ok_or_else(|| no_image(path, key))?);
        }
        drop(found);
        show(key, entry)?;
    }
    Ok(())
}

/// Reads (.., table_name, row_id, before, after) from the second column on.
pub(super) fn past_line(row: &rusqlite::Row<'_>) -> rusqlite::Result<Option<PastLine>> {
    let (before, after): (Option<String>, String) = (row.get(3)?, row.get(4)?);
    let before = match before {
        None => None,
        Some(text) => match image::from_json(&text) {
            None => return Ok(None),
            some => some,
        },
    };
    let Some(after) = image::from_json(&after) else { return Ok(None) };
    Ok(Some(PastLine { table: row.get(1)?, id: row.get(2)?, before, after }))
}

/// Every row of every fact table as it stands.
pub(super) fn standing(
    conn: &Connection,
    path: &Path,
) -> Result<BTreeMap<(String, String), Image>, StoreError> {
    let sql = |error| StoreError::of(error, path);
    let mut all = BTreeMap::new();
    for table in TABLES {
        let mut select = conn.prepare(&schema::select(table)).map_err(sql)?;
        let mut rows = select.query([]).map_err(sql)?;
        while let Some(row) = rows.next().map_err(sql)? {
            let id: String = row.get(0).map_err(sql)?;
            let image = door::image_of(row, table).ok_or_else(|| StoreError::Damaged {
                path: path.to_owned(),
                what: format!("{} {id} holds what no yard holds", table.name),
            })?;
            all.insert((table.name.to_owned(), id), image);
        }
    }
    Ok(all)
}

/// Fills in what an entry made before a column was added does not say.
pub(super) fn complete(
    conn: &Connection,
    path: &Path,
    rows: &mut BTreeMap<(String, String), Image>,
) -> Result<(), StoreError> {
    let mut defaults: BTreeMap<&str, BTreeMap<String, Value>> = BTreeMap::new();
    for table in TABLES {
        defaults.insert(table.name, schema::defaults(conn, table).map_err(|e| StoreError::of(e, path))?);
    }
    for ((name, _), row) in rows.iter_mut() {
        let table = schema::table(name)?;
        for column in schema::columns(table) {
            if !row.contains_key(column) {
                let value = defaults.get(table.name).and_then(|d| d.get(column)).unwrap_or(&Value::Null);
                row.insert(column.to_owned(), value.clone());
            }
        }
    }
    Ok(())
}

/// Makes the tables hold exactly `rows`, touching only what differs; called with the door open and foreign keys
/// deferred.
pub(super) fn write_tables(
    conn: &Connection,
    path: &Path,
    mut rows: BTreeMap<(String, String), Image>,
) -> Result<(), StoreError> {
    let sql = |error| StoreError::of(error, path);
    complete(conn, path, &mut rows)?;
    for table in TABLES {
        let (mut differ, mut gone): (Vec<(String, Image)>, Vec<String>) = (Vec::new(), Vec::new());
        let mut select = conn.prepare(&schema::select(table)).map_err(sql)?;
        let mut standing = select.query([]).map_err(sql)?;
        while let Some(row) = standing.next().map_err(sql)? {
            // An id that is no text is no row of a yard.
            let Ok(id) = row.get::<_, String>(0) else { continue };
            let Some(mut told) = rows.remove(&(table.name.to_owned(), id.clone())) else {
                gone.push(id);
                continue;
            };
            // What no yard holds stands there: all of the row is set.
            if let Some(there) = door::image_of(row, table) {
                told.retain(|column, value| there.get(column) != Some(value));
            }
            if !told.is_empty() {
                differ.push((id, told));
            }
        }
        drop(standing);
        for (id, set) in differ {
            door::update(conn, table, &id, &set).map_err(sql)?;
        }
        for id in gone {
            conn.execute(&format!("DELETE FROM {} WHERE id = ?1", table.name), [id]).map_err(sql)?;
        }
    }
    for ((name, id), row) in &rows {
        let table = schema::table(name)?;
        for column in row.keys() {
            schema::column(table, column)?;
        }
        door::insert(conn, table, id, row).map_err(sql)?;
    }
    Ok(())
}
