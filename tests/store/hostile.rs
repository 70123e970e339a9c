//! A yard file from someone else: what is not facts in it is refused before it does anything.

use std::fs;
use std::path::PathBuf;

use ladderday::domain::{RowChange, Value};
use ladderday::store::Store;
use tempfile::TempDir;

use super::{deed, file_in, id, names, place, raw, yard};

/// A yard of three places with `sql` done to it behind the program's back.
fn spoiled(sql: &str) -> (TempDir, PathBuf) {
    let (folder, mut store) = yard();
    store.apply(&deed("Added", 1, (1..=3).map(|n| place(n, "porch")).collect())).unwrap();
    drop(store);
    let path = file_in(&folder, "y.ladderday");
    let conn = raw(&path);
    conn.execute_batch(
        "PRAGMA writable_schema = ON; PRAGMA ignore_check_constraints = ON; PRAGMA foreign_keys = OFF;",
    )
    .unwrap();
    conn.execute_batch(sql).unwrap();
    drop(conn);
    (folder, path)
}

const FOREIGN: &[&str] = &[
    "CREATE TRIGGER helpful AFTER INSERT ON journal_entry BEGIN DELETE FROM place; END",
    "CREATE TRIGGER helpful AFTER UPDATE ON meta BEGIN SELECT 1; END",
    "CREATE VIEW endless AS WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n) SELECT * FROM n",
    "CREATE INDEX slow ON place (hex(zeroblob(1000000)))",
    "CREATE TABLE notes (x)",
    // Written as it would be by a program that has such a module.
    "INSERT INTO sqlite_schema (type, name, tbl_name, rootpage, sql) \
     VALUES ('table', 'words', 'words', 0, 'CREATE VIRTUAL TABLE words USING fts5(x)')",
    "ALTER TABLE place ADD COLUMN heavy TEXT AS (hex(zeroblob(100)))",
    "DROP INDEX tick_step",
    "DROP TABLE fall_line; CREATE VIEW fall_line AS SELECT * FROM place",
    "UPDATE sqlite_schema SET sql = replace(sql, 'CHECK (height_mm >= 0)', '') WHERE name = 'place'",
];

#[test]
fn what_is_not_ours_is_refused_and_the_file_left_alone() {
    for sql in FOREIGN {
        let (folder, path) = spoiled(sql);
        let bytes = fs::read(&path).unwrap();
        let error = Store::open(&path).unwrap_err();
        assert_eq!(error.code(), "foreign-schema", "{sql}: {error}");
        assert!(error.remedy().contains("--facts-only"));
        let mut ours = super::yard().1;
        assert_eq!(ours.merge(&path).unwrap_err().code(), "foreign-schema", "{sql}");
        let to = file_in(&folder, "restored.ladderday");
        assert_eq!(Store::restore(&path, &to, None).unwrap_err().code(), "foreign-schema", "{sql}");
        assert!(!to.exists());
        assert!(fs::read(&path).unwrap() == bytes, "{sql}: left as it is");
    }
}

#[test]
fn its_facts_can_be_taken_out() {
    for sql in FOREIGN.iter().filter(|sql| !sql.contains("fall_line")) {
        let (folder, path) = spoiled(sql);
        let to = file_in(&folder, "new.ladderday");
        Store::take_out(&path, &to).unwrap();
        let mut store = Store::open(&to).unwrap();
        assert_eq!(names(&store), ["porch", "porch", "porch"], "{sql}");
        store.apply(&deed("Added", 2, vec![place(4, "lawn")])).unwrap();
        assert_eq!(names(&store).len(), 4, "{sql}");
        assert_eq!(store.verify().unwrap(), [], "{sql}");
    }
}

/// A view in the place of a table is not even read.
#[test]
fn a_view_in_the_place_of_a_table_is_refused_everywhere() {
    let (folder, path) = spoiled(
        "DROP TABLE fall_line; CREATE VIEW fall_line AS SELECT * FROM place; PRAGMA user_version = 99",
    );
    assert_eq!(Store::open(&path).unwrap_err().code(), "foreign-schema");
    assert_eq!(Store::take_out(&path, &file_in(&folder, "n")).unwrap_err().code(), "foreign-schema");
}

#[test]
fn numbers_that_no_yard_holds_are_refused_at_the_door_and_when_read() {
    for (column, n) in [
        ("height_mm", i64::MAX),
        ("height_mm", -1),
        ("map_x_mm", i64::MIN),
        ("ended_at", i64::MIN),
        ("ended_at", i64::MAX),
    ] {
        let (_folder, mut store) = yard();
        store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
        let row = RowChange::new("place", id(1), vec![(column, Value::Int(n))]);
        let error = store.apply(&deed("Set", 2, vec![row])).unwrap_err();
        assert_eq!(error.code(), "refused", "{column} = {n}");
        assert!(error.to_string().contains(&n.to_string()), "{error}");
        let (folder, path) = spoiled(&format!("UPDATE place SET {column} = {n}"));
        let error = Store::open(&path).unwrap().load_whole_yard().unwrap_err();
        assert_eq!(error.code(), "damaged", "{column} = {n}: {error}");
        // In the journal, too: it must not get in by a merge.
        let (_other, path) =
            spoiled(&format!("UPDATE journal_line SET after = json_set(after, '$.{column}', {n})"));
        assert_eq!(store.merge(&path).unwrap_err().code(), "damaged", "{column} = {n}");
        assert_eq!(names(&store), ["porch"]);
        drop(folder);
    }
}

#[test]
fn a_clock_that_is_shifted_out_of_all_time_is_refused() {
    for shift in ["9223372036854775807", "-9223372036854775808", "99999999999999", "soon", ""] {
        let (_folder, path) = spoiled(&format!("INSERT INTO meta VALUES ('clock_shift', '{shift}')"));
        assert_eq!(Store::open(&path).unwrap().clock_shift_ms().unwrap_err().code(), "damaged", "{shift}");
    }
}

/// What the owner's own SQLite shell leaves for itself is no harm.
#[test]
fn statistics_are_no_foreign_part() {
    let (_folder, path) = spoiled("ANALYZE");
    assert_eq!(names(&Store::open(&path).unwrap()).len(), 3);
}
