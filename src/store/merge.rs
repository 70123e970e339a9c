//! Brings two copies of one yard together: the union of their entries, and the facts that follow from it.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::path::Path;

use rusqlite::{Connection, OpenFlags, OptionalExtension};
use uuid::Uuid;

use super::connection;
use super::door::{self, EntryId};
use super::error::StoreError;
use super::file;
use super::foreign;
use super::image;
use super::merged;
use super::meta;
use super::migration::{self, MIGRATIONS, SCHEMA_VERSION};
use super::open::{self, Mode, Store};
use super::replay::{self, Entry};
use super::row;
use super::schema;

/// What a merge brought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MergeReport {
    /// Entries that this file did not have.
    pub added: usize,
    /// Entries that only this file has.
    pub only_here: usize,
    /// Conflicts that wait for a decision.
    pub conflicts: usize,
    /// Rows that the added entries are about: their table and id.
    pub rows: Vec<(&'static str, Uuid)>,
    /// The mark and the time of the latest of the added entries, by its own copy's clock.
    pub latest: Option<(String, i64)>,
}

impl Store {
    /// Takes over all entries of another copy of this yard; the other file is only read. Merging twice changes
    /// nothing.
    ///
    /// # Errors
    /// `OtherYard`; `Newer` where a newer program wrote the other copy; `Damaged` where it holds what no yard holds.
    /// Nothing is written then.
    pub fn merge(&mut self, other: &Path) -> Result<MergeReport, StoreError> {
        let theirs = Self::open_to_read(other)?;
        if let Mode::Newer { file, .. } = theirs.mode {
            return Err(StoreError::Newer { path: other.to_owned(), file, program: SCHEMA_VERSION });
        }
        if theirs.yard_id != self.yard_id {
            return Err(StoreError::OtherYard(other.to_owned()));
        }
        let (path, writer, mark) = (self.path.clone(), self.writer.clone(), self.device.clone());
        let done = self.write(|conn| {
            let sql = |error| StoreError::of(error, &path);
            let names = Names::between(conn, &path, &theirs.conn, other, &writer)?;
            let mut touched: BTreeSet<(String, String)> = BTreeSet::new();
            let mut added: Vec<EntryId> = Vec::new();
            let mut latest: Option<(i64, String)> = None;
            replay::each(&theirs.conn, other, None, |key, mut entry| {
                if names.known.contains(&key) {
                    return Ok(());
                }
                foreign::refuse_entry(other, &entry)?;
                names.rename(&mut entry);
                add(conn, &path, &entry)?;
                let told =
                    (entry.own_ms.unwrap_or(entry.clock.0), meta::mark_of(&entry.id.device).to_owned());
                latest = latest.take().max(Some(told));
                touched.extend(entry.lines.into_iter().map(|l| (l.table, l.id)));
                added.push(entry.id);
                Ok(())
            })?;
            let twin = added.iter().any(|id| meta::written_by(&id.device) == writer);
            let count = added.len();
            if count > 0 {
                merged::note(conn, &added).map_err(sql)?;
            }
            let mut rows = Vec::new();
            for (table, id) in &touched {
                let table = schema::table(table)?;
                row::set(conn, &path, table, id)?;
                rows.push((table.name, door::row_uuid(&path, id)?));
            }
            // Another file goes on under this one's name: from now on this one has its own.
            let renamed = twin.then(|| meta::new_writer(&mark));
            if let Some(new) = &renamed {
                let earlier: Option<String> = conn
                    .query_row("SELECT value FROM meta WHERE key = ?1", [meta::EARLIER], |row| row.get(0))
                    .optional()
                    .map_err(sql)?;
                let earlier = format!("{} {writer}", earlier.unwrap_or_default());
                conn.execute(meta::SET, [meta::EARLIER, earlier.trim()]).map_err(sql)?;
                conn.execute(meta::SET, ["writer", new]).map_err(sql)?;
            }
            let latest = latest.map(|(ms, mark)| (mark, ms));
            Ok::<_, StoreError>((count, names.only_here, rows, latest, renamed))
        })?;
        let (added, only_here, rows, latest, renamed) = done;
        if let Some(writer) = renamed {
            self.writer = writer;
        }
        Ok(MergeReport { added, only_here, conflicts: self.conflicts()?.len(), rows, latest })
    }

    /// Opens another yard file only to read it: no migration, and nothing left beside it where it is not in use.
    pub(super) fn open_to_read(path: &Path) -> Result<Self, StoreError> {
        let store = Self::open_stranger(path)?;
        if !matches!(store.mode, Mode::Newer { .. }) {
            let version = migration::version_of(&store.conn).map_err(|e| store.sql(e))?;
            foreign::refuse_schema(&store.conn, path, open::had(MIGRATIONS, version))?;
        }
        Ok(store)
    }

