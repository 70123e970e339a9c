//! The one door: all or nothing, one entry a deed, none where nothing changes.

use ladderday::domain::KeptStep;
use ladderday::domain::{RowChange, Value};
use ladderday::store::{Applied, Store};

use super::{deed, file_in, id, names, place, rename, yard};

#[test]
fn a_deed_is_kept_with_its_entry() {
    let (folder, mut store) = yard();
    let done = store.apply(&deed("Added the porch", 1_000, vec![place(1, "porch")])).unwrap();
    assert_eq!(done.entry().map(|e| (e.device.as_str(), e.number)), Some(("A", 1)));
    drop(store);
    let store = Store::open(&file_in(&folder, "y.ladderday")).unwrap();
    assert_eq!(names(&store), ["porch"]);
    let last = store.last_deed().unwrap().unwrap();
    assert_eq!((last.at_ms, last.what.as_str()), (1_000, "Added the porch"));
    assert_eq!(store.verify().unwrap(), []);
}

#[test]
fn a_folded_log_is_in_the_file() {
    let (folder, mut store) = yard();
    store.apply(&deed("Added the porch", 1_000, vec![place(1, "porch")])).unwrap();
    store.fold_log().unwrap();
    // The file alone, without its log.
    let copy = file_in(&folder, "copy.ladderday");
    std::fs::copy(store.path(), &copy).unwrap();
    assert_eq!(names(&Store::open(&copy).unwrap()), ["porch"]);
}

#[test]
fn what_changes_nothing_writes_nothing() {
    let (_folder, mut store) = yard();
    store.apply(&deed("Added", 1, vec![place(1, "porch"), place(2, "lawn")])).unwrap();
    assert_eq!(
        store.apply(&deed("Again", 2, vec![place(1, "porch"), place(2, "lawn")])).unwrap(),
        Applied::Nothing
    );
    assert_eq!(store.history(9).unwrap().len(), 1);
    store.apply(&deed("Half", 3, vec![place(1, "porch"), place(2, "hedge")])).unwrap();
    let reader = rusqlite::Connection::open(store.path()).unwrap();
    let lines = "SELECT count(*) FROM journal_line JOIN journal_entry ON id = entry_id WHERE what = 'Half'";
    assert_eq!(reader.query_row(lines, [], |row| row.get::<_, i64>(0)).unwrap(), 1);
}

#[test]
fn a_reference_to_nothing_is_named_and_nothing_is_written() {
    let (_folder, mut store) = yard();
    let astray = RowChange::new("place", id(1), vec![("parent_id", Value::Text(id(99).to_string()))]);
    let error = store.apply(&deed("Added", 1, vec![place(1, "porch"), astray])).unwrap_err();
    assert_eq!(error.code(), "refers-to-nothing");
    assert!(
        error.to_string().contains("parent_id") && error.to_string().contains(&id(99).to_string()),
        "{error}"
    );
    assert!(names(&store).is_empty() && store.history(9).unwrap().is_empty());
}

#[test]
fn children_may_come_before_their_parents_in_one_deed() {
    let (_folder, mut store) = yard();
    let mut child = place(1, "rail");
    child.set.push(("parent_id", Value::Text(id(2).to_string())));
    store.apply(&deed("Added", 1, vec![child, place(2, "porch")])).unwrap();
    assert_eq!(names(&store), ["rail", "porch"]);
    assert_eq!(store.verify().unwrap(), []);
}

#[test]
fn what_the_tables_refuse_is_refused_whole() {
    let (_folder, mut store) = yard();
    for (row, code) in [
        (RowChange::new("place", id(1), vec![("height_mm", Value::Int(-1))]), "refused"),
        (RowChange::new("place", id(9), vec![("name", Value::Text("no code".into()))]), "refused"),
        (RowChange::new("place", id(1), vec![("colour", Value::Null)]), "no-column"),
        (RowChange::new("sqlite_schema", id(1), vec![("sql", Value::Null)]), "no-table"),
        (RowChange::end("place", id(9), 5), "no-row"),
    ] {
        let error = store.apply(&deed("Tried", 1, vec![place(1, "porch"), row])).unwrap_err();
        assert_eq!(error.code(), code, "{error}");
        assert!(error.is_about_data());
        assert!(names(&store).is_empty() && store.history(9).unwrap().is_empty());
    }
}

