//! Making and opening a yard file.

use std::fs::{self, DirBuilder, File, OpenOptions};
use std::io::{ErrorKind, Read};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::hooks::{AuthAction, AuthContext, Authorization};
use rusqlite::{Connection, MAIN_DB, OpenFlags, TransactionBehavior};
use uuid::Uuid;

use crate::domain::TABLES;

use super::backup;
use super::error::StoreError;
use super::migration::{self, APPLICATION_ID, MIGRATIONS, SCHEMA_VERSION};

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
    pub(super) device: String,
    pub(super) door: Arc<AtomicBool>,
}

impl Store {
    /// Makes a new yard file; its folder is made when missing (0700), the file is 0600.
    ///
    /// # Errors
    /// `Exists` where something is there already; `File`, `Full` where it could not be written.
    pub fn create(path: &Path, new: &NewYard) -> Result<Self, StoreError> {
        refuse_old_sqlite()?;
        if path.symlink_metadata().is_ok() {
            return Err(StoreError::Exists(path.to_owned()));
        }
        let folder = folder_of(path);
        if !folder.is_dir() {
            DirBuilder::new()
                .recursive(true)
                .mode(0o700)
                .create(folder)
                .map_err(StoreError::file(folder, "made"))?;
        }
        // Made under another name, so that a crash half way leaves nothing that looks like a yard.
        let draft = backup::beside(path, "new");
        backup::remove_with_journal(&draft);
        let made = fill_new(&draft, new).and_then(|()| backup::publish_new(&draft, path));
        backup::remove_with_journal(&draft);
        made?;
        Self::open(path)
    }

    /// Opens a yard file, bringing an earlier format up to date (a verified backup is made first).
    ///
    /// A newer file, or one on a read-only medium, opens for reading: see [`Store::mode`].
    ///
    /// # Errors
    /// `NoYard`, `NotAYard`, `Damaged`: the file is left as it is. `Migration`: it is as it was.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        refuse_old_sqlite()?;
        let header = Header::read(path)?;
        let newer = header.version > SCHEMA_VERSION;
        let (mut conn, mode) = if newer {
            let conn =
                connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY).or_else(|_| connect_immutable(path))?;
            (conn, Mode::Newer { file: header.version, program: SCHEMA_VERSION })
        } else if writable(path) {
            match connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE) {
                Ok(conn) if !conn.is_readonly(MAIN_DB).unwrap_or(true) => (conn, Mode::Writable),
                Err(
                    error @ (StoreError::Damaged { .. } | StoreError::NotAYard { .. } | StoreError::Busy),
                ) => {
                    return Err(error);
                }
                _ => (connect_immutable(path)?, Mode::ReadOnlyMedium),
            }
        } else {
            (connect_immutable(path)?, Mode::ReadOnlyMedium)
        };
        if mode == Mode::Writable {
            let have = migration::version_of(&conn).map_err(|e| StoreError::of(e, path))?;
            if have < SCHEMA_VERSION {
                backup::before_migration(&conn, path, have)?;
            }
            migration::run(&mut conn, MIGRATIONS)?;
        }
        Self::finish(conn, path, mode)
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
        let door = Arc::new(AtomicBool::new(false));
        guard(&mut conn, &door).map_err(|e| StoreError::of(e, path))?;
        conn.set_prepared_statement_cache_capacity(256);
        Ok(Self { conn, path: path.to_owned(), mode, yard_id, device, door })
    }

    pub fn mode(&self) -> &Mode {
        &self.mode
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
        self.refuse_reading_only().err().map(|error| error.to_string())
    }

    /// The error that a write would meet.
    pub(super) fn refuse_reading_only(&self) -> Result<(), StoreError> {
        match self.mode {
            Mode::Writable => Ok(()),
            Mode::Newer { file, program } => {
                Err(StoreError::Newer { path: self.path.clone(), file, program })
            }
            Mode::ReadOnlyMedium => Err(StoreError::ReadOnly(self.path.clone())),
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
        done
    }

    pub(super) fn sql(&self, error: rusqlite::Error) -> StoreError {
        StoreError::of(error, &self.path)
    }
}

/// What the first bytes of the file say, read without SQLite so that a foreign file is not touched.
pub(super) struct Header {
    pub(super) version: u32,
}