    /// The same, whatever the file holds besides the tables that are read here.
    pub(super) fn open_stranger(path: &Path) -> Result<Self, StoreError> {
        let path = &file::resolve(path);
        let header = connection::Header::read(path)?;
        // Without a log no one has it open and all is in the file; a memory stick may be read-only besides.
        let mut conn = if file::beside_exact(path, "-wal").exists() && !file::has_foreign_log(path) {
            connection::connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY)
                .or_else(|_| connection::connect_immutable(path))?
        } else {
            connection::connect_immutable(path)?
        };
        connection::limit_work(&mut conn).map_err(|e| StoreError::of(e, path))?;
        foreign::refuse_disguise(&conn, path)?;
        let mode = if header.version > SCHEMA_VERSION {
            Mode::Newer { file: header.version, program: SCHEMA_VERSION }
        } else {
            Mode::ReadOnlyMedium
        };
        Self::finish(conn, path, mode)
    }
}

/// What entries of another copy are called here.
///
/// Copies that went on under one name, as a file and its plain copy do, wrote different entries under the same number.
/// What an entry says tells them apart; the one that comes second gets a name with that in it. So both files hold the
/// same entries, whatever these are called in each, and order them the same.
struct Names {
    /// Those of their rows that are here already.
    known: HashSet<i64>,
    /// Where the name here is another.
    other: HashMap<EntryId, EntryId>,
    /// Entries here that they do not have.
    only_here: usize,
}

impl Names {
    fn between(
        conn: &Connection,
        path: &Path,
        theirs: &Connection,
        other: &Path,
        writer: &str,
    ) -> Result<Self, StoreError> {
        let sql = |error| StoreError::of(error, path);
        // By who wrote it and its number: what it is called here, and its row.
        let mut ours: HashMap<(String, i64), Vec<(EntryId, i64)>> = HashMap::new();
        let mut heads = conn.prepare("SELECT id, device, number FROM journal_entry").map_err(sql)?;
        let mut rows = heads.query([]).map_err(sql)?;
        let mut had = 0;
        while let Some(row) = rows.next().map_err(sql)? {
            let read = || Ok((row.get(0)?, EntryId { device: row.get(1)?, number: row.get(2)? }));
            let (key, id): (i64, EntryId) = read().map_err(sql)?;
            ours.entry((meta::written_by(&id.device).to_owned(), id.number)).or_default().push((id, key));
            had += 1;
        }
        let mut names = Self { known: HashSet::new(), other: HashMap::new(), only_here: had };
        replay::each(theirs, other, None, |row, entry| {
            let by = meta::written_by(&entry.id.device).to_owned();
            let like = ours.get(&(by.clone(), entry.id.number)).map_or(&[][..], Vec::as_slice);
            for (id, key) in like {
                if replay::entry(conn, path, *key)?.is(&entry) {
                    names.known.insert(row);
                    names.only_here -= 1;
                    names.note(&entry.id, id.clone());
                    return Ok(());
                }
            }
            if by == writer || like.iter().any(|(id, _)| *id == entry.id) {
                let id = EntryId { device: meta::clash_name(&by, &entry.digest()), number: entry.id.number };
                names.note(&entry.id, id);
            }
            Ok(())
        })?;
        Ok(names)
    }

    fn note(&mut self, theirs: &EntryId, here: EntryId) {
        if *theirs != here {
            self.other.insert(theirs.clone(), here);
        }
    }

    fn rename(&self, entry: &mut Entry) {
        for id in std::iter::once(&mut entry.id).chain(&mut entry.undoes) {
            if let Some(here) = self.other.get(id) {
                *id = here.clone();
            }
        }
    }
}

pub(super) fn add(conn: &Connection, path: &Path, entry: &Entry) -> Result<(), StoreError> {
    let sql = |error| StoreError::of(error, path);
    conn.prepare_cached(
        "INSERT INTO journal_entry (device, number, clock_ms, clock_tie, verb, what, undoes_device, undoes_number, own_ms)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
    )
    .and_then(|mut s| {
        s.execute(rusqlite::params![
            entry.id.device,
            entry.id.number,
            entry.clock.0,
            entry.clock.1,
            entry.verb,
            entry.what,
            entry.undoes.as_ref().map(|e| &e.device),
            entry.undoes.as_ref().map(|e| e.number),
            entry.own_ms
        ])
    })
    .map_err(sql)?;
    let key = conn.last_insert_rowid();
    for (line, at) in entry.lines.iter().zip(1_i64..) {
        conn.prepare_cached(
            "INSERT INTO journal_line (entry_id, line, table_name, row_id, before, after) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )
        .and_then(|mut s| {
            s.execute(rusqlite::params![
                key,
                at,
                line.table,
                line.id,
                line.before.as_ref().map(image::to_json),
                image::to_json(&line.after)
            ])
        })
        .map_err(sql)?;
    }
    Ok(())
}
