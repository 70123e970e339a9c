//! A yard file from someone else: what it brings besides facts is refused before it is used.
//!
//! A trigger in a file runs at the next deed, a view in the place of a table answers as it likes, and an index can
//! call what it is told to. So the schema must be the one that the migrations make; the facts of a file with another
//! one can be taken out into a new file, as its journal tells them.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags};

use crate::domain::limit::{MOMENTS, limits};
use crate::domain::{TABLES, Table, Value};

use super::attachment::sha256_hex;
use super::backup;
use super::conflict;
use super::connection;
use super::door;
use super::error::StoreError;
use super::file::{self, Draft};
use super::merge;
use super::meta;
use super::migration::Migration;
use super::open::{self, NewYard, Store};
use super::replay::{self, Entry};
use super::schema;

/// Tables besides those of facts.
const OWN: [&str; 5] = ["journal_entry", "journal_line", "conflict", "meta", "kept_plan"];

/// What a schema holds: by kind and name, the text that made it.
type Schema = BTreeMap<(String, String), String>;

/// What the schemas of the formats come to, from the first on. Making one to compare with takes longer than all the
/// rest of opening; a format that is missing here is compared so.
const KNOWN: &[&str] = &[
    "73bafd13dfa453a8e75db99828c7e16499b2cc1f96fd7459ec8c8e85d6a5ce2d",
    "df1a453def89386152e6e429b56f834da0719a4d3effefdda159fc244e8a22a5",
    "5418ff347faa309ae7a746e536930c5d915ecabf9d2ee3513702e6ae3b859eb2",
    "595922435acb8a5e3453145daef6e9398f188e9048c5d8919a02050c52b26cae",
    "c8b5db13c31c5c3efce0408eec37d6e5c534097747b974c8736c99c9b26799b4",
    "1fbbc617dca613698c307ba974018de62d5f1539caee364adf4e034cb5e180bd",
    "b5fd059ebb9ad357585ffb33f1df94b38b1650e610adf05ad1dd54dcb57d4231",
    "43969829e9bfc5ae9b79f0eab20a3a6f43e6ee50f30e1aebc50783580d7ffddd",
];

/// Refuses a file whose schema is not that of these migrations.
pub(super) fn refuse_schema(
    conn: &Connection,
    path: &Path,
    migrations: &[Migration],
) -> Result<(), StoreError> {
    let found = schema_of(conn).map_err(|e| StoreError::of(e, path))?;
    if migrations.len().checked_sub(1).and_then(|at| KNOWN.get(at)) == Some(&told(&found).as_str()) {
        return Ok(());
    }
    let wanted = Connection::open_in_memory()
        .and_then(|own| {
            migrations.iter().try_for_each(|m| own.execute_batch(m.sql))?;
            schema_of(&own)
        })
        .map_err(StoreError::Sql)?;
    let what = found
        .iter()
        .find_map(|((kind, name), sql)| match wanted.get(&(kind.clone(), name.clone())) {
            None => Some(format!("it has the {kind} {name:?}")),
            Some(own) if own != sql => Some(format!("its {kind} {name:?} is another than this program's")),
            Some(_) => None,
        })
        .or_else(|| {
            let gone = wanted.keys().find(|key| !found.contains_key(*key))?;
            Some(format!("it has no {} {:?}", gone.0, gone.1))
        });
    match what {
        Some(what) => Err(StoreError::ForeignSchema { path: path.to_owned(), what }),
        None => Ok(()),
    }
}

/// Refuses a file where something else stands for a table that is read here. A newer program's file may hold more.
pub(super) fn refuse_disguise(conn: &Connection, path: &Path) -> Result<(), StoreError> {
    let found = schema_of(conn).map_err(|e| StoreError::of(e, path))?;
    let ours = |name: &str| OWN.contains(&name) || TABLES.iter().any(|t| t.name == name);
    for ((kind, name), sql) in &found {
        let plain = kind == "table" && sql.get(..13).is_some_and(|s| s.eq_ignore_ascii_case("CREATE TABLE "));
        if ours(name) && kind != "index" && !plain {
            let what = format!("its {name:?} is no table");
            return Err(StoreError::ForeignSchema { path: path.to_owned(), what });
        }
    }
    Ok(())
}

