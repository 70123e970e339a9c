//! Copies of one yard: each has its own mark and journal by itself, any two come together, a merge can be taken back.

use std::fs;
use std::path::PathBuf;

use ladderday::domain::{Deed, RowChange, Value};
use ladderday::store::{Store, Undone};
use proptest::prelude::*;
use tempfile::TempDir;

use super::{deed, file_in, id, names, place, rename, yard};

fn import(what: &str, at_ms: i64, rows: Vec<RowChange>) -> Deed {
    Deed { verb: "import", ..deed(what, at_ms, rows) }
}

fn border(undone: Undone) -> (String, String) {
    match undone {
        Undone::Border { what, goes } => (what, goes),
        other => panic!("{other:?}"),
    }
}

fn done(undone: Undone) -> String {
    match undone {
        Undone::Done { what, .. } => what,
        other => panic!("{other:?}"),
    }
}

#[test]
fn undo_stops_at_an_import_and_says_what_would_go() {
    let (_folder, mut store) = yard();
    store.apply(&import("The shipped recipes", 1, vec![place(1, "porch"), place(2, "lawn")])).unwrap();
    store.apply(&deed("Added", 2, vec![place(3, "hedge")])).unwrap();
    let whole = store.load_whole_yard().unwrap();
    assert_eq!(done(store.undo(3).unwrap()), "Added");
    for _ in 0..3 {
        let (what, goes) = border(store.undo(4).unwrap());
        assert_eq!((what.as_str(), goes.as_str()), ("The shipped recipes", "2 rows (2 of place)"));
        assert_eq!(names(&store), ["porch", "lawn"]);
    }
    assert_eq!(done(store.undo_past(5).unwrap()), "The shipped recipes");
    assert!(names(&store).is_empty());
    assert_eq!(store.undo_past(6).unwrap(), Undone::Nothing);
    assert_eq!(done(store.redo(7).unwrap()), "The shipped recipes");
    assert_eq!(done(store.redo(8).unwrap()), "Added");
    assert_eq!(store.redo(9).unwrap(), Undone::Nothing);
    assert_eq!(store.load_whole_yard().unwrap(), whole, "done again exactly");
    assert_eq!(store.verify().unwrap(), []);
}

#[test]
fn undo_stops_where_the_file_was_restored() {
    let (folder, mut store) = yard();
    let (path, backup) = (file_in(&folder, "y.ladderday"), file_in(&folder, "backup"));
    store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    store.backup(&backup).unwrap();
    drop(store);
    Store::restore(&backup, &path, None).unwrap();
    let mut store = Store::open(&path).unwrap();
    store.apply(&deed("Later", 2, vec![place(2, "lawn")])).unwrap();
    assert_eq!(done(store.undo(3).unwrap()), "Later");
    let (what, goes) = border(store.undo(4).unwrap());
    assert_eq!(
        (what.as_str(), goes.as_str()),
        ("Added", "1 row (1 of place), done before this file was restored")
    );
    assert_eq!(done(store.undo_past(5).unwrap()), "Added");
    assert_eq!(done(store.redo(6).unwrap()), "Added");
    assert_eq!(names(&store), ["porch"]);
}

#[test]
fn a_merge_is_taken_back_and_merging_again_revives_nothing() {
    let (folder, mut ours) = yard();
    ours.apply(&deed("Added", 1, vec![place(1, "porch"), place(5, "shed")])).unwrap();
    let lent = file_in(&folder, "lent.ladderday");
    ours.lend(&lent, None).unwrap();
    let mut theirs = Store::open(&lent).unwrap();
    theirs
        .apply(&deed("There", 2, vec![place(2, "lawn"), rename(1, "back porch"), rename(5, "old shed")]))
        .unwrap();
    ours.apply(&deed("Here", 3, vec![place(3, "hedge"), rename(1, "front porch")])).unwrap();
    let before = ours.load_yard().unwrap();
    assert_eq!(ours.merge(&lent).unwrap().conflicts, 1);
    let merged = ours.load_whole_yard().unwrap();
    assert_eq!(names(&ours), ["front porch", "lawn", "hedge", "old shed"]);
    let (what, goes) = border(ours.undo(4).unwrap());
    assert_eq!((what.as_str(), goes.as_str()), ("Brought together: 1 deed of B", "1 deed that came by it"));
    assert_eq!(done(ours.undo_past(5).unwrap()), what);
    assert_eq!(ours.load_yard().unwrap(), before);
    assert!(ours.conflicts().unwrap().is_empty(), "nothing is left to decide");
    // Their entry stays, so it is not brought again.
    assert_eq!(ours.merge(&lent).unwrap().added, 0);
    assert_eq!(ours.load_yard().unwrap(), before);
    assert_eq!(ours.verify().unwrap(), []);
    // The other copy hears that it was taken back.
    theirs.merge(ours.path()).unwrap();
    assert_eq!(theirs.load_yard().unwrap(), before);
    assert!(theirs.conflicts().unwrap().is_empty());
    // One's own last deed is next, and what was taken back is done again exactly.
    assert_eq!(done(ours.redo(6).unwrap()), what);
    assert_eq!(ours.load_whole_yard().unwrap(), merged);
    done(ours.undo_past(7).unwrap());
    assert_eq!(done(ours.undo(8).unwrap()), "Here");
    assert_eq!(names(&ours), ["porch", "shed"]);
    assert_eq!(ours.verify().unwrap(), []);
}

