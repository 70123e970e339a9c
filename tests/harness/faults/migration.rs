//! A migration while calls fail.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use ladderday::store::{MIGRATIONS, SCHEMA_VERSION, Store};
use rusqlite::Connection;

use crate::strace::{Fault, counts, run};

const FILLED: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/store/filled_0001.sql");
/// Calls that may fail; a kill comes at every call there is.
const CALLS: [&str; 13] = [
    "pwrite64",
    "write",
    "fsync",
    "fdatasync",
    "ftruncate",
    "openat",
    "unlink",
    "mkdir",
    "link",
    "linkat",
    "rename",
    "pread64",
    "statx",
];

/// All that is in a file, as text.
type Content = Vec<String>;

pub fn each_call(folder: &Path) -> bool {
    let known = formats(folder);
    let first = work(folder);
    let unharmed = run(folder, &["--open", &first.display().to_string()], None);
    let counted = counts(&unharmed.log);
    let mut faults: Vec<(String, usize, &str)> = Vec::new();
    for (call, n) in counted.iter().filter(|c| c.0 != "execve") {
        faults.extend((1..=*n).map(|n| (call.clone(), n, "KILL")));
    }
    for call in CALLS {
        for how in ["EIO", "ENOSPC"] {
            let n = counted.get(call).copied().unwrap_or(0);
            faults.extend((1..=n).map(|n| (call.to_owned(), n, how)));
        }
    }
    let (mut hit, mut between, mut without_backup, mut bad_backups, mut not_after) = (0, 0, 0, 0, 0);
    let mut left_at: BTreeMap<usize, usize> = BTreeMap::new();
    let mut refused: BTreeMap<String, usize> = BTreeMap::new();
    for (call, n, how) in &faults {
        let yard = work(folder);
        let ran = run(
            folder,
            &["--open", &yard.display().to_string()],
            Some(&Fault { call, n: *n, on: false, how }),
        );
        hit += usize::from(ran.hit);
        for (code, _) in ran.refused {
            *refused.entry(code).or_default() += 1;
        }
        let harm = (between, without_backup, bad_backups, not_after);
        let found = content(&yard);
        let at = known.iter().position(|k| Some(k) == found.as_ref());
        match at {
            Some(at) => *left_at.entry(at + 1).or_default() += 1,
            None => between += 1,
        }
        let backups = backups(&yard);
        // Tried again after a fault, it may have been half way up already: then that is backed up too.
        let held: Vec<_> = backups.iter().map(|b| content(b)).collect();
        without_backup += usize::from(at != Some(0) && !held.iter().any(|h| h.as_ref() == known.first()));
        bad_backups += held.iter().filter(|h| h.as_ref().is_none_or(|h| !known.contains(h))).count();
        let after = Store::open(&yard).is_ok_and(|s| s.verify().unwrap().is_empty());
        not_after += usize::from(!after || content(&yard).as_ref() != known.last());
        if harm != (between, without_backup, bad_backups, not_after) {
            eprintln!("# {call} {n} {how} did harm");
        }
    }
    // The backup itself is a yard file like any.
    let last = work(folder);
    drop(Store::open(&last).unwrap());
    let opens =
        backups(&last).first().is_some_and(|b| Store::open(b).is_ok_and(|s| s.verify().unwrap().is_empty()));
    println!(
        "migration: {hit} faults of {} met, {between} between formats, {without_backup} without a backup, {bad_backups} \
         backups not whole, {not_after} not up to date afterwards; left at format {left_at:?}; the backup opens: \
         {opens}; refusals {refused:?}",
        faults.len()
    );
    let last_format = known.len() == SCHEMA_VERSION as usize && left_at.len() >= 2;
    hit > 0 && opens && last_format && between + without_backup + bad_backups + not_after == 0
}

/// A fresh file of format 1, in WAL mode as the program keeps it.
pub fn work(folder: &Path) -> PathBuf {
    let template = folder.join("format-1.ladderday");
    if !template.exists() {
        let conn = Connection::open(&template).unwrap();
        conn.execute_batch(&fs::read_to_string(FILLED).unwrap()).unwrap();
        conn.query_row("PRAGMA journal_mode=WAL", [], |_| Ok(())).unwrap();
    }
    let work = folder.join("work");
    let _ = fs::remove_dir_all(&work);
    fs::create_dir_all(&work).unwrap();
    fs::copy(&template, work.join("y.ladderday")).unwrap();
    work.join("y.ladderday")
}

/// What a whole file of each format holds, from the first on.
fn formats(folder: &Path) -> Vec<Content> {
    let mut known = vec![content(&work(folder)).unwrap()];
    for (version, migration) in (1..).zip(MIGRATIONS).skip(1) {
        let yard = folder.join("work/y.ladderday");
        let conn = Connection::open(&yard).unwrap();
        conn.execute_batch(migration.sql).unwrap();
        conn.pragma_update(None, "user_version", version).unwrap();
        drop(conn);
        known.push(content(&yard).unwrap());
    }
    known
}

fn backups(yard: &Path) -> Vec<PathBuf> {
    let Ok(inside) = fs::read_dir(yard.parent().unwrap().join("backups")) else { return Vec::new() };
    inside.map(|f| f.unwrap().path()).filter(|p| p.extension().is_some_and(|e| e == "backup")).collect()
}

/// Format, schema and every row; nothing where the file is not whole.
fn content(path: &Path) -> Option<Content> {
    let conn = Connection::open(path).ok()?;
    let whole: String = conn.query_row("PRAGMA integrity_check", [], |row| row.get(0)).ok()?;
    if whole != "ok" {
        return None;
    }
    let version: i64 = conn.query_row("PRAGMA user_version", [], |row| row.get(0)).ok()?;
    let mut out = vec![format!("format {version}")];
    let mut schema = conn.prepare("SELECT name, type, sql FROM sqlite_schema ORDER BY type, name").ok()?;
    let things: Vec<(String, String, Option<String>)> = schema
        .query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))
        .ok()?
        .collect::<Result<_, _>>()
        .ok()?;
    for (name, kind, sql) in things {
        if kind == "table" {
            let mut select = conn.prepare(&format!("SELECT * FROM {name}")).ok()?;
            let columns = select.column_count();
            let rows = select
                .query_map([], |row| {
                    (0..columns)
                        .map(|c| row.get::<_, rusqlite::types::Value>(c))
                        .collect::<Result<Vec<_>, _>>()
                })
                .ok()?;
            for row in rows {
                let row = format!("{name} {:?}", row.ok()?);
                // What tells a copy apart from the file it was copied from is another on each.
                if !["writer\"", "earlier_writers", "lent"]
                    .iter()
                    .any(|key| row.starts_with(&format!("meta [Text(\"{key}")))
                {
                    out.push(row);
                }
            }
        }
        out.push(format!("{name} {sql:?}"));
    }
    Some(out)
}
