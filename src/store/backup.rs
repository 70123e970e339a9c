//! Copies of the yard file: made by SQLite's backup, checked, and only then given their name.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::ErrorKind;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use crate::domain::TABLES;

use super::connection;
use super::error::StoreError;
use super::migration;
use super::open::{self, Store};

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
        copy_to(&self.conn, to, None)
    }

    /// Copies the yard for a second laptop: the copy writes its journal as `device`.
    pub fn lend(&self, to: &Path, device: &str) -> Result<BackupReport, StoreError> {
        copy_to(&self.conn, to, Some(device))
    }

    /// Puts the backup `from` in the place of the yard file `to`, which must not be open. What was there is kept as
    /// the returned path. With `device` the file goes on under another device, as it must where another copy has
    /// already merged what the backup does not know.
    pub fn restore(from: &Path, to: &Path, device: Option<&str>) -> Result<Option<PathBuf>, StoreError> {
        let backup = Self::open_to_read(from)?;
        let mut kept = None;
        copy_as(&backup.conn, &beside(to, "draft"), device, |draft| {
            if to.symlink_metadata().is_ok() {
                let aside = free_name(to, "before-restore");
                fs::hard_link(to, &aside).map_err(StoreError::file(&aside, "made"))?;
                // The log belongs to the old file: beside the new one it would be taken for its own.
                for end in ["-wal", "-shm"] {
                    rename_if_there(&beside_exact(to, end), &beside_exact(&aside, end))?;
                }
                kept = Some(aside);
            }
            publish_over(draft, to)?;
            Ok(to.to_owned())
        })?;
        Ok(kept)
    }
}

/// Copies all of `conn` to a new file.
fn copy_to(conn: &Connection, to: &Path, device: Option<&str>) -> Result<BackupReport, StoreError> {
    copy_as(conn, &beside(to, "draft"), device, |draft| {
        publish_new(draft, to)?;
        Ok(to.to_owned())
    })
}

/// Copies all of `conn` to `draft`, checks it, and lets `publish` give it the name that it returns.
pub(super) fn copy_as(
    conn: &Connection,
    draft: &Path,
    device: Option<&str>,
    publish: impl FnOnce(&Path) -> Result<PathBuf, StoreError>,
) -> Result<BackupReport, StoreError> {
    remove_with_journal(draft);
    let done = copy_checked(conn, draft, device).and_then(|mut report| {
        report.path = publish(draft)?;
        Ok(report)
    });
    remove_with_journal(draft);
    done
}

fn copy_checked(conn: &Connection, draft: &Path, device: Option<&str>) -> Result<BackupReport, StoreError> {
    let sql = |error| StoreError::of(error, draft);
    new_file(draft)?;
    // One read transaction, so that the counts are those of what is copied.
    let tx = conn.unchecked_transaction().map_err(sql)?;
    let wanted = counts(&tx).map_err(sql)?;
    {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut copy = Connection::open_with_flags(draft, flags).map_err(sql)?;
        rusqlite::backup::Backup::new(&tx, &mut copy)
            .and_then(|b| b.run_to_completion(i32::MAX, Duration::from_millis(10), None))
            .map_err(sql)?;
        if let Some(device) = device {
            copy.execute("UPDATE meta SET value = ?1 WHERE key = 'device'", [device]).map_err(sql)?;
            copy.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).map_err(sql)?;
        }
        copy.close().map_err(|(_, error)| sql(error))?;
    }
    drop(tx);
    sync(draft)?;
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

/// `path` with `end` after its name.
pub(super) fn beside_exact(path: &Path, end: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(end);
    PathBuf::from(name)
}

/// A hidden name in the same folder, for a file that is not ready yet.
pub(super) fn beside(path: &Path, what: &str) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(format!(".{what}"));
    open::folder_of(path).join(name)
}

fn free_name(path: &Path, what: &str) -> PathBuf {
    (1..10_000).map(|n| beside_exact(path, &format!(".{what}-{n}"))).find(|p| !p.exists()).unwrap_or_default()
}

pub(super) fn new_file(path: &Path) -> Result<File, StoreError> {
    OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(path)
        .map_err(StoreError::file(path, "made"))
}

/// Removes a draft and what SQLite laid beside it.
pub(super) fn remove_with_journal(draft: &Path) {
    for end in ["", "-wal", "-shm", "-journal"] {
        let _ = fs::remove_file(beside_exact(draft, end));
    }
}

fn rename_if_there(from: &Path, to: &Path) -> Result<(), StoreError> {
    match fs::rename(from, to) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(StoreError::file(from, "moved")(error)),
        _ => Ok(()),
    }
}

pub(super) fn sync(path: &Path) -> Result<(), StoreError> {
    File::open(path).and_then(|f| f.sync_all()).map_err(StoreError::file(path, "written"))
}

/// Gives a draft its name, which must be free.
pub(super) fn publish_new(draft: &Path, to: &Path) -> Result<(), StoreError> {
    sync(draft)?;
    match fs::hard_link(draft, to) {
        Ok(()) => {}
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {
            return Err(StoreError::Exists(to.to_owned()));
        }
        // Memory sticks often know no hard links.
        Err(_) if to.symlink_metadata().is_ok() => return Err(StoreError::Exists(to.to_owned())),
        Err(_) => fs::rename(draft, to).map_err(StoreError::file(to, "made"))?,
    }
    sync(open::folder_of(to))
}

/// Gives a draft its name, in place of what has it.
fn publish_over(draft: &Path, to: &Path) -> Result<(), StoreError> {
    sync(draft)?;
    fs::rename(draft, to).map_err(StoreError::file(to, "made"))?;
    sync(open::folder_of(to))
}
