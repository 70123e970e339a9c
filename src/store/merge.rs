//! Brings two copies of one yard together: the union of their entries, and the facts that follow from it.

use std::collections::BTreeMap;
use std::path::Path;

use rusqlite::{Connection, OpenFlags};

use super::conflict;
use super::connection;
use super::door::EntryId;
use super::error::StoreError;
use super::file;
use super::image;
use super::migration::SCHEMA_VERSION;
use super::open::{Mode, Store};
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
}

impl Store {
    /// Takes over all entries of another copy of this yard; the other file is only read. Merging twice changes
    /// nothing.
    ///
    /// # Errors
    /// `OtherYard`; `Newer` where a newer program wrote the other copy; `TwoHistories` where both went on under one
    /// device. Nothing is written then.
    pub fn merge(&mut self, other: &Path) -> Result<MergeReport, StoreError> {
        let theirs = Self::open_to_read(other)?;
        if let Mode::Newer { file, .. } = theirs.mode {
            return Err(StoreError::Newer { path: other.to_owned(), file, program: SCHEMA_VERSION });
        }
        if theirs.yard_id != self.yard_id {
            return Err(StoreError::OtherYard(other.to_owned()));
        }
        let theirs = replay::entries(&theirs.conn, other)?;
        let path = self.path.clone();
        let (added, only_here) = self.write(|conn| {
            let mut all = replay::entries(conn, &path)?;
            let had = all.len();
            let known: BTreeMap<EntryId, usize> =
                all.iter().zip(0..).map(|(e, i)| (e.id.clone(), i)).collect();
            let mut shared = 0;
            for entry in theirs {
                match known.get(&entry.id).and_then(|i| all.get(*i)) {
                    Some(ours) if *ours == entry => shared += 1,
                    Some(_) => {
                        return Err(StoreError::TwoHistories {
                            device: entry.id.device,
                            number: entry.id.number,
                        });
                    }
                    None => {
                        add(conn, &path, &entry)?;
                        all.push(entry);
                    }
                }
            }
            let added = all.len() - had;
            if added > 0 {
                let told = replay::replay(&mut all);
                replay::write_tables(conn, &path, &told.rows)?;
                conflict::set(conn, &path, &told)?;
            }
            Ok((added, had - shared))
        })?;
        Ok(MergeReport { added, only_here, conflicts: self.conflicts()?.len() })
    }

    /// Opens another yard file only to read it: no migration, and nothing left beside it where it is not in use.
    pub(super) fn open_to_read(path: &Path) -> Result<Self, StoreError> {
        let path = &file::resolve(path);
        let header = connection::Header::read(path)?;
        // Without a log no one has it open and all is in the file; a memory stick may be read-only besides.
        let conn = if file::beside_exact(path, "-wal").exists() && !file::has_foreign_log(path) {
            connection::connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY)
                .or_else(|_| connection::connect_immutable(path))?
        } else {
            connection::connect_immutable(path)?
        };
        let mode = if header.version > SCHEMA_VERSION {
            Mode::Newer { file: header.version, program: SCHEMA_VERSION }
        } else {
            Mode::ReadOnlyMedium
        };
        Self::finish(conn, path, mode)
    }
}

fn add(conn: &Connection, path: &Path, entry: &Entry) -> Result<(), StoreError> {
    let sql = |error| StoreError::of(error, path);
    conn.prepare_cached(
        "INSERT INTO journal_entry (device, number, clock_ms, clock_tie, verb, what, undoes_device, undoes_number)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
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
            entry.undoes.as_ref().map(|e| e.number)
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
