//! Whether the file is whole, and whether its facts are those that its journal tells.

use super::attachment;
use super::error::StoreError;
use super::open::Store;
use super::replay;

/// Something about the file that is not as it should be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// `integrity`, `reference`, `journal` or `attachment`.
    pub code: &'static str,
    pub what: String,
    pub remedy: &'static str,
}

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
            replay::write_tables(conn, &path, &told)
        })
    }
}
