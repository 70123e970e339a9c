//! Whether the file is whole, and whether its facts are those that its journal tells.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use rusqlite::OpenFlags;

use super::attachment;
use super::backup;
use super::connection::{connect, connect_immutable};
use super::error::StoreError;
use super::open::{Mode, Store};
use super::replay;

/// Something about the file that is not as it should be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// `integrity`, `reference`, `journal` or `attachment`.
    pub code: &'static str,
    pub what: String,
    pub remedy: &'static str,
}

/// After so many steps of SQLite's machine it is asked whether to go on.
const STEPS: i32 = 1000;

const FROM_BACKUP: &str = "bring back a backup with `ladderday restore`";
const REBUILD: &str = "set the facts as the journal tells them with `ladderday verify --rebuild`";

impl Store {
    /// Looks every page over: what follows may trust what it reads.
    ///
    /// # Errors
    /// `Damaged` names the first fault found.
    pub fn check_pages(&self) -> Result<(), StoreError> {
        let said: String = self
            .conn
            .query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))
            .map_err(|e| StoreError::of(e, &self.path))?;
        if said == "ok" {
            return Ok(());
        }
        Err(StoreError::Damaged { path: self.path.clone(), what: said })
    }

    /// Whether the file was not closed cleanly before, or another program had it open, when it was opened.
    pub fn was_left_open(&self) -> bool {
        self.left_open
    }

    /// What looks pages and references over on a connection of its own, so that it can run beside the work; it ends
    /// early, and finds nothing, once it is told to stop.
    ///
    /// # Errors
    /// Of what it returns: `Damaged` names the first fault found.
    pub fn look_over(&self) -> impl FnOnce(&Arc<AtomicBool>) -> Result<(), StoreError> + Send + use<> {
        let (path, mode) = (self.path.clone(), self.mode.clone());
        move |stop| look_over(path, &mode, stop)
    }

    /// Takes in that a fault was found in the file: from now on it is only read.
    pub fn distrust(&mut self, what: &str) {
        self.mode = Mode::Damaged { what: what.to_owned() };
    }

    /// Looks at everything: pages, references, facts against the journal, hashes of attachments.
    pub fn verify(&self) -> Result<Vec<Finding>, StoreError> {
        let sql = |error| self.sql(error);
        let tx = self.conn.unchecked_transaction().map_err(sql)?;
        let mut findings = Vec::new();
        let mut find = |code, what, remedy| findings.push(Finding { code, what, remedy });
        let mut check = tx.prepare("PRAGMA integrity_check").map_err(sql)?;
        for said in check.query_map([], |row| row.get::<_, String>(0)).map_err(sql)? {
            let said = said.map_err(sql)?;
            if said != "ok" {
                find("integrity", said, FROM_BACKUP);
            }
        }
        let mut check = tx.prepare("PRAGMA foreign_key_check").map_err(sql)?;
        let broken = check.query_map([], |row| Ok((row.get::<_, String>(0)?, row.get::<_, String>(2)?)));
        for pair in broken.map_err(sql)? {
            let (table, to) = pair.map_err(sql)?;
            find("reference", format!("a row of {table} refers to a row of {to} that is not there"), REBUILD);
        }
        let mut told = replay::replay(&mut replay::entries(&tx, &self.path)?).rows;
        replay::complete(&tx, &self.path, &mut told)?;
        let stands = replay::standing(&tx, &self.path)?;
        for ((table, id), row) in &stands {
            match told.get(&(table.clone(), id.clone())) {
                None => find("journal", format!("{table} {id} is not in the journal"), REBUILD),
                Some(other) => {
                    for (column, value) in row.iter().filter(|(c, v)| other.get(*c) != Some(v)) {
                        let tells = other.get(column);
                        let what =
                            format!("{table} {id}: {column} is {value:?}, the journal tells {tells:?}");
                        find("journal", what, REBUILD);
                    }
                }
            }
        }
        for (table, id) in told.keys().filter(|key| !stands.contains_key(*key)) {
            find("journal", format!("{table} {id} is in the journal and not in the yard"), REBUILD);
        }
        let mut select = tx.prepare("SELECT name, sha256, bytes FROM attachment").map_err(sql)?;
        let files = select
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))
            .map_err(sql)?
            .collect::<Result<Vec<(String, String, String)>, _>>()
            .map_err(sql)?;
        for (name, hash, bytes) in files {
            if attachment::hash_of(&bytes).as_deref() != Some(hash.as_str()) {
                find("attachment", format!("the attachment {name:?} is not what was attached"), FROM_BACKUP);
            }
        }
        Ok(findings)
    }

    /// Sets the fact tables as the journal tells them.
    pub fn rebuild(&mut self) -> Result<(), StoreError> {
        let path = self.path.clone();
        self.write(|conn| {
            let told = replay::replay(&mut replay::entries(conn, &path)?).rows;
            replay::write_tables(conn, &path, told)
        })
    }
}

fn look_over(path: PathBuf, mode: &Mode, stop: &Arc<AtomicBool>) -> Result<(), StoreError> {
    let mut conn = match mode {
        Mode::ReadOnlyMedium => connect_immutable(&path)?,
        _ => connect(&path, OpenFlags::SQLITE_OPEN_READ_ONLY).or_else(|_| connect_immutable(&path))?,
    };
    let asked = Arc::clone(stop);
    conn.progress_handler(STEPS, Some(move || asked.load(Ordering::Relaxed)))
        .map_err(|e| StoreError::of(e, &path))?;
    match backup::first_fault(&conn) {
        Ok(None) => Ok(()),
        Ok(Some(what)) => Err(StoreError::Damaged { path, what }),
        Err(_) if stop.load(Ordering::Relaxed) => Ok(()),
        Err(error) => Err(StoreError::of(error, &path)),
    }
}
