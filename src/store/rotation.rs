//! Backups that the program names itself: in the folder `backups` beside the yard file, the last five and the last
//! of every year.

use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs::{self, DirBuilder, OpenOptions};
use std::io::{ErrorKind, Write};
use std::os::unix::ffi::{OsStrExt, OsStringExt};
use std::os::unix::fs::DirBuilderExt;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use rusqlite::{Connection, OpenFlags};

use super::backup::{self, BackupReport};
use super::connection::{self, Header};
use super::error::StoreError;
use super::file::{self, folder_of};
use super::open::{Mode, Store};

/// So many of the latest backups stay.
const LAST: usize = 5;

impl Store {
    /// Copies the yard to the folder `backups` beside it; the copy is checked before it gets its name. Of earlier
    /// ones there the last five and one a year stay.
    ///
    /// # Errors
    /// `Full`, `File`, `Busy`; `Damaged` where the copy does not pass its check. Nothing is left behind.
    pub fn backup_beside(&self) -> Result<BackupReport, StoreError> {
        self.refuse_swapped()?;
        let _alone = if self.mode == Mode::Writable { Some(alone(&self.path)?) } else { None };
        add(&self.conn, &self.path)
    }
}

/// The verified backup before a migration, made where there is room for twice the file.
pub(super) fn before_migration(conn: &Connection, path: &Path) -> Result<PathBuf, StoreError> {
    let _alone = alone(path)?;
    let size = fs::metadata(path).map_err(StoreError::file(path, "read"))?.len();
    refuse_little_room(path, size.saturating_mul(2))?;
    add(conn, path).map(|report| report.path)
}

/// Keeps other programs from writing, and from making a backup, until it is dropped.
fn alone(path: &Path) -> Result<Connection, StoreError> {
    let lock = connection::connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    lock.execute_batch("BEGIN IMMEDIATE").map_err(|e| StoreError::of(e, path))?;
    Ok(lock)
}

fn add(conn: &Connection, path: &Path) -> Result<BackupReport, StoreError> {
    let folder = folder_for(path);
    match DirBuilder::new().mode(0o700).create(&folder) {
        Ok(()) => file::sync(folder_of(path))?,
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
        Err(error) => return Err(StoreError::file(&folder, "made")(error)),
    }
    let near = folder.join(path.file_name().unwrap_or_default());
    let report = backup::copy_as(conn, &near, None, |draft| {
        let to = free_name(conn, path, draft)?;
        file::publish_new(draft, &to)?;
        Ok(to)
    })?;
    remove_older(conn, path);
    Ok(report)
}

fn folder_for(path: &Path) -> PathBuf {
    folder_of(path).join("backups")
}

/// The name of a backup says when it was made, in UTC: the time of its own file, as the store has no clock.
fn free_name(conn: &Connection, path: &Path, draft: &Path) -> Result<PathBuf, StoreError> {
    let made = fs::metadata(draft).and_then(|m| m.modified()).map_err(StoreError::file(draft, "read"))?;
    let since = made.duration_since(UNIX_EPOCH).unwrap_or_default();
    let day_and_time: String = conn
        .query_row("SELECT strftime('%Y%m%d-%H%M%S', ?1, 'unixepoch')", [since.as_secs() as i64], |row| {
            row.get(0)
        })
        .map_err(|e| StoreError::of(e, path))?;
    let name = |ms: u32| {
        let mut name = path.file_name().unwrap_or_default().to_owned();
        name.push(format!(".{day_and_time}-{ms:03}.backup"));
        folder_for(path).join(name)
    };
    let first = since.subsec_millis();
    // Two in one millisecond, or a clock that went back: the next free one.
    Ok((first..1000).map(name).find(|n| n.symlink_metadata().is_err()).unwrap_or_else(|| name(first)))
}

/// When a backup was made, as its name says it: `20261125-212302-123`. Sorts by time.
type Stamp = String;

/// The stamp in a name that the program gave to a backup of the yard file called `yard`.
fn stamp_of(name: &[u8], yard: &[u8]) -> Option<Stamp> {
    let stamp = name.strip_prefix(yard)?.strip_prefix(b".")?.strip_suffix(b".backup")?;
    let fits = stamp.len() == 19
        && stamp
            .iter()
            .enumerate()
            .all(|(at, b)| if at == 8 || at == 15 { *b == b'-' } else { b.is_ascii_digit() });
    fits.then(|| String::from_utf8_lossy(stamp).into_owned())
}

/// Which stay: the last five, and the last of every year.
fn kept(stamps: &BTreeSet<Stamp>) -> BTreeSet<Stamp> {
    let mut kept: BTreeSet<Stamp> = stamps.iter().rev().take(LAST).cloned().collect();
    let mut later: Option<&str> = None;
    for stamp in stamps.iter().rev() {
        let year = stamp.get(..4);
        if year != later {
            kept.insert(stamp.clone());
        }
        later = year;
    }
    kept
}

