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