#[test]
fn a_merge_that_later_deeds_build_on_is_not_taken_back() {
    let (folder, mut ours) = yard();
    ours.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    let lent = file_in(&folder, "lent.ladderday");
    ours.lend(&lent, None).unwrap();
    Store::open(&lent).unwrap().apply(&deed("There", 2, vec![place(2, "lawn")])).unwrap();
    ours.merge(&lent).unwrap();
    let mut rail = place(3, "rail");
    rail.set.push(("parent_id", Value::Text(id(2).to_string())));
    ours.apply(&deed("Added the rail", 3, vec![rail])).unwrap();
    // The rail itself goes first, then the merge.
    assert_eq!(done(ours.undo(4).unwrap()), "Added the rail");
    assert_eq!(done(ours.redo(5).unwrap()), "Added the rail");
    ours.apply(&deed("Renamed", 6, vec![rename(2, "wide lawn")])).unwrap();
    assert_eq!(done(ours.undo(7).unwrap()), "Renamed");
    border(
        ours.undo(8).map(|u| if let Undone::Done { .. } = u { ours.undo(9).unwrap() } else { u }).unwrap(),
    );
    assert_eq!(ours.verify().unwrap(), []);
}

#[test]
fn every_lent_copy_has_a_mark_of_its_own() {
    let (folder, mut ours) = yard();
    let lend = |store: &mut Store, name: &str| store.lend(&file_in(&folder, name), None).unwrap().1;
    assert_eq!(lend(&mut ours, "1"), "B");
    assert_eq!(lend(&mut ours, "2"), "C");
    let mut b = Store::open(&file_in(&folder, "1")).unwrap();
    assert_eq!(b.device(), "B");
    assert_eq!((lend(&mut b, "3"), lend(&mut b, "4")), ("BB".to_owned(), "BC".to_owned()));
    let mut marks: Vec<String> = (0..60).map(|n| lend(&mut ours, &format!("more{n}"))).collect();
    assert_eq!(marks[21..24], ["Y", "ZB", "ZC"]);
    marks.sort();
    marks.dedup();
    assert_eq!(marks.len(), 60);
    for (mark, code) in
        [("", "mark"), ("A", "mark"), ("B", "mark"), ("b", "mark"), ("B7", "mark"), ("QQ", "")]
    {
        let lent = ours.lend(&file_in(&folder, "named"), Some(mark));
        assert_eq!(lent.err().map_or("", |e| e.code()), code, "{mark:?}");
    }
    // Restored from before the lending, it still knows what is taken.
    let backup = file_in(&folder, "backup");
    let empty = file_in(&folder, "y.ladderday");
    let (_other, fresh) = yard();
    fresh.backup(&backup).unwrap();
    drop(ours);
    Store::restore(&backup, &empty, None).unwrap();
    assert_eq!(
        Store::open(&empty).unwrap().lend(&file_in(&folder, "after"), None).unwrap().1,
        "ZZP".to_owned()
    );
}

/// The lent copy's undo never takes back what home did.
#[test]
fn a_lent_copy_undoes_its_own_deeds_only() {
    let (folder, mut ours) = yard();
    ours.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    ours.lend(&file_in(&folder, "lent"), None).unwrap();
    let mut lent = Store::open(&file_in(&folder, "lent")).unwrap();
    assert_eq!(lent.undo_past(2).unwrap(), Undone::Nothing);
    assert_eq!(names(&lent), ["porch"]);
}

