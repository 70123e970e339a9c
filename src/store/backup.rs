//! Copies of the yard file: made by SQLite's backup, checked, and only then given their name.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use crate::domain::TABLES;

use super::connection;
use super::error::StoreError;
use super::file::{self, Draft, Identity};
use super::meta;
use super::migration;
use super::open::{Mode, Store};

/// What a copy holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BackupReport {
    pub path: PathBuf,
    pub bytes: u64,
    /// Rows of facts.
    pub rows: i64,
    /// Entries of the journal.
    pub entries: i64,
}

impl Store {
    /// Copies the yard to a new file, while it is in use; the copy is checked before it gets its name.
    ///
    /// # Errors
    /// `Exists`, `Full`, `File`; `Damaged` where the copy does not pass its check. Nothing is left behind.
    pub fn backup(&self, to: &Path) -> Result<BackupReport, StoreError> {
        self.refuse_swapped()?;
        copy_to(&self.conn, &file::resolve(to), None)
    }

    /// Copies the yard for a second laptop: with a mark of its own on what it labels, the next free one where none is
    /// named, and a journal of its own. The mark is returned.
    ///
    /// # Errors
    /// `Mark` where the named one is taken or is none; what [`Store::backup`] meets.
    pub fn lend(&mut self, to: &Path, mark: Option<&str>) -> Result<(BackupReport, String), StoreError> {
        self.refuse_swapped()?;
        let mark = self.free_mark(mark)?;
        let report = copy_to(&self.conn, &file::resolve(to), Some(&mark))?;
        // A medium that is only read knows of no lending; what was lent is told apart all the same.
        if self.mode == Mode::Writable {
            let lent = self.meta("lent")?.unwrap_or_default();
            self.set_meta("lent", format!("{lent} {mark}").trim())?;
        }
        Ok((report, mark))
    }

    fn free_mark(&self, wanted: Option<&str>) -> Result<String, StoreError> {
        let lent = self.meta("lent")?.unwrap_or_default();
        let mut taken: BTreeSet<String> = lent.split_whitespace().map(str::to_owned).collect();
        taken.extend([self.device.clone(), meta::HOME.to_owned()]);
        for deed in self.writers()? {
            taken.insert(meta::mark_of(&deed).to_owned());
        }
        let Some(mark) = wanted else { return Ok(meta::next_mark(&self.device, &taken)) };
        let refuse = |why| Err(StoreError::Mark { mark: mark.to_owned(), why });
        if mark.is_empty() || mark.len() > 4 || !mark.bytes().all(|b| b.is_ascii_uppercase()) {
            return refuse("is none: it has one to four capital letters");
        }
        if taken.contains(mark) { refuse("is another copy's already") } else { Ok(mark.to_owned()) }
    }

    /// Puts the backup `from` in the place of the yard file `to`. What was there is kept as a copy of its own, whose
    /// path is returned. With `device` the file goes on under another mark.
    ///
    /// It happens by one rename: stopped anywhere, `to` is either as it was, with all that was saved in it, or the
    /// restored yard.
    ///
    /// # Errors
    /// `InUse` where another program has `to` open; then, and on every other error before the rename, it is as it was.
    pub fn restore(from: &Path, to: &Path, device: Option<&str>) -> Result<Option<PathBuf>, StoreError> {
        let to = &file::resolve(to);
        if Identity::of(from).is_some_and(|id| Identity::of(to) == Some(id)) {
            return Err(StoreError::SameFile(from.to_owned()));
        }
        let backup = Self::open_to_read(from)?;
        let draft = Draft::beside(to)?;
        copy_checked(&backup.conn, draft.path(), device)?;
        // Marks that were lent since the backup stay taken.
        if let Ok(old) = Self::open_to_read(to)
            && old.yard_id == backup.yard_id
        {
            let lent = format!(
                "{} {}",
                backup.meta("lent")?.unwrap_or_default(),
                old.meta("lent")?.unwrap_or_default()
            );
            let marks: BTreeSet<&str> = lent.split_whitespace().collect();
            let marks: Vec<&str> = marks.into_iter().collect();
            let sql = |error| StoreError::of(error, draft.path());
            let copy =
                Connection::open_with_flags(draft.path(), OpenFlags::SQLITE_OPEN_READ_WRITE).map_err(sql)?;
            copy.execute(meta::SET, ["lent", &marks.join(" ")]).map_err(sql)?;
            copy.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).map_err(sql)?;
            copy.close().map_err(|(_, error)| sql(error))?;
        }
        put_in_place(&draft, to, true)
    }
}

