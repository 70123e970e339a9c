//! Making and opening a yard file.

use std::cell::OnceCell;
use std::fs::{self, DirBuilder, OpenOptions};
use std::os::unix::fs::DirBuilderExt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, MAIN_DB, OpenFlags};
use uuid::Uuid;

use super::backup;
use super::connection::{Header, connect, connect_immutable, guard};
use super::error::StoreError;
use super::file::{self, Draft, Identity, Record, folder_of};
use super::foreign;
use super::migration::{self, APPLICATION_ID, MIGRATIONS, Migration};
use super::rotation;
use super::swapped::Swapped;

/// SQLite before this can damage a file in WAL mode (WAL-reset bug, SQLite release news of March 2026).
const OLDEST_SQLITE: i32 = 3_051_003;

/// How a yard file is open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Mode {
    Writable,
    /// A newer program wrote it: read only.
    Newer {
        file: u32,
        program: u32,
    },
    /// Nothing can be written where it lies: read only.
    ReadOnlyMedium,
    /// A fault was found in it after it was opened: read only.
    Damaged {
        what: String,
    },
}

/// What a new yard file is told about itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewYard {
    /// The yard; copies of one yard share it.
    pub yard_id: Uuid,
    /// This file's device: a short word, different on every copy of the yard.
    pub device: String,
    /// Milliseconds to add to the clock, for the demo.
    pub clock_shift_ms: Option<i64>,
    pub demo: bool,
}

/// An open yard file.
#[derive(Debug)]
pub struct Store {
    pub(super) conn: Connection,
    pub(super) path: PathBuf,
    pub(super) mode: Mode,
    pub(super) yard_id: Uuid,
    /// The mark on what is labelled with this copy.
    pub(super) device: String,
    /// The name under which this copy writes its journal.
    pub(super) writer: String,
    pub(super) door: Arc<AtomicBool>,
    /// Whether it was not closed cleanly before, or another program has it open.
    pub(super) left_open: bool,
    /// The file that was opened.
    pub(super) identity: Option<Identity>,
    /// What was seen once its name belonged to another file.
    pub(super) swapped: OnceCell<Swapped>,
    /// What lay beside the file when it was opened and was another's, where it is kept now.
    set_aside: Option<PathBuf>,
    /// After the connection: it goes once the log is gone.
    record: Option<Record>,
    /// A change is held open.
    pub(super) held: bool,
}

impl Drop for Store {
    fn drop(&mut self) {
        // The last to have a yard open brings its log into it and takes the log away, if it is still its own.
        if self.mode == Mode::Writable && self.is_in_place() {
            let _ = self.conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false);
        }
    }
}

impl Store {
    /// Makes a new yard file; its folder is made when missing (0700), the file is 0600.
    ///
    /// # Errors
    /// `Exists` where something is there already; `File`, `Full` where it could not be written.
    pub fn create(path: &Path, new: &NewYard) -> Result<Self, StoreError> {
        refuse_old_sqlite()?;
        let path = &file::resolve(path);
        if path.symlink_metadata().is_ok() {
            return Err(StoreError::Exists(path.to_owned()));
        }
        make_folder(path)?;
        // Made under another name, so that a crash half way leaves nothing that looks like a yard.
        {
            let draft = Draft::beside(path)?;
            fill_new(draft.path(), new)?;
            file::publish_new(draft.path(), path)?;
        }
        Self::open(path)
    }

    /// Makes a new yard file in the place of one that nobody needs any more, by one rename.
    ///
    /// # Errors
    /// As [`Store::create`]; `InUse` where another program has it open.
    pub fn make_anew(path: &Path, new: &NewYard) -> Result<Self, StoreError> {
        refuse_old_sqlite()?;
        let path = &file::resolve(path);
        make_folder(path)?;
        {
            let draft = Draft::beside(path)?;
            fill_new(draft.path(), new)?;
            backup::put_in_place(&draft, path, false)?;
        }
        Self::open(path)
    }