/// Backup, lend, restore, one deed on each: the lent copy comes home.
#[test]
fn what_was_lent_comes_home_after_a_restore() {
    let (folder, mut ours) = yard();
    let (path, backup, lent) =
        (file_in(&folder, "y.ladderday"), file_in(&folder, "backup"), file_in(&folder, "lent"));
    ours.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    ours.backup(&backup).unwrap();
    ours.apply(&deed("Between", 2, vec![place(2, "lawn")])).unwrap();
    ours.lend(&lent, None).unwrap();
    drop(ours);
    Store::open(&lent).unwrap().apply(&deed("There", 4, vec![place(3, "hedge")])).unwrap();
    Store::restore(&backup, &path, None).unwrap();
    let mut ours = Store::open(&path).unwrap();
    ours.apply(&deed("Here", 4, vec![place(4, "shed")])).unwrap();
    assert_eq!(ours.merge(&lent).unwrap().added, 2);
    assert_eq!(names(&ours), ["porch", "lawn", "hedge", "shed"]);
    assert_eq!(ours.verify().unwrap(), []);
}

/// A plain copy of the file goes on under the same name: both have another fifth deed.
#[test]
fn plain_copies_come_together_whoever_merges_whom() {
    let (folder, mut ours) = yard();
    ours.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    drop(ours);
    let path = |name: &str| file_in(&folder, name);
    for name in ["twin1", "twin2"] {
        fs::copy(path("y.ladderday"), path(name)).unwrap();
    }
    for (n, name) in ["y.ladderday", "twin1", "twin2"].into_iter().enumerate() {
        let mut store = Store::open(&path(name)).unwrap();
        store.apply(&deed("Named", 5, vec![place(10 + n as u128, name), rename(1, name)])).unwrap();
        store.apply(&deed("Again", 6, vec![place(20 + n as u128, name)])).unwrap();
        store.undo(7).unwrap();
    }
    let mut ends = Vec::new();
    for order in [
        ["y.ladderday", "twin1", "twin2"],
        ["twin2", "y.ladderday", "twin1"],
        ["twin1", "twin2", "y.ladderday"],
    ] {
        let end = path(&format!("end-{}", order[0]));
        fs::copy(path(order[0]), &end).unwrap();
        let mut store = Store::open(&end).unwrap();
        for other in &order[1..] {
            assert_eq!(store.merge(&path(other)).unwrap().added, 3, "{order:?}");
            assert_eq!(store.merge(&path(other)).unwrap().added, 0, "{order:?}: twice is once");
        }
        assert_eq!(store.verify().unwrap(), []);
        let conflicts: Vec<_> = store.conflicts().unwrap().into_iter().map(|c| (c.code, c.rivals)).collect();
        assert_eq!(conflicts[0].1.len(), 3, "all three values are kept");
        ends.push((store.load_whole_yard().unwrap(), conflicts));
        store.apply(&deed("On", 9, vec![place(99, order[0])])).unwrap();
    }
    assert!(ends[0] == ends[1] && ends[0] == ends[2]);
    // What came together goes on without meeting again.
    let mut a = Store::open(&path("end-y.ladderday")).unwrap();
    assert_eq!(a.merge(&path("end-twin1")).unwrap().added, 1);
}

#[test]
fn a_decision_is_heard_by_every_copy_also_for_what_stands() {
    for taken in ["back porch", "front porch"] {
        let (folder, mut ours) = yard();
        ours.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
        let lent = file_in(&folder, "lent");
        ours.lend(&lent, None).unwrap();
        let mut theirs = Store::open(&lent).unwrap();
        ours.apply(&deed("Renamed", 5, vec![rename(1, "front porch")])).unwrap();
        theirs.apply(&deed("Renamed", 6, vec![rename(1, "back porch")])).unwrap();
        ours.merge(&lent).unwrap();
        theirs.merge(ours.path()).unwrap();
        let conflict = ours.conflicts().unwrap().remove(0);
        assert_eq!(theirs.conflicts().unwrap()[0].code, conflict.code);
        ours.decide(&conflict, &Value::Text(taken.to_owned()), 7).unwrap();
        assert!(ours.conflicts().unwrap().is_empty());
        theirs.merge(ours.path()).unwrap();
        assert!(theirs.conflicts().unwrap().is_empty());
        assert_eq!((names(&theirs), names(&ours)), (vec![taken.to_owned()], vec![taken.to_owned()]));
        assert_eq!(ours.verify().unwrap(), []);
    }
}