fn schema_of(conn: &Connection) -> rusqlite::Result<Schema> {
    // What SQLite makes for itself has no text, or is statistics that its owner had made.
    let mut select = conn.prepare(
        "SELECT type, name, sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite\\_stat%' ESCAPE '\\'",
    )?;
    let rows = select.query_map([], |row| Ok(((row.get(0)?, row.get(1)?), row.get(2)?)))?;
    rows.collect()
}

/// A schema as one short word.
fn told(schema: &Schema) -> String {
    let mut all = String::new();
    for ((kind, name), sql) in schema {
        for part in [kind, name, sql] {
            all.push_str(part);
            all.push('\0');
        }
    }
    sha256_hex(all.as_bytes())
}

/// When a row ended, in milliseconds from 1970.
pub(super) const ENDED: (i64, i64) = MOMENTS;

/// What is wrong with a value of a column, if anything is.
pub(super) fn out_of_range(table: &Table, column: &str, value: &Value) -> Option<String> {
    let Value::Int(n) = value else { return None };
    let (least, most) = match table.column(column) {
        Some(known) => limits(table, known),
        None => ENDED,
    };
    (!(least..=most).contains(n)).then(|| format!("{column} is {n}; it must be from {least} to {most}"))
}

/// Refuses entries of another file that no yard holds, before they get into this one.
pub(super) fn refuse_entry(path: &Path, entry: &Entry) -> Result<(), StoreError> {
    for line in &entry.lines {
        let wrong = |what: String| StoreError::Damaged {
            path: path.to_owned(),
            what: format!(
                "entry {} of {}, {} {}: {what}",
                entry.id.number, entry.id.device, line.table, line.id
            ),
        };
        let table = schema::table(&line.table).map_err(|e| wrong(e.to_string()))?;
        door::row_uuid(path, &line.id)?;
        for (column, value) in line.before.iter().flatten().chain(&line.after) {
            schema::column(table, column).map_err(|e| wrong(e.to_string()))?;
            if let Some(what) = out_of_range(table, column, value) {
                return Err(wrong(what));
            }
        }
    }
    Ok(())
}

impl Store {
    /// Makes a new yard file at `to` with the facts of `from`, whatever else that holds: as its journal tells them.
    /// What was at `to` is kept as the returned path.
    ///
    /// # Errors
    /// What can't be read of `from`; `InUse` where another program has `to` open. `to` is then as it was.
    pub fn take_out(from: &Path, to: &Path) -> Result<Option<PathBuf>, StoreError> {
        let to = &file::resolve(to);
        let theirs = Self::open_stranger(from)?;
        let mut entries = replay::entries(&theirs.conn, from)?;
        entries.iter().try_for_each(|entry| refuse_entry(from, entry))?;
        let draft = Draft::beside(to)?;
        let new = NewYard {
            yard_id: theirs.yard_id,
            device: theirs.device.clone(),
            clock_shift_ms: theirs.clock_shift_ms().unwrap_or_default(),
            demo: theirs.is_demo()?,
        };
        open::fill_new(draft.path(), &new)?;
        let sql = |error| StoreError::of(error, draft.path());
        let mut conn = connection::connect(draft.path(), OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        let tx = conn.transaction().map_err(sql)?;
        tx.pragma_update(None, "defer_foreign_keys", true).map_err(sql)?;
        for entry in &entries {
            merge::add(&tx, draft.path(), entry)?;
        }
        let told = replay::replay(&mut entries);
        replay::write_tables(&tx, draft.path(), told.rows)?;
        conflict::set(&tx, draft.path(), &told.overruled)?;
        meta::tell_apart(&tx, None).map_err(sql)?;
        tx.commit().map_err(sql)?;
        conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).map_err(sql)?;
        conn.close().map_err(|(_, error)| sql(error))?;
        backup::put_in_place(&draft, to, true)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::MIGRATIONS;

    /// A new migration needs its line: the one shown as missing.
    #[test]
    fn every_format_is_known_by_its_schema() {
        let conn = Connection::open_in_memory().unwrap();
        let mut made = Vec::new();
        for migration in MIGRATIONS {
            conn.execute_batch(migration.sql).unwrap();
            made.push(told(&schema_of(&conn).unwrap()));
        }
        assert_eq!(KNOWN, made);
    }
}
