//! The yard file as the file system has it: where it really lies, what lies beside it, and whether its name still
//! belongs to the file that was opened.
//!
//! SQLite ties a log to a database by its name alone. A log that lies beside another file's name is taken for that
//! file's own and destroys it; so every file that gets a name here gets it without anything beside it, and a log is
//! known by the file it was begun for.

use std::collections::hash_map::RandomState;
use std::ffi::OsString;
use std::fmt;
use std::fs::{self, File, OpenOptions};
use std::hash::{BuildHasher as _, Hasher as _};
use std::io::{ErrorKind, Read as _, Write as _};
use std::os::unix::ffi::OsStrExt as _;
use std::os::unix::fs::{MetadataExt as _, OpenOptionsExt as _};
use std::path::{Path, PathBuf};
use std::time::{Duration, UNIX_EPOCH};

use super::error::StoreError;

/// What SQLite lays beside a database.
const SIDES: [&str; 3] = ["-wal", "-shm", "-journal"];
/// What this program lays beside an open yard: which file its log was begun for.
const RECORD: &str = "-open";
/// A draft is locked right after it is made; one that is older and is not belongs to nobody.
const STALE: Duration = Duration::from_secs(60);
/// So many links are followed, as the system does.
const MOST_LINKS: usize = 40;

/// Where the file really lies: links are followed, also one to a file that is not there yet.
pub(super) fn resolve(path: &Path) -> PathBuf {
    let mut at = path.to_owned();
    for _ in 0..MOST_LINKS {
        match fs::read_link(&at) {
            Ok(to) => at = folder_of(&at).join(to),
            Err(_) => break,
        }
    }
    at
}

pub(super) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Which file has a name: the same as long as nobody put another in its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Identity {
    device: u64,
    inode: u64,
    /// Where the file system knows it: numbers of files that are gone are given again.
    made: Option<Duration>,
}

impl Identity {
    /// Nothing where no file has the name.
    pub(super) fn of(path: &Path) -> Option<Self> {
        let about = fs::metadata(path).ok()?;
        let made = about.created().ok().and_then(|t| t.duration_since(UNIX_EPOCH).ok());
        Some(Self { device: about.dev(), inode: about.ino(), made })
    }
}

impl fmt::Display for Identity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} {}", self.device, self.inode, self.made.map_or(0, |t| t.as_nanos()))
    }
}

/// Whether the log beside `path` was begun for another file, which had the name before. Copied or moved together
/// with its file, a log is another file too, and is trusted.
pub(super) fn has_foreign_log(path: &Path) -> bool {
    let (Some(main), Some(log)) = (Identity::of(path), Identity::of(&beside_exact(path, "-wal"))) else {
        return false;
    };
    let mut told = String::new();
    let read = File::open(beside_exact(path, RECORD)).and_then(|f| f.take(1000).read_to_string(&mut told));
    let mut lines = told.lines();
    read.is_ok()
        && matches!((lines.next(), lines.next()), (Some(m), Some(l)) if m != main.to_string() && l == log.to_string())
}

/// Notes for which file the log beside it was begun; taken away again once the log is gone.
#[derive(Debug)]
pub(super) struct Record(PathBuf);

impl Record {
    pub(super) fn leave(path: &Path) -> Self {
        let record = beside_exact(path, RECORD);
        if let (Some(main), Some(log)) = (Identity::of(path), Identity::of(&beside_exact(path, "-wal"))) {
            let text = format!("{main}\n{log}\n");
            if !fs::read_to_string(&record).is_ok_and(|t| t == text) {
                // Without it a log is trusted, as it always was.
                let _ = OpenOptions::new()
                    .write(true)
                    .create(true)
                    .truncate(true)
                    .mode(0o600)
                    .open(&record)
                    .and_then(|mut f| f.write_all(text.as_bytes()));
            }
        }
        Self(path.to_owned())
    }
}

impl Drop for Record {
    fn drop(&mut self) {
        if !beside_exact(&self.0, "-wal").exists() {
            let _ = fs::remove_file(beside_exact(&self.0, RECORD));
        }
    }
}

/// Takes what lies beside a name that a file is to get, or whose file it does not belong to, out of SQLite's sight.
/// A log may hold somebody's last deeds, so it is kept under the name that is returned.
pub(super) fn set_aside(path: &Path) -> Result<Option<PathBuf>, StoreError> {
    let there: Vec<&str> =
        SIDES.into_iter().filter(|end| beside_exact(path, end).symlink_metadata().is_ok()).collect();
    if there.is_empty() {
        return Ok(None);
    }
    let holds =
        |end: &&str| *end != "-shm" && fs::metadata(beside_exact(path, end)).is_ok_and(|m| m.len() > 0);
    let held = there.iter().copied().find(|end| holds(end));
    let aside = free_name(path, "left-over");
    for end in &there {
        let from = beside_exact(path, end);
        let moved = match held {
            Some(_) => fs::rename(&from, beside_exact(&aside, end)),
            None => fs::remove_file(&from),
        };
        match moved {
            Err(error) if error.kind() != ErrorKind::NotFound => {
                return Err(StoreError::file(&from, "moved")(error));
            }
            _ => {}
        }
    }
    let _ = fs::remove_file(beside_exact(path, RECORD));
    sync(folder_of(path))?;
    Ok(held.map(|end| beside_exact(&aside, end)))
}

/// Takes away what lies beside a name. Only where it holds nothing of its own, or a copy of it is kept.
pub(super) fn clear(path: &Path) -> Result<(), StoreError> {
    for end in SIDES.into_iter().chain([RECORD]) {
        let side = beside_exact(path, end);
        match fs::remove_file(&side) {
            Err(error) if error.kind() != ErrorKind::NotFound => {
                return Err(StoreError::file(&side, "removed")(error));
            }
            _ => {}
        }
    }
    Ok(())
}