/// The order is that of doing, whatever the clock says; the time told is what the clock said.
#[test]
fn the_clock_of_the_journal_never_goes_back_and_each_deed_shows_its_own() {
    let (folder, mut store) = yard();
    for (n, at) in [(1, 500), (2, 400), (3, 500), (4, 900)] {
        store.apply(&deed(&format!("{n}"), at, vec![place(n, "porch")])).unwrap();
    }
    let past = store.history(9).unwrap();
    let told: Vec<_> = past.iter().rev().map(|d| (d.what.as_str(), d.at_ms)).collect();
    assert_eq!(told, [("1", 500), ("2", 400), ("3", 500), ("4", 900)]);
    let journal = super::raw(&file_in(&folder, "y.ladderday"));
    let mut select =
        journal.prepare("SELECT clock_ms FROM journal_entry ORDER BY clock_ms, clock_tie").unwrap();
    let clocks: Vec<i64> = select.query_map([], |row| row.get(0)).unwrap().map(Result::unwrap).collect();
    assert_eq!(clocks, [500, 500, 500, 900]);
}

#[test]
fn a_row_that_ended_is_no_longer_loaded_but_known() {
    let (_folder, mut store) = yard();
    store.apply(&deed("Added", 1, vec![place(1, "porch"), place(2, "lawn")])).unwrap();
    store.apply(&deed("Ended", 2, vec![RowChange::end("place", id(1), 2)])).unwrap();
    assert_eq!(names(&store), ["lawn"]);
    assert_eq!(store.load_whole_yard().unwrap().places.len(), 2);
}

#[test]
fn facts_changed_behind_the_journal_are_found_and_set_right() {
    let (folder, mut store) = yard();
    store.apply(&deed("Added", 1, vec![place(1, "porch"), place(2, "lawn")])).unwrap();
    store.apply(&deed("Renamed", 2, vec![rename(1, "front porch")])).unwrap();
    super::raw(&file_in(&folder, "y.ladderday"))
        .execute_batch(
            "UPDATE place SET name = 'attic' WHERE code = 'PL-1'; DELETE FROM place WHERE code = 'PL-2'",
        )
        .unwrap();
    let findings = store.verify().unwrap();
    assert_eq!(findings.iter().map(|f| f.code).collect::<Vec<_>>(), ["journal", "journal"], "{findings:?}");
    store.rebuild().unwrap();
    assert_eq!(names(&store), ["front porch", "lawn"]);
    assert_eq!(store.verify().unwrap(), []);
}

#[test]
fn the_kept_plan_is_replaced_as_a_whole_and_is_no_deed() {
    let (_folder, mut store) = yard();
    let step = |key: &str, position| KeptStep {
        step_key: key.into(),
        season_code: "harbor-2026".into(),
        phase: "up".into(),
        position,
        ..KeptStep::default()
    };
    store.keep_plan(&[step("b", 1), step("a", 2)]).unwrap();
    store.keep_plan(&[step("c", 2), step("a", 1)]).unwrap();
    let keys: Vec<_> = store.load_kept_plan().unwrap().into_iter().map(|s| s.step_key).collect();
    assert_eq!(keys, ["a", "c"]);
    assert!(store.history(9).unwrap().is_empty());
}

#[test]
fn the_file_knows_its_yard_its_device_and_the_demo_clock() {
    let folder = tempfile::tempdir().unwrap();
    let mut new = super::new_yard("B");
    new.clock_shift_ms = Some(-86_400_000);
    new.demo = true;
    let mut store = Store::create(&file_in(&folder, "d.ladderday"), &new).unwrap();
    assert_eq!((store.yard_id(), store.device()), (new.yard_id, "B"));
    assert_eq!(store.clock_shift_ms().unwrap(), Some(-86_400_000));
    assert!(store.is_demo().unwrap());
    store.set_meta("device", "C").unwrap();
    store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    assert_eq!(store.last_deed().unwrap().unwrap().entry.device, "C");
}
