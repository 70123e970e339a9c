//! Backups: whole, checked, never half there; and back again.

use std::fs;
use std::os::unix::fs::PermissionsExt;

use ladderday::store::Store;

use super::{deed, file_in, names, place, yard};

#[test]
fn a_backup_of_an_open_yard_opens_and_holds_all() {
    let (folder, mut store) = yard();
    store.apply(&deed("Added", 1, (1..=50).map(|n| place(n, "porch")).collect())).unwrap();
    let to = file_in(&folder, "copy.ladderday");
    let report = store.backup(&to).unwrap();
    assert_eq!((report.rows, report.entries, report.path.as_path()), (50, 1, to.as_path()));
    assert_eq!(report.bytes, fs::metadata(&to).unwrap().len());
    assert_eq!(fs::metadata(&to).unwrap().permissions().mode() & 0o777, 0o600);
    let copy = Store::open(&to).unwrap();
    assert_eq!(copy.load_yard().unwrap(), store.load_yard().unwrap());
    assert_eq!(copy.verify().unwrap(), []);
    drop(copy);
    assert_eq!(store.backup(&to).unwrap_err().code(), "exists");
    let mut left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|f| f.unwrap().file_name()).collect();
    left.sort();
    left.retain(|name| !name.to_string_lossy().starts_with("y.ladderday"));
    assert_eq!(left, ["copy.ladderday"]);
}

#[test]
fn a_restored_yard_is_that_of_the_backup_and_the_old_one_is_kept() {
    let (folder, mut store) = yard();
    let (yard, copy) = (file_in(&folder, "y.ladderday"), file_in(&folder, "copy.ladderday"));
    store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    store.backup(&copy).unwrap();
    store.apply(&deed("Later", 2, vec![place(2, "lawn")])).unwrap();
    drop(store);
    let kept = Store::restore(&copy, &yard, Some("A2")).unwrap().unwrap();
    let store = Store::open(&yard).unwrap();
    assert_eq!((names(&store), store.device()), (vec!["porch".to_owned()], "A2"));
    assert_eq!(store.verify().unwrap(), []);
    assert_eq!(names(&Store::open(&kept).unwrap()), ["porch", "lawn"]);
    fs::write(&copy, b"no yard").unwrap();
    drop(store);
    assert_eq!(Store::restore(&copy, &yard, None).unwrap_err().code(), "not-a-yard");
    assert_eq!(names(&Store::open(&yard).unwrap()), ["porch"]);
}

/// The log of a crashed program beside the file must not be taken for the restored file's.
#[test]
fn a_left_over_log_goes_with_the_old_file() {
    let (folder, mut store) = yard();
    let (yard, copy) = (file_in(&folder, "y.ladderday"), file_in(&folder, "copy.ladderday"));
    store.backup(&copy).unwrap();
    store.apply(&deed("Later", 2, (1..=500).map(|n| place(n, "lawn")).collect())).unwrap();
    let log = fs::read(file_in(&folder, "y.ladderday-wal")).unwrap();
    let main = fs::read(&yard).unwrap();
    drop(store);
    fs::write(&yard, main).unwrap();
    fs::write(file_in(&folder, "y.ladderday-wal"), log).unwrap();
    let kept = Store::restore(&copy, &yard, None).unwrap().unwrap();
    assert!(names(&Store::open(&yard).unwrap()).is_empty());
    assert_eq!(names(&Store::open(&kept).unwrap()).len(), 500);
}

/// Names in a folder, sorted.
fn inside(folder: &std::path::Path) -> Vec<String> {
    let mut names: Vec<_> =
        fs::read_dir(folder).unwrap().map(|f| f.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn the_last_five_and_one_a_year_stay_and_nothing_else_is_touched() {
    let (folder, mut store) = yard();
    let first = store.backup_beside().unwrap().path;
    let backups = first.parent().unwrap().to_owned();
    assert_eq!(backups, folder.path().join("backups"));
    assert_eq!(fs::metadata(&backups).unwrap().permissions().mode() & 0o777, 0o700);
    assert_eq!(fs::metadata(&first).unwrap().permissions().mode() & 0o777, 0o600);
    let at = |stamp: &str| backups.join(format!("y.ladderday.{stamp}.backup"));
    let old = ["20230105-080000-000", "20231120-080000-000", "20240301-080000-000"];
    for stamp in old {
        fs::copy(&first, at(stamp)).unwrap();
    }
    // Another yard's under our name, what is no yard, a folder, an owner's own copy, another yard file's.
    let other = file_in(&folder, "other.ladderday");
    let new = ladderday::store::NewYard { yard_id: super::id(0xEEEE), ..super::new_yard("A") };
    drop(Store::create(&other, &new).unwrap());
    fs::copy(&other, at("20220105-080000-000")).unwrap();
    fs::write(at("20220106-080000-000"), b"notes").unwrap();
    fs::create_dir(at("20220107-080000-000")).unwrap();
    fs::copy(&first, backups.join("y.ladderday.before-the-storm.backup")).unwrap();
    fs::copy(&first, backups.join("z.ladderday.20220108-080000-000.backup")).unwrap();
    let foreign: Vec<String> =
        inside(&backups).into_iter().filter(|n| n.contains(".2022") || n.contains("storm")).collect();
    assert_eq!(foreign.len(), 5);

    let mut made = vec![first];
    for n in 1..=7 {
        store.apply(&deed("Added", i64::from(n), vec![place(u128::from(n as u32), "porch")])).unwrap();
        made.push(store.backup_beside().unwrap().path);
    }
    let names_left = inside(&backups);
    let mut wanted = foreign;
    wanted.extend([old[1], old[2]].map(|s| at(s).file_name().unwrap().to_string_lossy().into_owned()));
    wanted.extend(made[3..].iter().map(|p| p.file_name().unwrap().to_string_lossy().into_owned()));
    wanted.sort();
    assert_eq!(names_left, wanted);
    let last = Store::open(made.last().unwrap()).unwrap();
    assert_eq!(names(&last).len(), 7);
    assert_eq!(last.verify().unwrap(), []);
}
