//! The connection to a yard file: told apart from other files, protected, guarded.

use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::hooks::{AuthAction, AuthContext, Authorization};
use rusqlite::limits::Limit;
use rusqlite::{Connection, OpenFlags};

use crate::domain::TABLES;

use super::error::StoreError;
use super::file::{beside_exact, has_foreign_log};
use super::migration::APPLICATION_ID;

/// What the first bytes of the file say, read without SQLite so that a foreign file is not touched.
pub(super) struct Header {
    pub(super) version: u32,
}

impl Header {
    pub(super) fn read(path: &Path) -> Result<Self, StoreError> {
        let not = |why| StoreError::NotAYard { path: path.to_owned(), why };
        let failed = |error: std::io::Error| match error.kind() {
            ErrorKind::NotFound | ErrorKind::NotADirectory => StoreError::NoYard(path.to_owned()),
            _ => StoreError::File { path: path.to_owned(), what: "read", source: error },
        };
        // Asked before it is opened: opening a pipe waits for somebody to write into it.
        let about = fs::metadata(path).map_err(failed)?;
        if !about.is_file() {
            return Err(not("it is a folder, a pipe or a device"));
        }
        let mut file = File::open(path).map_err(failed)?;
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
        let log = fs::metadata(beside_exact(path, "-wal")).map_or(0, |m| m.len());
        if pages * page > about.len() && log == 0 {
            let what = format!("{} bytes are there, {} should be", about.len(), pages * page);
            return Err(StoreError::Damaged { path: path.to_owned(), what });
        }
        Ok(Self { version: number(60) })
    }
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
    let log = beside_exact(path, "-wal");
    if fs::metadata(&log).is_ok_and(|m| m.len() > 0) && !has_foreign_log(path) {
        return connect_beside_log(path);
    }
    let uri = format!("file:{}?immutable=1", escape(path));
    let flags =
        OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(uri, flags).map_err(|e| StoreError::of(e, path))?;
    settle(&conn).map_err(|e| StoreError::of(e, path))?;
    Ok(conn)
}

/// Opens a file whose last changes are in a log that can't be shared with other programs from here, as nothing can be
/// written beside it: the index of the log is kept in memory, and no lock is asked for.
fn connect_beside_log(path: &Path) -> Result<Connection, StoreError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags_and_vfs(path, flags, c"unix-none")
        .map_err(|e| StoreError::of(e, path))?;
    // Before anything is read: only then the index is kept in memory.
    conn.query_row("PRAGMA locking_mode=EXCLUSIVE", [], |_| Ok(()))
        .and_then(|()| settle(&conn))
        .map_err(|e| StoreError::of(e, path))?;
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

/// No text in a yard is longer: an attachment of the largest size takes a fifth of it.
const LONGEST_TEXT: i32 = 64 * 1024 * 1024;

/// More memory than this no yard needs, bytes: a file that asks for it is refused, not served.
const MOST_MEMORY: i64 = 512 * 1024 * 1024;

/// The work of reading a yard of someone else, in steps of SQLite's machine; the big yard takes less than a hundredth.
const MOST_STEPS: u64 = 5_000_000_000;
const STEPS_A_LOOK: i32 = 1_000_000;

/// Ends a query of someone else's file that would not end by itself.
pub(super) fn limit_work(conn: &mut Connection) -> rusqlite::Result<()> {
    let mut done = 0;
    conn.progress_handler(
        STEPS_A_LOOK,
        Some(move || {
            done += STEPS_A_LOOK as u64;
            done > MOST_STEPS
        }),
    )
}

fn settle(conn: &Connection) -> rusqlite::Result<()> {
    conn.set_limit(Limit::SQLITE_LIMIT_LENGTH, LONGEST_TEXT)?;
    conn.query_row(&format!("PRAGMA hard_heap_limit={MOST_MEMORY}"), [], |_| Ok(()))?;
    conn.busy_timeout(Duration::from_secs(5))?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    // Closing takes the log away by its name, which may be another file's by then: see `Store`'s end.
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
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
pub(super) fn guard(conn: &mut Connection, door: &Arc<AtomicBool>) -> rusqlite::Result<()> {
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
