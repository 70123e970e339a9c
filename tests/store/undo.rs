//! Undo and redo: back as it was, never over a later deed.

use ladderday::domain::RowChange;
use ladderday::store::{Store, Undone};

use super::{deed, id, names, place, rename, yard};

fn done(undone: Undone) -> String {
    match undone {
        Undone::Done { what, .. } => what,
        other => panic!("{other:?}"),
    }
}

#[test]
fn deeds_are_taken_back_one_after_another_and_done_again() {
    let (_folder, mut store) = yard();
    store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    store.apply(&deed("Renamed", 2, vec![rename(1, "front porch")])).unwrap();
    assert_eq!(done(store.undo(3).unwrap()), "Renamed");
    assert_eq!(names(&store), ["porch"]);
    assert_eq!(done(store.undo(4).unwrap()), "Added");
    assert!(names(&store).is_empty());
    assert_eq!(store.undo(5).unwrap(), Undone::Nothing);
    assert_eq!(done(store.redo(6).unwrap()), "Added");
    assert_eq!(names(&store), ["porch"]);
    assert_eq!(done(store.redo(7).unwrap()), "Renamed");
    assert_eq!(names(&store), ["front porch"]);
    assert_eq!(store.redo(8).unwrap(), Undone::Nothing);
    assert_eq!(done(store.undo(9).unwrap()), "Renamed");
    assert_eq!(names(&store), ["porch"]);
    let marks: Vec<_> = store.history(2).unwrap().into_iter().map(|d| (d.what, d.undone)).collect();
    assert_eq!(marks, [("Undid: Renamed".to_owned(), false), ("Done again: Renamed".to_owned(), false)]);
    assert_eq!(store.verify().unwrap(), []);
}

#[test]
fn a_new_deed_closes_the_way_to_do_again() {
    let (_folder, mut store) = yard();
    store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    done(store.undo(2).unwrap());
    store.apply(&deed("Other", 3, vec![place(2, "lawn")])).unwrap();
    assert_eq!(store.redo(4).unwrap(), Undone::Nothing);
}

#[test]
fn undo_names_the_later_deed_instead_of_trampling_it() {
    let (folder, mut store) = yard();
    store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    store.apply(&deed("Renamed", 2, vec![rename(1, "front porch")])).unwrap();
    store.set_meta("device", "B").unwrap();
    store.apply(&deed("Renamed by B", 3, vec![rename(1, "back porch")])).unwrap();
    store.set_meta("device", "A").unwrap();
    let Undone::Overtaken { what, later, later_at_ms } = store.undo(4).unwrap() else { panic!("undone") };
    assert_eq!((what.as_str(), later.as_str(), later_at_ms), ("Renamed", "Renamed by B", 3));
    assert_eq!(names(&store), ["back porch"]);
    assert_eq!(store.history(9).unwrap().len(), 3);
    drop(folder);
}

#[test]
fn a_row_that_others_refer_to_is_not_taken_away() {
    let (_folder, mut store) = yard();
    store.apply(&deed("Added the porch", 1, vec![place(1, "porch")])).unwrap();
    store.set_meta("device", "B").unwrap();
    let mut rail = place(2, "rail");
    rail.set.push(("parent_id", ladderday::domain::Value::Text(id(1).to_string())));
    store.apply(&deed("Added the rail", 2, vec![rail])).unwrap();
    store.set_meta("device", "A").unwrap();
    let Undone::Overtaken { later, .. } = store.undo(3).unwrap() else { panic!("undone") };
    assert_eq!(later, "Added the rail");
    assert_eq!(names(&store), ["porch", "rail"]);
}

#[test]
fn one_row_changed_twice_in_a_deed_goes_back_whole() {
    let (_folder, mut store) = yard();
    store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    let twice = vec![
        rename(1, "a"),
        rename(1, "b"),
        RowChange::end("place", id(1), 2),
        place(3, "x"),
        rename(3, "y"),
    ];
    store.apply(&deed("Twice", 2, twice)).unwrap();
    assert_eq!(names(&store), ["y"]);
    assert_eq!(done(store.undo(3).unwrap()), "Twice");
    assert_eq!(names(&store), ["porch"]);
    assert_eq!(done(store.redo(4).unwrap()), "Twice");
    assert_eq!(names(&store), ["y"]);
    check(&store);
}

fn check(store: &Store) {
    assert_eq!(store.verify().unwrap(), []);
}