#[test]
fn a_clock_that_ran_ahead_dates_no_later_deed() {
    let (folder, mut ours) = yard();
    ours.apply(&deed("Added", 1_000, vec![place(1, "porch")])).unwrap();
    let lent = file_in(&folder, "lent");
    ours.lend(&lent, None).unwrap();
    let year_2099 = 4_070_908_800_000;
    Store::open(&lent).unwrap().apply(&deed("Ahead", year_2099, vec![rename(1, "lawn")])).unwrap();
    assert_eq!(ours.merge(&lent).unwrap().latest, Some(("B".to_owned(), year_2099)));
    ours.apply(&deed("Now", 2_000, vec![rename(1, "hedge")])).unwrap();
    let last = ours.last_deed().unwrap().unwrap();
    assert_eq!((last.what.as_str(), last.at_ms), ("Now", 2_000));
    assert_eq!(names(&ours), ["hedge"], "done knowing the other, it stands");
    assert!(ours.conflicts().unwrap().is_empty());
}

/// What a copy does next: (which, what kind, which place, at).
type Move = (usize, u8, u128, i64);

fn act(folder: &TempDir, paths: &mut Vec<PathBuf>, (who, kind, n, at): Move) {
    let path = paths[who % paths.len()].clone();
    let other = paths[(who + 1 + usize::from(kind / 16)) % paths.len()].clone();
    let new = file_in(folder, &format!("{}.ladderday", paths.len()));
    let open = || Store::open(&path).unwrap();
    match kind % 14 {
        0 | 1 if other != path => drop(open().merge(&other).unwrap()),
        2 => drop(open().undo(at).unwrap()),
        3 => drop(open().undo_past(at).unwrap()),
        4 => drop(open().redo(at).unwrap()),
        5 if paths.len() < 5 => {
            open().lend(&new, None).unwrap();
            paths.push(new);
        }
        6 if paths.len() < 5 => {
            fs::copy(&path, &new).unwrap();
            paths.push(new);
        }
        7 if other != path => drop(Store::restore(&other, &path, None).unwrap()),
        8 => {
            let mut store = open();
            let conflicts = store.conflicts().unwrap();
            if let Some(c) = conflicts.get(n as usize % conflicts.len().max(1)) {
                let value = c.rivals[at as usize % c.rivals.len()].value.clone();
                store.decide(c, &value, at).unwrap();
            }
        }
        9 => {
            let rows = vec![place(n, "x"), RowChange::end("place", id(n), at)];
            drop(open().apply(&deed("Ended", at, rows)));
        }
        _ => drop(
            open()
                .apply(&deed("Named", at, vec![place(n, "x"), rename(n, &format!("{who}-{at}-{kind}"))]))
                .unwrap(),
        ),
    }
}

proptest! {
    #![proptest_config(super::cases(10))]

    /// Random histories of copies that are lent, copied plainly, restored, merged, undone and decided in between:
    /// however they are brought together at the end, the same facts and conflicts, nothing lost, twice is once.
    #[test]
    fn descendants_of_one_yard_come_together_in_any_order(
        moves in prop::collection::vec((0_usize..5, any::<u8>(), 1_u128..4, 1_i64..40), 1..20),
    ) {
        let folder = tempfile::tempdir().unwrap();
        let mut paths = vec![file_in(&folder, "0.ladderday")];
        let mut first = Store::create(&paths[0], &super::new_yard("A")).unwrap();
        first.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
        drop(first);
        for m in moves {
            act(&folder, &mut paths, m);
        }
        let mut results = Vec::new();
        for turn in 0..paths.len().min(3) {
            let mut order = paths.clone();
            order.rotate_left(turn);
            if turn == 2 {
                order[1..].reverse();
            }
            let end = file_in(&folder, &format!("end{turn}"));
            fs::copy(&order[0], &end).unwrap();
            let mut merged = Store::open(&end).unwrap();
            for other in &order[1..] {
                merged.merge(other).unwrap();
            }
            for other in &order[1..] {
                prop_assert_eq!(merged.merge(other).unwrap().added, 0);
            }
            prop_assert_eq!(merged.verify().unwrap(), []);
            let told = |store: &Store| -> Vec<_> {
                store.conflicts().unwrap().into_iter().map(|c| (c.code, c.rivals)).collect()
            };
            let conflicts = told(&merged);
            // Row by row, as a merge takes them in, they are what all of the journal tells.
            let anew = file_in(&folder, &format!("anew{turn}"));
            Store::take_out(&end, &anew).unwrap();
            let anew = Store::open(&anew).unwrap();
            prop_assert_eq!(&told(&anew), &conflicts);
            prop_assert_eq!(anew.load_whole_yard().unwrap(), merged.load_whole_yard().unwrap());
            let entries = merged.history(usize::MAX).unwrap().len();
            results.push((merged.load_whole_yard().unwrap(), conflicts, entries));
        }
        for other in &results[1..] {
            prop_assert_eq!(&results[0], other);
        }
    }
}
