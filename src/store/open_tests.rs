//! What opening promises, looked at from inside.

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
    let new =
        NewYard { yard_id: Uuid::from_u128(7), device: "A".to_owned(), clock_shift_ms: None, demo: false };
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

/// The last changes are in the log, and nothing can be written beside it.
#[test]
fn a_log_on_a_read_only_medium_is_read_with_its_file() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = yard(folder.path());
    let rows = |n: u128| {
        crate::domain::RowChange::new(
            "person",
            Uuid::from_u128(n),
            vec![
                ("code", crate::domain::Value::Text(n.to_string())),
                ("name", crate::domain::Value::Text("Ann".to_owned())),
            ],
        )
    };
    let deed = crate::domain::Deed {
        verb: "test",
        what: "Added".to_owned(),
        at_ms: 1,
        rows: (1..300).map(rows).collect(),
    };
    store.apply(&deed).unwrap();
    let there = folder.path().join("there");
    fs::create_dir(&there).unwrap();
    let path = there.join("y.ladderday");
    for end in ["", "-wal"] {
        fs::copy(file::beside_exact(&store.path, end), file::beside_exact(&path, end)).unwrap();
    }
    let conn = connect_immutable(&path).unwrap();
    let read = Store::finish(conn, &path, Mode::ReadOnlyMedium).unwrap();
    assert_eq!(read.load_yard().unwrap().people.len(), 299);
    assert_eq!(read.verify().unwrap(), []);
    drop(read);
    let names: Vec<_> = fs::read_dir(&there).unwrap().map(|f| f.unwrap().file_name()).collect();
    assert_eq!(names.len(), 2, "nothing is left beside it: {names:?}");
}

const NEXT: Migration = Migration { name: "9999_next.sql", sql: "ALTER TABLE place ADD COLUMN next TEXT;" };

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
