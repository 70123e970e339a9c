//! Two laptops: the union of what was done, the same on both, contradictions shown.

use std::path::Path;

use ladderday::domain::Value;
use ladderday::store::Store;
use proptest::prelude::*;
use tempfile::TempDir;

use super::{deed, file_in, names, new_yard, place, rename, yard};

#[test]
fn what_both_recorded_adds_up_and_twice_is_once() {
    let (folder, mut ours) = yard();
    ours.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    let lent = file_in(&folder, "lent.ladderday");
    ours.lend(&lent, Some("B")).unwrap();
    let mut theirs = Store::open(&lent).unwrap();
    assert_eq!(theirs.device(), "B");
    theirs.apply(&deed("Added", 2, vec![place(2, "lawn")])).unwrap();
    ours.apply(&deed("Added", 2, vec![place(3, "hedge")])).unwrap();
    let report = ours.merge(&lent).unwrap();
    assert_eq!((report.added, report.only_here, report.conflicts), (1, 1, 0));
    assert_eq!(names(&ours), ["porch", "lawn", "hedge"]);
    assert_eq!(ours.merge(&lent).unwrap().added, 0);
    theirs.merge(ours.path()).unwrap();
    assert_eq!(theirs.load_whole_yard().unwrap(), ours.load_whole_yard().unwrap());
    assert_eq!(ours.verify().unwrap(), []);
}

#[test]
fn a_column_changed_apart_keeps_both_values_until_decided() {
    let (folder, mut ours) = yard();
    ours.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    let lent = file_in(&folder, "lent.ladderday");
    ours.lend(&lent, Some("B")).unwrap();
    let mut theirs = Store::open(&lent).unwrap();
    ours.apply(&deed("Renamed", 5, vec![rename(1, "front porch")])).unwrap();
    theirs.apply(&deed("Renamed", 6, vec![rename(1, "back porch")])).unwrap();
    assert_eq!(ours.merge(&lent).unwrap().conflicts, 1);
    let conflict = ours.conflicts().unwrap().remove(0);
    let text = |t: &str| Value::Text(t.to_owned());
    let rivals: Vec<_> =
        conflict.rivals.iter().map(|r| (r.value.clone(), r.copy.as_str(), r.at_ms)).collect();
    assert_eq!(conflict.column, "name");
    assert_eq!(rivals, [(text("back porch"), "B", 6), (text("front porch"), "A", 5)]);
    assert_eq!(names(&ours), ["back porch"]);
    assert_eq!(ours.decide(&conflict, &text("side porch"), 7).unwrap_err().code(), "refused");
    ours.decide(&conflict, &text("front porch"), 7).unwrap();
    assert_eq!(names(&ours), ["front porch"]);
    assert!(ours.conflicts().unwrap().is_empty());
    theirs.merge(ours.path()).unwrap();
    assert_eq!(names(&theirs), ["front porch"]);
}

/// What is done after a merge counts the same on the copy that did it and on one that hears of it later.
#[test]
fn a_conflict_tells_what_stands_now() {
    let (folder, mut ours) = yard();
    ours.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    let lent = file_in(&folder, "lent.ladderday");
    ours.lend(&lent, Some("B")).unwrap();
    let mut theirs = Store::open(&lent).unwrap();
    ours.apply(&deed("Renamed", 5, vec![rename(1, "front porch")])).unwrap();
    theirs.apply(&deed("Renamed", 6, vec![rename(1, "back porch")])).unwrap();
    ours.merge(&lent).unwrap();
    for (name, waiting) in [("front porch", 0), ("side porch", 1)] {
        ours.apply(&deed("Renamed", 7, vec![rename(1, name)])).unwrap();
        theirs.merge(ours.path()).unwrap();
        let told = |store: &Store| -> Vec<_> {
            store.conflicts().unwrap().into_iter().map(|c| (c.code, c.rivals)).collect()
        };
        assert_eq!(told(&ours).len(), waiting, "{name}");
        assert_eq!(told(&ours), told(&theirs), "{name}");
    }
}

#[test]
fn another_yard_is_refused() {
    let (folder, mut ours) = yard();
    ours.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    let mut strange = new_yard("C");
    strange.yard_id = super::id(1);
    let path = file_in(&folder, "strange.ladderday");
    drop(Store::create(&path, &strange).unwrap());
    assert_eq!(ours.merge(&path).unwrap_err().code(), "other-yard");
    assert_eq!(names(&ours), ["porch"]);
}

/// What a laptop does next: (which laptop, what kind, which place, at).
type Move = (usize, u8, u128, i64);

fn act(folder: &TempDir, stores: &mut [Store], (who, kind, n, at): Move) {
    let other = (who + 1 + usize::from(kind / 64)) % stores.len();
    let path = file_in(folder, &format!("{other}.ladderday"));
    let store = &mut stores[who];
    let word = format!("{}-{at}-{kind}", store.device());
    match kind % 8 {
        0 => drop(store.merge(&path).unwrap()),
        1 => drop(store.undo(at).unwrap()),
        2 => drop(store.redo(at).unwrap()),
        3 => drop(store.apply(&deed(
            "Ended",
            at,
            vec![place(n, "x"), ladderday::domain::RowChange::end("place", super::id(n), at)],
        ))),
        _ => drop(store.apply(&deed("Named", at, vec![place(n, "x"), rename(n, &word)])).unwrap()),
    }
}

fn all_entries(path: &Path) -> Vec<(String, i64)> {
    let conn = super::raw(path);
    let mut select = conn.prepare("SELECT device, number FROM journal_entry ORDER BY 1, 2").unwrap();
    select.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).unwrap().map(Result::unwrap).collect()
}

proptest! {
    #![proptest_config(super::cases(24))]

    /// Random histories of three laptops with merges in between: however they are brought together at the end, the
    /// same facts and conflicts, nothing lost, twice is once.
    #[test]
    fn any_order_of_merging_gives_the_same_yard(
        moves in prop::collection::vec((0_usize..3, any::<u8>(), 1_u128..4, 1_i64..40), 1..25),
    ) {
        let folder = tempfile::tempdir().unwrap();
        let file = |n: usize| file_in(&folder, &format!("{n}.ladderday"));
        let mut stores = vec![Store::create(&file(0), &new_yard("A")).unwrap()];
        stores[0].apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
        for (n, device) in [(1, "B"), (2, "C")] {
            stores[0].lend(&file(n), Some(device)).unwrap();
            stores.push(Store::open(&file(n)).unwrap());
        }
        for m in moves {
            act(&folder, &mut stores, m);
        }
        let mut results = Vec::new();
        for order in [[0, 1, 2], [2, 1, 0], [1, 2, 0]] {
            let end = file_in(&folder, &format!("end{}{}{}", order[0], order[1], order[2]));
            stores[order[0]].backup(&end).unwrap();
            let mut merged = Store::open(&end).unwrap();
            for n in [order[1], order[2], order[1]] {
                merged.merge(&file(n)).unwrap();
            }
            prop_assert_eq!(merged.verify().unwrap(), []);
            let conflicts: Vec<_> = merged.conflicts().unwrap().into_iter()
                .map(|c| (c.code, c.rivals)).collect();
            results.push((merged.load_whole_yard().unwrap(), conflicts, all_entries(&end)));
        }
        prop_assert_eq!(&results[0], &results[1]);
        prop_assert_eq!(&results[0], &results[2]);
        let mut union: Vec<_> = (0..3).flat_map(|n| all_entries(&file(n))).collect();
        union.sort();
        union.dedup();
        prop_assert_eq!(&results[0].2, &union);
    }
}