impl Header {
    pub(super) fn read(path: &Path) -> Result<Self, StoreError> {
        let not = |why| StoreError::NotAYard { path: path.to_owned(), why };
        let mut file = File::open(path).map_err(|error| match error.kind() {
            ErrorKind::NotFound | ErrorKind::NotADirectory => StoreError::NoYard(path.to_owned()),
            _ => StoreError::File { path: path.to_owned(), what: "read", source: error },
        })?;
        let about = file.metadata().map_err(StoreError::file(path, "read"))?;
        if !about.is_file() {
            return Err(not("it is a folder or a device"));
        }
        let mut head = [0_u8; 100];
        file.read_exact(&mut head).map_err(|_| not("it is too short"))?;
        if !head.starts_with(b"SQLite format 3\0") {
            return Err(not("it does not begin like a database"));
        }
        let number =
            |at: usize| head.get(at..at + 4).and_then(|b| b.try_into().ok()).map_or(0, u32::from_be_bytes);
        if number(68) != APPLICATION_ID as u32 {
            return Err(not("it is the database of another program"));
        }
        let page = match head.get(16..18).and_then(|b| b.try_into().ok()).map_or(0, u16::from_be_bytes) {
            1 => 65_536,
            size => u64::from(size),
        };
        let pages = u64::from(number(28));
        let log = fs::metadata(backup::beside_exact(path, "-wal")).map_or(0, |m| m.len());
        if pages * page > about.len() && log == 0 {
            let what = format!("{} bytes are there, {} should be", about.len(), pages * page);
            return Err(StoreError::Damaged { path: path.to_owned(), what });
        }
        Ok(Self { version: number(60) })
    }
}

pub(super) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
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

fn fill_new(draft: &Path, new: &NewYard) -> Result<(), StoreError> {
    OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(draft)
        .map_err(StoreError::file(draft, "made"))?;
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

/// Opens and sets what protects the file; reads its schema, so that a damaged one is noticed here.
pub(super) fn connect(path: &Path, access: OpenFlags) -> Result<Connection, StoreError> {
    let conn = Connection::open_with_flags(path, access | OpenFlags::SQLITE_OPEN_NO_MUTEX)
        .map_err(|e| StoreError::of(e, path))?;
    settle(&conn).map_err(|e| StoreError::of(e, path))?;
    Ok(conn)
}

/// Opens a file on a medium that can't be written to: SQLite is told that nothing will change it.
pub(super) fn connect_immutable(path: &Path) -> Result<Connection, StoreError> {
    let log = backup::beside_exact(path, "-wal");
    if fs::metadata(&log).is_ok_and(|m| m.len() > 0) {
        let what = format!("its last changes are in {}, which can't be read from here", log.display());
        return Err(StoreError::Damaged { path: path.to_owned(), what });
    }
    let uri = format!("file:{}?immutable=1", escape(path));
    let flags =
        OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(uri, flags).map_err(|e| StoreError::of(e, path))?;
    settle(&conn).map_err(|e| StoreError::of(e, path))?;
    Ok(conn)
}

/// A path inside a `file:` URI.
fn escape(path: &Path) -> String {
    use std::os::unix::ffi::OsStrExt;
    path.as_os_str()
        .as_bytes()
        .iter()
        .map(|b| match b {
            b'/' | b'-' | b'_' | b'.' | b'0'..=b'9' | b'A'..=b'Z' | b'a'..=b'z' => char::from(*b).to_string(),
            other => format!("%{other:02X}"),
        })
        .collect()
}

fn settle(conn: &Connection) -> rusqlite::Result<()> {
    conn.busy_timeout(Duration::from_millis(5000))?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_DQS_DML, false)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_DQS_DDL, false)?;
    conn.pragma_update(None, "synchronous", "FULL")?;
    conn.pragma_update(None, "foreign_keys", true)?;
    conn.pragma_update(None, "cell_size_check", true)?;
    conn.query_row("PRAGMA mmap_size=0", [], |_| Ok(())).or_else(|error| match error {
        rusqlite::Error::QueryReturnedNoRows => Ok(()),
        other => Err(other),
    })?;
    conn.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get::<_, i64>(0)).map(|_| ())
}

/// Refuses every write to a fact's table or the journal while the door is shut.
fn guard(conn: &mut Connection, door: &Arc<AtomicBool>) -> rusqlite::Result<()> {
    let door = Arc::clone(door);
    conn.authorizer(Some(move |context: AuthContext<'_>| {
        let (AuthAction::Insert { table_name }
        | AuthAction::Update { table_name, .. }
        | AuthAction::Delete { table_name }) = context.action
        else {
            return Authorization::Allow;
        };
        let guarded = table_name.starts_with("journal_") || TABLES.iter().any(|t| t.name == table_name);
        if guarded && !door.load(Ordering::SeqCst) { Authorization::Deny } else { Authorization::Allow }
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

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
            ("user_version", i64::from(SCHEMA_VERSION)),
        ] {
            assert_eq!(asked(pragma), rusqlite::types::Value::Integer(wanted), "{pragma}");
        }
        assert!(store.conn.db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE).unwrap());
    }
}