/// A file that is not ready yet: under a hidden name of its own in the folder where it is to stand. Gone when
/// dropped, with all that SQLite laid beside it.
#[derive(Debug)]
pub(super) struct Draft {
    path: PathBuf,
    /// Locked while it is being made: what a crash left behind is not.
    _lock: File,
}

impl Draft {
    /// # Errors
    /// `File`, `Full` where nothing can be written in the folder.
    pub(super) fn beside(to: &Path) -> Result<Self, StoreError> {
        let path = folder_of(to).join(Self::name(to, &format!("{:016x}", chance())));
        let lock = new_file(&path).map_err(|error| match error {
            // The name that was asked for is what can be mended.
            StoreError::File { what, source, .. } => StoreError::File { path: to.to_owned(), what, source },
            other => other,
        })?;
        // Where files can't be locked, what a crash left is only never swept.
        let _ = lock.try_lock();
        Self::sweep(to, &path);
        Ok(Self { path, _lock: lock })
    }

    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    fn name(to: &Path, chance: &str) -> OsString {
        let mut name = OsString::from(".");
        name.push(to.file_name().unwrap_or_default());
        name.push(format!(".{chance}.draft"));
        name
    }

    /// Removes what a crash left of earlier ones: they are older than `made`, and nobody holds them.
    fn sweep(to: &Path, made: &Path) {
        let Ok(inside) = fs::read_dir(folder_of(to)) else { return };
        let age = |path: &Path| fs::metadata(path).and_then(|m| m.modified());
        let old = |path: &Path| match (age(path), age(made)) {
            (Ok(then), Ok(now)) => now.duration_since(then).is_ok_and(|d| d > STALE),
            _ => false,
        };
        let (head, tail) = (Self::name(to, ""), b".draft");
        let head = head.as_bytes().strip_suffix(tail).unwrap_or_default();
        for file in inside.filter_map(Result::ok) {
            let name = file.file_name();
            let middle = name.as_bytes().strip_prefix(head).and_then(|n| n.strip_suffix(tail));
            if middle.is_some_and(|m| m.len() == 16 && m.iter().all(u8::is_ascii_hexdigit))
                && old(&file.path())
                && File::open(file.path()).is_ok_and(|f| f.try_lock().is_ok())
            {
                remove_all(&file.path());
            }
        }
    }
}

impl Drop for Draft {
    fn drop(&mut self) {
        remove_all(&self.path);
    }
}

fn remove_all(path: &Path) {
    for end in [""].into_iter().chain(SIDES) {
        let _ = fs::remove_file(beside_exact(path, end));
    }
}

/// A number that no other file is likely to get; std's own seed of its hash tables.
pub(super) fn chance() -> u64 {
    RandomState::new().build_hasher().finish()
}

/// `path` with `end` after its name.
pub(super) fn beside_exact(path: &Path, end: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(end);
    PathBuf::from(name)
}

/// The first free name with `what` and a number after it; free of side files too.
pub(super) fn free_name(path: &Path, what: &str) -> PathBuf {
    let free = |p: &PathBuf| {
        [""].into_iter().chain(SIDES).all(|end| beside_exact(p, end).symlink_metadata().is_err())
    };
    (1..10_000).map(|n| beside_exact(path, &format!(".{what}-{n}"))).find(free).unwrap_or_default()
}

pub(super) fn new_file(path: &Path) -> Result<File, StoreError> {
    OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(path)
        .map_err(StoreError::file(path, "made"))
}

pub(super) fn sync(path: &Path) -> Result<(), StoreError> {
    File::open(path).and_then(|f| f.sync_all()).map_err(StoreError::file(path, "written"))
}

/// Gives a draft its name, which must be free; what was left beside the name is set aside first.
pub(super) fn publish_new(draft: &Path, to: &Path) -> Result<(), StoreError> {
    sync(draft)?;
    if to.symlink_metadata().is_ok() {
        return Err(StoreError::Exists(to.to_owned()));
    }
    set_aside(to)?;
    match fs::hard_link(draft, to) {
        Ok(()) => {}
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {
            return Err(StoreError::Exists(to.to_owned()));
        }
        // Memory sticks often know no hard links.
        Err(_) if to.symlink_metadata().is_ok() => return Err(StoreError::Exists(to.to_owned())),
        Err(_) => fs::rename(draft, to).map_err(StoreError::file(to, "made"))?,
    }
    sync(folder_of(to))
}

/// Gives a draft its name in place of what has it: by one rename, which happened or did not.
pub(super) fn publish_over(draft: &Path, to: &Path) -> Result<(), StoreError> {
    sync(draft)?;
    fs::rename(draft, to).map_err(StoreError::file(to, "made"))?;
    sync(folder_of(to))
}

/// A copy of the bytes of a file that SQLite can't read, and of what lies beside it, as they stand.
pub(super) fn keep_bytes(path: &Path, kept: &Path) -> Result<(), StoreError> {
    for end in SIDES.into_iter().filter(|end| *end != "-shm").chain([""]) {
        let (from, to) = (beside_exact(path, end), beside_exact(kept, end));
        let mut source = match File::open(&from) {
            Err(error) if error.kind() == ErrorKind::NotFound => continue,
            other => other.map_err(StoreError::file(&from, "read"))?,
        };
        let mut copy = new_file(&to)?;
        std::io::copy(&mut source, &mut copy)
            .and_then(|_| copy.sync_all())
            .map_err(StoreError::file(&to, "written"))?;
    }
    sync(folder_of(kept))
}
