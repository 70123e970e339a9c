//! Why the yard file could not do what was asked.

use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;
use thiserror::Error;
use uuid::Uuid;

use crate::domain::CellFault;
use crate::units::figure;

const SQLITE_IOERR_SHMSIZE: i32 = 0x130A;

/// What went wrong with the yard file; each has a stable code and a remedy.
#[derive(Debug, Error)]
pub enum StoreError {
    #[error("there is no yard file at {}", .0.display())]
    NoYard(PathBuf),
    #[error("{} is not a yard file: {why}", path.display())]
    NotAYard { path: PathBuf, why: &'static str },
    #[error("the yard file {} is damaged: {what}", path.display())]
    Damaged { path: PathBuf, what: String },
    #[error("the yard file {} holds what this program did not put there: {what}", path.display())]
    ForeignSchema { path: PathBuf, what: String },
    #[error("{} is there already", .0.display())]
    Exists(PathBuf),
    #[error(
        "the yard file {} has format {file}, this program writes format {program}: it can be read, not changed",
        path.display()
    )]
    Newer { path: PathBuf, file: u32, program: u32 },
    #[error("the yard file {} lies where nothing can be written, or no room is left: it can be read, not changed", .0.display())]
    ReadOnly(PathBuf),
    #[error("SQLite {0} can damage a file in WAL mode; 3.51.3 or later is needed")]
    OldSqlite(String),
    #[error("another program has the yard file {} open", .0.display())]
    InUse(PathBuf),
    #[error("{} is the yard file itself", .0.display())]
    SameFile(PathBuf),
    #[error("the yard file {} was swapped while it was open: {now}; {}", path.display(), kept_as(kept))]
    Swapped { path: PathBuf, now: &'static str, kept: Result<PathBuf, String> },
    #[error("another program has been writing to the yard file for more than five seconds")]
    Busy,
    #[error(
        "there is too little room in {}: {} are needed, {} could be written",
        folder.display(), megabytes(*needed), megabytes(*found)
    )]
    LittleRoom { folder: PathBuf, needed: u64, found: u64 },
    #[error("the disk failed: {what}")]
    Disk { what: String },
    #[error("the disk is full: {what}")]
    Full { what: String },
    #[error("{} could not be {what}: {}", path.display(), io_words(source))]
    File { path: PathBuf, what: &'static str, source: std::io::Error },
    #[error("{table} has no column {column:?}")]
    NoColumn { table: String, column: String },
    #[error("there is no table {0:?}")]
    NoTable(String),
    #[error("{table} has no row {id}")]
    NoRow { table: &'static str, id: Uuid },
    #[error("{table} {id}: {column} refers to {value}, which is not in the yard")]
    Refers { table: String, id: String, column: String, value: String },
    #[error("{table} {id} is refused: {what}")]
    Refused { table: String, id: String, what: String },
    #[error("the yard's migration to format {version} failed: {what}; the file is as it was")]
    Migration { version: u32, what: String },
    #[error("{} belongs to another yard", .0.display())]
    OtherYard(PathBuf),
    #[error("the mark {mark:?} {why}")]
    Mark { mark: String, why: &'static str },
    #[error("the yard file could not be used: {0}")]
    Sql(rusqlite::Error),
}

impl StoreError {
    /// A stable word for scripts and tests.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NoYard(_) => "no-yard",
            Self::NotAYard { .. } => "not-a-yard",
            Self::Damaged { .. } => "damaged",
            Self::ForeignSchema { .. } => "foreign-schema",
            Self::Exists(_) => "exists",
            Self::Newer { .. } => "newer",
            Self::ReadOnly(_) => "read-only",
            Self::OldSqlite(_) => "old-sqlite",
            Self::InUse(_) => "in-use",
            Self::SameFile(_) => "same-file",
            Self::Swapped { .. } => "swapped",
            Self::Busy => "busy",
            Self::LittleRoom { .. } => "little-room",
            Self::Disk { .. } => "disk-failed",
            Self::Full { .. } => "disk-full",
            Self::File { .. } => "file",
            Self::NoColumn { .. } => "no-column",
            Self::NoTable(_) => "no-table",
            Self::NoRow { .. } => "no-row",
            Self::Refers { .. } => "refers-to-nothing",
            Self::Refused { .. } => "refused",
            Self::Migration { .. } => "migration",
            Self::OtherYard(_) => "other-yard",
            Self::Mark { .. } => "mark",
            Self::Sql(_) => "sql",
        }
    }

    /// What the owner can do.
    pub const fn remedy(&self) -> &'static str {
        match self {
            Self::NoYard(_) => "make one with `ladderday new`, or name another with `--yard FILE`",
            Self::NotAYard { .. } => "name the yard file with `--yard FILE`; this file was left as it is",
            Self::Damaged { .. } => {
                "bring back a backup with `ladderday restore`; this file was left as it is"
            }
            Self::ForeignSchema { .. } => {
                "it was left as it is; take its facts out into a new file with `ladderday --yard NEW-FILE restore --facts-only FILE`"
            }
            Self::Exists(_) => "choose another name",
            Self::Newer { .. } => "use the newer ladderday that wrote it",
            Self::ReadOnly(_) => {
                "make room on that disk if it is full, or copy the file to one that can be written to"
            }
            Self::OldSqlite(_) => "build ladderday with its own SQLite",
            Self::InUse(_) => "close the other program, then do it again; nothing was touched",
            Self::SameFile(_) => "name another file",
            Self::Swapped { kept: Ok(_), .. } => {
                "leave the program and start it again, then bring the kept file in with `ladderday merge FILE`; nothing is written meanwhile"
            }
            Self::Swapped { .. } => {
                "leave the screens open, make room or mend the folder, and `backup` elsewhere; nothing is written meanwhile"
            }
            Self::Busy => "close the other program, then do it again",
            Self::Full { .. } => "make room on the disk, then do it again; nothing that was saved is lost",
            Self::LittleRoom { .. } => {
                "make room on that disk, then open the yard again; it is brought up to date only after a backup, and is as it was"
            }
            Self::Disk { .. } => {
                "see whether the disk is full or failing, then do it again; nothing that was saved is lost"
            }
            Self::File { .. } => "look at the folder's permissions and the disk",
            Self::NoColumn { .. } | Self::NoTable(_) => {
                "this is a mistake in ladderday: please tell its makers"
            }
            Self::NoRow { .. } | Self::Refers { .. } => "add the row that is referred to first",
            Self::Refused { .. } => "correct the value",
            Self::Migration { .. } => "the backup beside the file opens with the earlier ladderday",
            Self::OtherYard(_) => "merge only copies of the same yard",
            Self::Mark { .. } => "leave it out: the copy then gets the next free one",
            Self::Sql(_) => "run `ladderday verify`",
        }
    }

    /// Whether what was given is refused (exit code 4), not the file unusable (3).
    pub const fn is_about_data(&self) -> bool {
        matches!(
            self,
            Self::NoColumn { .. }
                | Self::NoTable(_)
                | Self::NoRow { .. }
                | Self::Refers { .. }
                | Self::Refused { .. }
                | Self::Mark { .. }
        )
    }

    /// Names what SQLite reports.
    pub(super) fn of(error: rusqlite::Error, path: &Path) -> Self {
        let what = error.to_string();
        // The index of the log could not be made as large as it must be.
        if error.sqlite_error().is_some_and(|e| e.extended_code == SQLITE_IOERR_SHMSIZE) {
            return Self::Full { what };
        }
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseCorrupt) => Self::Damaged { path: path.to_owned(), what },
            Some(ErrorCode::OperationInterrupted | ErrorCode::OutOfMemory) => Self::Damaged {
                path: path.to_owned(),
                what: format!("reading it takes more than any yard does ({what})"),
            },
            Some(ErrorCode::NotADatabase) => {
                Self::NotAYard { path: path.to_owned(), why: "it is no database" }
            }
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            Some(ErrorCode::SystemIoFailure) => Self::Disk { what },
            Some(ErrorCode::DiskFull) => Self::Full { what },
            Some(ErrorCode::ReadOnly) => Self::ReadOnly(path.to_owned()),
            _ => Self::Sql(error),
        }
    }

    pub(super) fn of_cell(path: &Path, table: &str, fault: &CellFault) -> Self {
        let what = format!("{table}.{}: {:?} is no {}", fault.column, fault.value, fault.wanted);
        Self::Damaged { path: path.to_owned(), what }
    }

    pub(super) fn file(path: &Path, what: &'static str) -> impl FnOnce(std::io::Error) -> Self {
        move |source| {
            if source.kind() == std::io::ErrorKind::StorageFull {
                Self::Full { what: format!("{} could not be {what}", path.display()) }
            } else {
                Self::File { path: path.to_owned(), what, source }
            }
        }
    }
}

/// What the system refused, without its numbers.
pub fn io_words(error: &std::io::Error) -> String {
    use std::io::ErrorKind as Kind;
    match error.kind() {
        Kind::NotFound => "it is not there".to_owned(),
        Kind::PermissionDenied => "that is not allowed".to_owned(),
        Kind::InvalidData => "it is no text".to_owned(),
        Kind::IsADirectory => "it is a folder".to_owned(),
        Kind::NotADirectory => "a part of its path is no folder".to_owned(),
        _ => {
            let said = error.to_string();
            said.split(" (os error").next().unwrap_or_default().to_lowercase()
        }
    }
}

fn kept_as(kept: &Result<PathBuf, String>) -> String {
    match kept {
        Ok(path) => format!("what this program had is kept as {}", path.display()),
        Err(why) => format!("what this program had could not be kept beside it: {why}"),
    }
}

/// A size as people read it.
fn megabytes(bytes: u64) -> String {
    format!("{} MB", figure(bytes as f64 / 1e6, 1))
}