/// Puts a draft in the place of `to`, whatever is there. With `keep` that is kept as the path returned.
pub(super) fn put_in_place(draft: &Draft, to: &Path, keep: bool) -> Result<Option<PathBuf>, StoreError> {
    if to.symlink_metadata().is_err() {
        file::publish_new(draft.path(), to)?;
        return Ok(None);
    }
    if file::has_foreign_log(to) {
        file::set_aside(to)?;
    }
    let kept = file::free_name(to, "before-restore");
    // Until the rename nobody else may write to what is there: what it has would be neither kept nor brought back.
    let old = match alone(to) {
        Ok(old) => {
            if keep {
                copy_to(&old, &kept, None)?;
            }
            Some(old)
        }
        Err(StoreError::NotAYard { .. } | StoreError::Damaged { .. }) => {
            if keep {
                file::keep_bytes(to, &kept)?;
            }
            file::clear(to)?;
            None
        }
        Err(error) => return Err(error),
    };
    file::publish_over(draft.path(), to)?;
    drop(old);
    Ok(keep.then_some(kept))
}

/// Opens a yard file for this program alone, with all that its log held in the file itself, so that nothing beside it
/// counts any more.
fn alone(path: &Path) -> Result<Connection, StoreError> {
    connection::Header::read(path)?;
    let failed = |error| match StoreError::of(error, path) {
        StoreError::Busy => StoreError::InUse(path.to_owned()),
        other => other,
    };
    let conn = connection::connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    let answer = |ask: &str| conn.query_row(ask, [], |row| row.get::<_, String>(0)).map_err(failed);
    answer("PRAGMA locking_mode=EXCLUSIVE")?;
    if answer("PRAGMA journal_mode=DELETE")? != "delete" {
        return Err(StoreError::InUse(path.to_owned()));
    }
    conn.execute_batch("BEGIN EXCLUSIVE; COMMIT").map_err(failed)?;
    Ok(conn)
}

/// Copies all of `conn` to a new file.
pub(super) fn copy_to(
    conn: &Connection,
    to: &Path,
    device: Option<&str>,
) -> Result<BackupReport, StoreError> {
    copy_as(conn, to, device, |draft| {
        file::publish_new(draft, to)?;
        Ok(to.to_owned())
    })
}

/// Copies all of `conn` to a draft beside `near`, checks it, and lets `publish` give it the name that it returns.
pub(super) fn copy_as(
    conn: &Connection,
    near: &Path,
    device: Option<&str>,
    publish: impl FnOnce(&Path) -> Result<PathBuf, StoreError>,
) -> Result<BackupReport, StoreError> {
    let draft = Draft::beside(near)?;
    let mut report = copy_checked(conn, draft.path(), device)?;
    report.path = publish(draft.path())?;
    Ok(report)
}

fn copy_checked(conn: &Connection, draft: &Path, device: Option<&str>) -> Result<BackupReport, StoreError> {
    let sql = |error| StoreError::of(error, draft);
    // One read transaction, so that the counts are those of what is copied.
    let tx = conn.unchecked_transaction().map_err(sql)?;
    let wanted = counts(&tx).map_err(sql)?;
    {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut copy = Connection::open_with_flags(draft, flags).map_err(sql)?;
        rusqlite::backup::Backup::new(&tx, &mut copy)
            .and_then(|b| b.run_to_completion(i32::MAX, Duration::from_millis(10), None))
            .map_err(sql)?;
        meta::tell_apart(&copy, device).map_err(sql)?;
        // The copy of a yard that is open alone is in no log yet.
        copy.query_row("PRAGMA journal_mode=WAL", [], |_| Ok(())).map_err(sql)?;
        copy.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).map_err(sql)?;
        copy.close().map_err(|(_, error)| sql(error))?;
    }
    drop(tx);
    file::sync(draft)?;
    let copy = connection::connect_immutable(draft)?;
    if let Some(what) = first_fault(&copy).map_err(sql)? {
        return Err(StoreError::Damaged { path: draft.to_owned(), what });
    }
    let found = counts(&copy).map_err(sql)?;
    if found != wanted {
        let what = format!("the copy has {found:?} rows and entries, {wanted:?} were there");
        return Err(StoreError::Damaged { path: draft.to_owned(), what });
    }
    let bytes = fs::metadata(draft).map_err(StoreError::file(draft, "read"))?.len();
    Ok(BackupReport { path: draft.to_owned(), bytes, rows: found.0, entries: found.1 })
}

/// Rows of facts and entries of the journal.
fn counts(conn: &Connection) -> rusqlite::Result<(i64, i64)> {
    let count = |table: &str| {
        conn.query_row(&format!("SELECT count(*) FROM {table}"), [], |row| row.get::<_, i64>(0))
    };
    let mut rows = 0_i64;
    for table in TABLES {
        let known: bool =
            conn.query_row("SELECT count(*) FROM pragma_table_info(?1)", [table.name], |row| row.get(0))?;
        if known {
            rows += count(table.name)?;
        }
    }
    Ok((rows, count("journal_entry")?))
}

/// What `integrity_check` or `foreign_key_check` says first, if it is not well.
pub(super) fn first_fault(conn: &Connection) -> rusqlite::Result<Option<String>> {
    let said: String = conn.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if said != "ok" {
        return Ok(Some(said));
    }
    Ok(migration::first_broken_reference(conn)?.map(|table| format!("a row of {table} refers to nothing")))
}