/// Removes the backups of this very yard that need not stay. What bears another name, is no yard file or another
/// yard is nobody's business here; what can't be removed stays.
fn remove_older(conn: &Connection, path: &Path) {
    let folder = folder_for(path);
    let yard = path.file_name().unwrap_or_default().as_bytes();
    let Some(id) = yard_id(conn) else { return };
    let Ok(inside) = fs::read_dir(&folder) else { return };
    let ours = |stamp: &Stamp| {
        let file = named(&folder, yard, stamp);
        file.symlink_metadata().is_ok_and(|m| m.is_file())
            && Header::read(&file).is_ok()
            && connection::connect_immutable(&file).ok().and_then(|c| yard_id(&c)).as_ref() == Some(&id)
    };
    let stamps: BTreeSet<Stamp> = inside
        .filter_map(Result::ok)
        .filter_map(|file| stamp_of(file.file_name().as_bytes(), yard))
        .filter(ours)
        .collect();
    for stamp in stamps.difference(&kept(&stamps)) {
        let _ = fs::remove_file(named(&folder, yard, stamp));
    }
}

fn named(folder: &Path, yard: &[u8], stamp: &Stamp) -> PathBuf {
    folder.join(OsString::from_vec([yard, b".", stamp.as_bytes(), b".backup"].concat()))
}

fn yard_id(conn: &Connection) -> Option<String> {
    conn.query_row("SELECT value FROM meta WHERE key = 'yard_id'", [], |row| row.get(0)).ok()
}

/// Finds out whether `needed` bytes fit on the disk of `path` by writing them: what the system says to be free
/// leaves out quotas.
fn refuse_little_room(path: &Path, needed: u64) -> Result<(), StoreError> {
    let probe = file::Draft::beside(path)?;
    let mut file = OpenOptions::new()
        .write(true)
        .open(probe.path())
        .map_err(StoreError::file(probe.path(), "opened"))?;
    let zeros = vec![0_u8; 1 << 16];
    let mut written = 0_u64;
    let mut fill = || -> std::io::Result<()> {
        while written < needed {
            let part = (needed - written).min(zeros.len() as u64);
            file.write_all(zeros.get(..part as usize).unwrap_or(&zeros))?;
            written += part;
        }
        file.sync_all()
    };
    let filled = fill();
    filled.map_err(|error| match error.kind() {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            StoreError::LittleRoom { folder: folder_of(path).to_owned(), needed, found: written }
        }
        _ => StoreError::file(probe.path(), "written")(error),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(stamps: &[&str]) -> BTreeSet<Stamp> {
        stamps.iter().map(|s| (*s).to_owned()).collect()
    }

    #[test]
    fn the_last_five_and_the_last_of_every_year_stay() {
        let all = set(&[
            "20231105-080000-000",
            "20240101-080000-000",
            "20241231-235959-999",
            "20260301-080000-000",
            "20260302-080000-000",
            "20260303-080000-000",
            "20260304-080000-000",
            "20260305-080000-000",
            "20260306-080000-000",
        ]);
        let gone: Vec<&String> = all.iter().filter(|s| !kept(&all).contains(*s)).collect();
        assert_eq!(gone, ["20240101-080000-000", "20260301-080000-000"]);
        assert_eq!(kept(&set(&[])), set(&[]));
        let few = set(&["20260301-080000-000", "20260302-080000-000"]);
        assert_eq!(kept(&few), few);
    }

    #[test]
    fn what_is_kept_stays_kept_and_never_fewer_than_five() {
        let mut random = fastrand::Rng::with_seed(3);
        for _ in 0..500 {
            let stamps: BTreeSet<Stamp> = (0..random.usize(0..40))
                .map(|_| {
                    let (year, month) = (random.u16(2020..2030), random.u8(1..13));
                    format!("{year}{month:02}11-080000-{:03}", random.u16(..1000))
                })
                .collect();
            let stay = kept(&stamps);
            assert!(stay.is_subset(&stamps) && kept(&stay) == stay);
            assert!(stay.len() >= stamps.len().min(LAST));
            let years = |s: &BTreeSet<Stamp>| s.iter().map(|x| x[..4].to_owned()).collect::<BTreeSet<_>>();
            assert_eq!(years(&stay), years(&stamps));
            assert_eq!(stay.last(), stamps.last());
            assert!(stay.len() <= LAST + years(&stamps).len());
        }
    }

    #[test]
    fn only_names_given_here_are_read_as_backups() {
        let of = |name: &str| stamp_of(name.as_bytes(), b"y.ladderday");
        assert_eq!(of("y.ladderday.20261125-212302-123.backup").as_deref(), Some("20261125-212302-123"));
        for name in [
            "y.ladderday.20261125-212302-123.backup.txt",
            "y.ladderday.20261125-212302-12.backup",
            "y.ladderday.20261125 212302-123.backup",
            "y.ladderday.2026112x-212302-123.backup",
            "y.ladderday.backup",
            "my.ladderday.20261125-212302-123.backup",
            ".y.ladderday.draft",
            "y.ladderday",
        ] {
            assert_eq!(of(name), None, "{name}");
        }
    }
}
