//! Making and opening a yard file.

use std::cell::OnceCell;
use std::fs::{self, DirBuilder, OpenOptions};
use std::os::unix::fs::DirBuilderExt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use rusqlite::config::DbConfig;
use rusqlite::{Connection, MAIN_DB, OpenFlags, TransactionBehavior};
use uuid::Uuid;

use super::backup;
use super::connection::{Header, connect, connect_immutable, guard};
use super::error::StoreError;
use super::file::{self, Draft, Identity, Record, folder_of};
use super::foreign;
use super::migration::{self, APPLICATION_ID, MIGRATIONS, Migration};
use super::rotation;

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
    identity: Option<Identity>,
    /// What was seen once its name belonged to another file.
    pub(super) swapped: OnceCell<Swapped>,
    /// What lay beside the file when it was opened and was another's, where it is kept now.
    set_aside: Option<PathBuf>,
    /// After the connection: it goes once the log is gone.
    _record: Option<Record>,
}

/// The name of an open yard file belongs to another file now, or to none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Swapped {
    now: &'static str,
    /// Where what this program had is kept, or why it could not be.
    kept: Result<PathBuf, String>,
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
        store._record = record;
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
            _record: None,
        })
    }

    /// Whether the file that was opened still has its name.
    fn is_in_place(&self) -> bool {
        self.swapped.get().is_none() && self.identity == Identity::of(&self.path)
    }

    /// Refuses where the file was swapped: what is written now would go where nobody looks for it. What this program
    /// had is kept beside the file at the first time.
    pub(super) fn refuse_swapped(&self) -> Result<(), StoreError> {
        if self.is_in_place() {
            return Ok(());
        }
        let seen = self.swapped.get_or_init(|| {
            let now = match Self::open_to_read(&self.path) {
                Ok(other) if other.yard_id == self.yard_id => "another copy of this yard has its name now",
                Ok(_) => "another yard has its name now",
                Err(StoreError::NoYard(_)) => "it is gone from its folder",
                Err(_) => "another file has its name now",
            };
            let kept = backup::copy_to(&self.conn, &file::free_name(&self.path, "kept"), None);
            Swapped { now, kept: kept.map(|k| k.path).map_err(|e| e.to_string()) }
        });
        Err(StoreError::Swapped { path: self.path.clone(), now: seen.now, kept: seen.kept.clone() })
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

    /// Runs `work` in one immediate transaction with the door to the fact tables open.
    pub(super) fn write<T, E: From<StoreError>>(
        &mut self,
        work: impl FnOnce(&Connection) -> Result<T, E>,
    ) -> Result<T, E> {
        self.refuse_reading_only()?;
        let path = self.path.clone();
        let sql = |error| StoreError::of(error, &path);
        let tx = self.conn.transaction_with_behavior(TransactionBehavior::Immediate).map_err(sql)?;
        self.door.store(true, Ordering::SeqCst);
        let done = tx
            .pragma_update(None, "defer_foreign_keys", true)
            .map_err(|e| E::from(sql(e)))
            .and_then(|()| work(&tx))
            .and_then(|out| tx.commit().map_err(|e| E::from(sql(e))).map(|()| out));
        self.door.store(false, Ordering::SeqCst);
        // A statement compiled with the door open must not serve with it shut.
        self.conn.flush_prepared_statement_cache();
        // Swapped while it was written: it is kept with the rest, and not said to be saved.
        if done.is_ok() {
            self.refuse_swapped()?;
        }
        done
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
mod tests {
    use rusqlite::config::DbConfig;

    use crate::domain::TABLES;

    use super::*;
    use crate::store::SCHEMA_VERSION;

    #[test]
    fn an_old_sqlite_is_refused() {
        assert!(refuse_sqlite(3_051_002, "3.51.2").is_err());
        assert!(refuse_sqlite(3_051_003, "3.51.3").is_ok());
    }

    fn yard(folder: &Path) -> Store {
        let new = NewYard {
            yard_id: Uuid::from_u128(7),
            device: "A".to_owned(),
            clock_shift_ms: None,
            demo: false,
        };
        Store::create(&folder.join("y.ladderday"), &new).unwrap()
    }

    #[test]
    fn a_write_beside_the_door_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let store = yard(folder.path());
        for table in TABLES {
            for sql in [
                format!("UPDATE {} SET ended_at = 1", table.name),
                format!("DELETE FROM {}", table.name),
                format!("INSERT INTO {} (id) VALUES ('x')", table.name),
            ] {
                let error = store.conn.execute(&sql, []).unwrap_err().to_string();
                assert!(error.contains("not authorized"), "{sql}: {error}");
            }
        }
        assert!(store.conn.execute("DELETE FROM journal_line", []).is_err());
        assert!(store.conn.execute("UPDATE journal_entry SET what = ''", []).is_err());
    }

    #[test]
    fn a_read_only_medium_opens_for_reading() {
        let folder = tempfile::tempdir().unwrap();
        let path = yard(folder.path()).path.clone();
        let conn = connect_immutable(&path).unwrap();
        let mut store = Store::finish(conn, &path, Mode::ReadOnlyMedium).unwrap();
        assert!(store.load_yard().is_ok());
        assert!(matches!(store.write(|_| Ok::<_, StoreError>(())), Err(StoreError::ReadOnly(_))));
        assert!(store.notice().unwrap().contains("can be read, not changed"));
    }

    const NEXT: Migration =
        Migration { name: "9999_next.sql", sql: "ALTER TABLE place ADD COLUMN next TEXT;" };

    /// All there are, and one more.
    fn with(last: Migration) -> Vec<Migration> {
        MIGRATIONS.iter().copied().chain([last]).collect()
    }

    #[test]
    fn an_earlier_format_is_brought_up_to_date_after_a_backup() {
        let folder = tempfile::tempdir().unwrap();
        let path = yard(folder.path()).path.clone();
        let more = with(NEXT);
        let store = Store::open_with(&path, &more).unwrap();
        assert_eq!(migration::version_of(&store.conn).unwrap(), SCHEMA_VERSION + 1);
        assert!(store.conn.prepare("SELECT next FROM place").is_ok());
        drop(store);
        let mut inside = fs::read_dir(folder.path().join("backups")).unwrap();
        let backup = inside.next().unwrap().unwrap().path();
        assert!(inside.next().is_none());
        assert_eq!(Store::open(&backup).unwrap().mode, Mode::Writable);
        assert_eq!(
            Store::open(&path).unwrap().mode,
            Mode::Newer { file: SCHEMA_VERSION + 1, program: SCHEMA_VERSION }
        );
        // Once up to date, nothing more is done.
        fs::remove_file(&backup).unwrap();
        drop(Store::open_with(&path, &more).unwrap());
        assert!(!backup.exists());
    }

    #[test]
    fn a_migration_that_fails_leaves_the_file_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let path = yard(folder.path()).path.clone();
        let half = "ALTER TABLE place ADD COLUMN next TEXT; INSERT INTO nowhere VALUES (1);";
        let dangling = "INSERT INTO fall_line (id, upper_place_id, lower_place_id) VALUES ('f', 'a', 'b');
                        PRAGMA foreign_keys = OFF;";
        for sql in [half, dangling] {
            let more = with(Migration { name: "9999_broken.sql", sql });
            let error = Store::open_with(&path, &more).unwrap_err();
            assert_eq!(error.code(), "migration", "{error}");
            assert!(error.to_string().contains("9999_broken.sql"), "{error}");
            let store = Store::open(&path).unwrap();
            assert_eq!(store.mode, Mode::Writable);
            assert!(store.conn.prepare("SELECT next FROM place").is_err());
            assert!(store.load_whole_yard().unwrap().fall_lines.is_empty());
        }
    }

    #[test]
    fn a_full_disk_is_said_and_nothing_is_lost() {
        use crate::domain::{Deed, RowChange, Value};
        let folder = tempfile::tempdir().unwrap();
        let mut store = yard(folder.path());
        let text = |t: String| Value::Text(t);
        let person = |n: u128, length: usize| Deed {
            verb: "test",
            what: format!("Added {n}"),
            at_ms: 1,
            rows: vec![RowChange::new(
                "person",
                Uuid::from_u128(n),
                vec![("code", text(n.to_string())), ("name", text("x".repeat(length)))],
            )],
        };
        store.apply(&person(1, 10)).unwrap();
        let pages: i64 = store.conn.query_row("PRAGMA page_count", [], |row| row.get(0)).unwrap();
        let limit = |store: &Store, pages: i64| {
            store.conn.query_row(&format!("PRAGMA max_page_count = {pages}"), [], |_| Ok(())).unwrap();
        };
        limit(&store, pages);
        let error = store.apply(&person(2, 1_000_000)).unwrap_err();
        assert_eq!(error.code(), "disk-full", "{error}");
        assert_eq!(store.load_yard().unwrap().people.len(), 1);
        limit(&store, 1_000_000);
        store.apply(&person(2, 1_000_000)).unwrap();
        assert_eq!(store.load_yard().unwrap().people.len(), 2);
        assert_eq!(store.verify().unwrap(), []);
    }

    #[test]
    fn the_file_is_protected_as_promised() {
        let folder = tempfile::tempdir().unwrap();
        let store = yard(folder.path());
        let asked = |what: &str| {
            store
                .conn
                .query_row(&format!("PRAGMA {what}"), [], |row| row.get::<_, rusqlite::types::Value>(0))
                .unwrap()
        };
        assert_eq!(asked("journal_mode"), rusqlite::types::Value::Text("wal".to_owned()));
        for (pragma, wanted) in [
            ("synchronous", 2),
            ("foreign_keys", 1),
            ("trusted_schema", 0),
            ("cell_size_check", 1),
            ("busy_timeout", 5000),
            ("application_id", i64::from(APPLICATION_ID)),
            ("user_version", MIGRATIONS.len() as i64),
        ] {
            assert_eq!(asked(pragma), rusqlite::types::Value::Integer(wanted), "{pragma}");
        }
        assert!(store.conn.db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE).unwrap());
    }
}