    /// Opens a yard file, bringing an earlier format up to date (a verified backup is made first).
    ///
    /// A newer file, or one on a read-only medium, opens for reading: see [`Store::mode`].
    ///
    /// # Errors
    /// `NoYard`, `NotAYard`, `Damaged`: the file is left as it is. `Migration`: it is as it was.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        Self::open_with(path, MIGRATIONS)
    }

    /// Opens as a program does that has these migrations.
    pub(super) fn open_with(path: &Path, migrations: &[Migration]) -> Result<Self, StoreError> {
        refuse_old_sqlite()?;
        let path = &file::resolve(path);
        let mut store = Self::open_once(path, migrations)?;
        // Another file may have got the name while it was opened.
        for _ in 0..3 {
            if store.is_in_place() {
                break;
            }
            drop(store);
            store = Self::open_once(path, migrations)?;
        }
        Ok(store)
    }

    fn open_once(path: &Path, migrations: &[Migration]) -> Result<Self, StoreError> {
        let program = migrations.len() as u32;
        let identity = Identity::of(path);
        let header = Header::read(path)?;
        let mut set_aside = None;
        if writable(path) && file::has_foreign_log(path) {
            set_aside = file::set_aside(path)?;
        }
        let left_open = fs::metadata(file::beside_exact(path, "-wal")).is_ok_and(|m| m.len() > 0);
        let newer = header.version > program;
        let (mut conn, mode) = if newer {
            let conn =
                connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY).or_else(|_| connect_immutable(path))?;
            (conn, Mode::Newer { file: header.version, program })
        } else if writable(path) {
            match connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE) {
                Ok(conn) if !conn.is_readonly(MAIN_DB).unwrap_or(true) => (conn, Mode::Writable),
                Err(
                    error @ (StoreError::Damaged { .. }
                    | StoreError::NotAYard { .. }
                    | StoreError::Disk { .. }
                    | StoreError::Busy),
                ) => {
                    return Err(error);
                }
                _ => (connect_immutable(path)?, Mode::ReadOnlyMedium),
            }
        } else {
            (connect_immutable(path)?, Mode::ReadOnlyMedium)
        };
        let mut record = None;
        match mode {
            Mode::Newer { .. } => foreign::refuse_disguise(&conn, path)?,
            Mode::ReadOnlyMedium => foreign::refuse_schema(&conn, path, had(migrations, header.version))?,
            _ => {}
        }
        if mode == Mode::Writable {
            let have = migration::version_of(&conn).map_err(|e| StoreError::of(e, path))?;
            foreign::refuse_schema(&conn, path, had(migrations, have))?;
            if have < program {
                rotation::before_migration(&conn, path)?;
            }
            migration::run(&mut conn, migrations)?;
            conn.query_row("PRAGMA journal_mode=WAL", [], |_| Ok(())).map_err(|e| StoreError::of(e, path))?;
            // The log is there from the first look on.
            conn.query_row("SELECT count(*) FROM meta", [], |_| Ok(()))
                .map_err(|e| StoreError::of(e, path))?;
            record = Some(Record::leave(path));
        }
        let mut store = Self::finish(conn, path, mode)?;
        store.left_open = left_open;
        store.identity = identity;
        store.set_aside = set_aside;
        store.record = record;
        Ok(store)
    }

    pub(super) fn finish(mut conn: Connection, path: &Path, mode: Mode) -> Result<Self, StoreError> {
        let meta = |key: &str| {
            conn.query_row("SELECT value FROM meta WHERE key = ?1", [key], |row| row.get::<_, String>(0))
                .map_err(|error| match error {
                    rusqlite::Error::QueryReturnedNoRows => StoreError::Damaged {
                        path: path.to_owned(),
                        what: format!("it does not say its {key}"),
                    },
                    rusqlite::Error::SqliteFailure(_, Some(text)) if text.starts_with("no such table") => {
                        StoreError::Damaged { path: path.to_owned(), what: text }
                    }
                    other => StoreError::of(other, path),
                })
        };
        let yard_id = Uuid::parse_str(&meta("yard_id")?).map_err(|_| StoreError::Damaged {
            path: path.to_owned(),
            what: "its yard_id is no UUID".to_owned(),
        })?;
        let device = meta("device")?;
        let writer = meta("writer").unwrap_or_else(|_| device.clone());
        let door = Arc::new(AtomicBool::new(false));
        guard(&mut conn, &door).map_err(|e| StoreError::of(e, path))?;
        conn.set_prepared_statement_cache_capacity(256);
        Ok(Self {
            conn,
            path: path.to_owned(),
            mode,
            yard_id,
            device,
            writer,
            door,
            left_open: false,
            identity: Identity::of(path),
            swapped: OnceCell::new(),
            set_aside: None,
            record: None,
            held: false,
        })
    }

    pub fn mode(&self) -> &Mode {
        &self.mode
    }

    /// Brings what the write-ahead log holds into the file. Left to itself, SQLite does so within one deed of about fifty,
    /// which then takes several times as long.
    ///
    /// # Errors
    /// Where the file can't be written; nothing is lost by that.
    pub fn fold_log(&self) -> Result<(), StoreError> {
        self.refuse_swapped()?;
        self.conn.query_row("PRAGMA wal_checkpoint(PASSIVE)", [], |_| Ok(())).map_err(|e| self.sql(e))
    }

    pub fn path(&self) -> &Path {
        &self.path
    }

    pub fn yard_id(&self) -> Uuid {
        self.yard_id
    }

    pub fn device(&self) -> &str {
        &self.device
    }

    /// One sentence to tell when the file can only be read.
    pub fn notice(&self) -> Option<String> {
        let log = || {
            let aside = self.set_aside.as_ref()?;
            Some(format!(
                "a log beside the yard file belonged to another file that had its name; it was not used and is kept as {}",
                aside.display()
            ))
        };
        self.refuse_reading_only().err().map(|error| error.to_string()).or_else(log)
    }

    /// The error that a write would meet.
    pub(super) fn refuse_reading_only(&self) -> Result<(), StoreError> {
        let path = || self.path.clone();
        match &self.mode {
            Mode::Writable => self.refuse_swapped(),
            Mode::Newer { file, program } => {
                Err(StoreError::Newer { path: path(), file: *file, program: *program })
            }
            Mode::ReadOnlyMedium => Err(StoreError::ReadOnly(path())),
            Mode::Damaged { what } => Err(StoreError::Damaged { path: path(), what: what.clone() }),
        }
    }

    pub(super) fn sql(&self, error: rusqlite::Error) -> StoreError {
        StoreError::of(error, &self.path)
    }
}

