//! Brings two copies of one yard together: the union of their entries, and the facts that follow from it.

use std::collections::{HashMap, HashSet};
use std::path::Path;

use rusqlite::{Connection, OpenFlags, OptionalExtension};

use super::conflict;
use super::connection;
use super::door::EntryId;
use super::error::StoreError;
use super::file;
use super::foreign;
use super::image;
use super::merged;
use super::meta;
use super::migration::{self, MIGRATIONS, SCHEMA_VERSION};
use super::open::{self, Mode, Store};
use super::replay::{self, Entry};

/// What a merge brought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MergeReport {
    /// Entries that this file did not have.
    pub added: usize,
    /// Entries that only this file has.
    pub only_here: usize,
    /// Conflicts that wait for a decision.
    pub conflicts: usize,
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
        let theirs = replay::entries(&theirs.conn, other)?;
        foreign::refuse_entries(other, &theirs)?;
        let (path, writer, mark) = (self.path.clone(), self.writer.clone(), self.device.clone());
        let done = self.write(|conn| {
            let mut all = replay::entries(conn, &path)?;
            let had = all.len();
            let theirs = named_here(&all, theirs, &writer);
            let mut shared = 0;
            let mut twin = false;
            for (entry, known) in theirs {
                if known {
                    shared += 1;
                    continue;
                }
                twin |= meta::written_by(&entry.id.device) == writer;
                add(conn, &path, &entry)?;
                all.push(entry);
            }
            let sql = |error| StoreError::of(error, &path);
            let added: Vec<&Entry> = all.iter().skip(had).collect();
            let latest =
                added.iter().map(|e| (e.own_ms.unwrap_or(e.clock.0), meta::mark_of(&e.id.device))).max();
            let latest = latest.map(|(ms, mark)| (mark.to_owned(), ms));
            let count = added.len();
            if count > 0 {
                merged::note(conn, &added).map_err(sql)?;
                let told = replay::replay(&mut all);
                replay::write_tables(conn, &path, told.rows)?;
                conflict::set(conn, &path, &told.overruled)?;
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
            Ok::<_, StoreError>((count, had - shared, latest, renamed))
        })?;
        let (added, only_here, latest, renamed) = done;
        if let Some(writer) = renamed {
            self.writer = writer;
        }
        Ok(MergeReport { added, only_here, conflicts: self.conflicts()?.len(), latest })
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
        let conn = if file::beside_exact(path, "-wal").exists() && !file::has_foreign_log(path) {
            connection::connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY)
                .or_else(|_| connection::connect_immutable(path))?
        } else {
            connection::connect_immutable(path)?
        };
        foreign::refuse_disguise(&conn, path)?;
        let mode = if header.version > SCHEMA_VERSION {
            Mode::Newer { file: header.version, program: SCHEMA_VERSION }
        } else {
            Mode::ReadOnlyMedium
        };
        Self::finish(conn, path, mode)
    }
}

/// Their entries under the names that they have or get here, each with whether it is here already.
///
/// Copies that went on under one name, as a file and its plain copy do, wrote different entries under the same number.
/// What an entry says tells them apart; the one that comes second gets a name with that in it. So both files hold the
/// same entries, whatever these are called in each, and order them the same.
fn named_here(ours: &[Entry], theirs: Vec<Entry>, writer: &str) -> Vec<(Entry, bool)> {
    type Key = (String, i64, String);
    let key = |e: &Entry| -> Key { (meta::written_by(&e.id.device).to_owned(), e.id.number, e.digest()) };
    let known: HashMap<Key, &EntryId> = ours.iter().map(|e| (key(e), &e.id)).collect();
    let taken: HashSet<&EntryId> = ours.iter().map(|e| &e.id).collect();
    let mut named: HashMap<EntryId, EntryId> = HashMap::new();
    let mut list: Vec<(Entry, bool)> = theirs
        .into_iter()
        .map(|mut entry| {
            let (by, number, digest) = key(&entry);
            let here = known.get(&(by.clone(), number, digest.clone()));
            let id = match here {
                Some(id) => (*id).clone(),
                None if by == writer || taken.contains(&entry.id) => {
                    EntryId { device: meta::clash_name(&by, &digest), number }
                }
                None => entry.id.clone(),
            };
            named.insert(entry.id.clone(), id.clone());
            entry.id = id;
            (entry, here.is_some())
        })
        .collect();
    for (entry, _) in &mut list {
        if let Some(id) = entry.undoes.as_ref().and_then(|id| named.get(id)) {
            entry.undoes = Some(id.clone());
        }
    }
    list
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
