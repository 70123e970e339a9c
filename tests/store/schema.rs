//! The tables: as the domain declares them, as they were released, never edited.

use std::fs;

use ladderday::domain::{CellKind, TABLES};
use ladderday::store::{MIGRATIONS, SCHEMA_VERSION, Store};

use super::{file_in, names, raw, yard};

#[test]
fn every_migration_in_the_folder_is_in_the_list() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/migrations");
    let mut files: Vec<_> =
        fs::read_dir(folder).unwrap().map(|f| f.unwrap().file_name().into_string().unwrap()).collect();
    files.sort();
    assert_eq!(files, MIGRATIONS.iter().map(|m| m.name).collect::<Vec<_>>());
    for (n, migration) in (1..).zip(MIGRATIONS) {
        assert!(migration.name.starts_with(&format!("{n:04}_")), "{}", migration.name);
    }
    assert_eq!(SCHEMA_VERSION as usize, MIGRATIONS.len());
}

/// The schema of a released format never changes: if this fails, write the next migration instead.
#[test]
fn the_schema_is_the_one_on_record() {
    let (folder, store) = yard();
    drop(store);
    let conn = raw(&file_in(&folder, "y.ladderday"));
    let mut select = conn
        .prepare("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' ORDER BY type, name")
        .unwrap();
    let all: Vec<String> = select.query_map([], |row| row.get(0)).unwrap().map(Result::unwrap).collect();
    let told = all.join(";\n\n") + ";\n";
    let record =
        format!("{}/tests/fixtures/store/schema_{SCHEMA_VERSION:04}.sql", env!("CARGO_MANIFEST_DIR"));
    let known = fs::read_to_string(&record).unwrap_or_default();
    let differs = told.lines().zip(known.lines()).find(|(a, b)| a != b);
    assert!(told == known, "{record}: the migrations make another schema, first {differs:?}");
}

#[test]
fn the_domain_and_the_tables_agree() {
    let (folder, store) = yard();
    drop(store);
    let conn = raw(&file_in(&folder, "y.ladderday"));
    let mut tables: Vec<String> = conn
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'table'")
        .unwrap()
        .query_map([], |row| row.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    tables.retain(|t| {
        !["journal_entry", "journal_line", "conflict", "meta", "kept_plan"].contains(&t.as_str())
    });
    tables.sort();
    let mut declared: Vec<_> = TABLES.iter().map(|t| t.name.to_owned()).collect();
    declared.sort();
    assert_eq!(tables, declared);
    for table in TABLES {
        let mut info = conn
            .prepare("SELECT name, type, \"notnull\", dflt_value FROM pragma_table_info(?1) ORDER BY cid")
            .unwrap();
        let sql: Vec<(String, String, bool, Option<String>)> = info
            .query_map([table.name], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?)))
            .unwrap()
            .map(Result::unwrap)
            .collect();
        let names: Vec<_> = sql.iter().map(|c| c.0.as_str()).collect();
        let mut wanted = vec!["id", "ended_at"];
        wanted.extend(table.columns.iter().map(|c| c.name));
        assert_eq!(names, wanted, "{}", table.name);
        for (column, (_, kind, not_null, default)) in table.columns.iter().zip(sql.iter().skip(2)) {
            let at = format!("{}.{}", table.name, column.name);
            assert_eq!(column.optional, !not_null, "{at}");
            let whole = !matches!(
                column.kind,
                CellKind::Text
                    | CellKind::Words
                    | CellKind::Choice(_)
                    | CellKind::Refers(_)
                    | CellKind::Gauge
                    | CellKind::Date
                    | CellKind::LocalTime
            );
            assert_eq!(kind, if whole { "INTEGER" } else { "TEXT" }, "{at}");
            // The journal leaves out what is empty, so nothing may turn empty into a value.
            assert!(default.is_none() || *not_null, "{at} may be empty and has a default");
        }
        let mut keys = conn.prepare("SELECT \"from\", \"table\" FROM pragma_foreign_key_list(?1)").unwrap();
        let mut sql: Vec<(String, String)> = keys
            .query_map([table.name], |row| Ok((row.get(0)?, row.get(1)?)))
            .unwrap()
            .map(Result::unwrap)
            .collect();
        sql.sort();
        let mut declared: Vec<_> = table
            .columns
            .iter()
            .filter_map(|c| match c.kind {
                CellKind::Refers(to) => Some((c.name.to_owned(), to.to_owned())),
                _ => None,
            })
            .collect();
        declared.sort();
        assert_eq!(sql, declared, "{}", table.name);
    }
}

/// A filled file of every released format opens, and is whole.
#[test]
fn a_filled_yard_of_format_1_opens() {
    let folder = tempfile::tempdir().unwrap();
    let path = file_in(&folder, "old.ladderday");
    let filled = format!("{}/tests/fixtures/store/filled_0001.sql", env!("CARGO_MANIFEST_DIR"));
    raw(&path).execute_batch(&fs::read_to_string(filled).unwrap()).unwrap();
    let store = Store::open(&path).unwrap();
    assert_eq!(names(&store), ["Gable", "Lawn, left", "front porch", "Yard"]);
    let yard = store.load_yard().unwrap();
    assert_eq!((yard.ticks.len(), yard.needs.len(), yard.links.len()), (4, 0, 2));
    assert!(yard.meter_readings.is_empty() && yard.links.iter().all(|l| l.minus_joined.is_none()));
    assert_eq!(store.history(9).unwrap().len(), 6);
    assert_eq!(store.load_kept_plan().unwrap().len(), 1);
    let mode: String = raw(&path).query_row("PRAGMA journal_mode", [], |row| row.get(0)).unwrap();
    assert_eq!(mode, "wal");
    assert_eq!(store.verify().unwrap(), []);
}