/// Makes the folder of a file where it is missing, for its owner alone.
fn make_folder(path: &Path) -> Result<(), StoreError> {
    let folder = folder_of(path);
    if folder.is_dir() {
        return Ok(());
    }
    let mut make = DirBuilder::new();
    make.recursive(true).mode(0o700).create(folder).map_err(StoreError::file(folder, "made"))
}

/// The migrations that a file of this format has had.
pub(super) fn had(migrations: &[Migration], version: u32) -> &[Migration] {
    migrations.get(..version as usize).unwrap_or(migrations)
}

fn writable(path: &Path) -> bool {
    OpenOptions::new().write(true).open(path).is_ok()
}

fn refuse_old_sqlite() -> Result<(), StoreError> {
    refuse_sqlite(rusqlite::version_number(), rusqlite::version())
}

fn refuse_sqlite(number: i32, name: &str) -> Result<(), StoreError> {
    if number < OLDEST_SQLITE { Err(StoreError::OldSqlite(name.to_owned())) } else { Ok(()) }
}

pub(super) fn fill_new(draft: &Path, new: &NewYard) -> Result<(), StoreError> {
    let sql = |error| StoreError::of(error, draft);
    let mut conn = connect(draft, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    conn.pragma_update(None, "application_id", APPLICATION_ID).map_err(sql)?;
    conn.query_row("PRAGMA journal_mode=WAL", [], |_| Ok(())).map_err(sql)?;
    migration::run(&mut conn, MIGRATIONS)?;
    {
        let mut insert = conn.prepare("INSERT INTO meta (key, value) VALUES (?1, ?2)").map_err(sql)?;
        let mut set = |key: &str, value: &str| insert.execute([key, value]).map_err(sql);
        set("yard_id", &new.yard_id.hyphenated().to_string())?;
        set("device", &new.device)?;
        if let Some(shift) = new.clock_shift_ms {
            set("clock_shift", &shift.to_string())?;
        }
        if new.demo {
            set("demo", "1")?;
        }
    }
    conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).map_err(sql)?;
    conn.close().map_err(|(_, error)| sql(error))
}

#[cfg(test)]
#[path = "open_tests.rs"]
mod tests;
