//! Files that are left over, swapped, linked to, or put in each other's place: nothing saved is lost, nothing is
//! written where nobody looks for it.

use std::fs;
use std::os::unix::fs::{MetadataExt, symlink};
use std::path::{Path, PathBuf};

use ladderday::store::Store;
use tempfile::TempDir;

use super::{deed, file_in, names, new_yard, place, raw, yard};

/// A yard whose program was killed: the file, and a log beside it that holds what was saved last.
fn killed(folder: &TempDir, name: &str, places: u128) -> PathBuf {
    let path = file_in(folder, name);
    let mut store = Store::create(&path, &new_yard("A")).unwrap();
    store.apply(&deed("Added", 1, (1..=places).map(|n| place(n, "lawn")).collect())).unwrap();
    kill(store, &path);
    path
}

/// Ends a program without letting it tidy up.
fn kill(store: Store, path: &Path) {
    let ends = ["", "-wal", "-open"];
    let at = |end: &str| PathBuf::from(format!("{}{end}", path.display()));
    let saved: Vec<_> = ends.iter().map(|end| fs::read(at(end)).ok()).collect();
    // The very files stay, as they do when a process is killed.
    let held = ends.map(|end| {
        let aside = at(&format!("{end}.held"));
        let _ = fs::hard_link(at(end), &aside);
        aside
    });
    drop(store);
    for ((end, bytes), aside) in ends.iter().zip(saved).zip(held) {
        let _ = fs::remove_file(at(end));
        if let Some(bytes) = bytes {
            fs::write(&aside, bytes).unwrap();
            fs::rename(&aside, at(end)).unwrap();
        }
    }
    let _ = fs::remove_file(at("-shm"));
}

fn log(path: &Path) -> PathBuf {
    PathBuf::from(format!("{}-wal", path.display()))
}

#[test]
fn a_killed_program_has_its_last_deeds_in_the_log() {
    let folder = tempfile::tempdir().unwrap();
    let path = killed(&folder, "y.ladderday", 300);
    assert!(fs::metadata(log(&path)).unwrap().len() > 0);
    assert_eq!(names(&Store::open(&path).unwrap()).len(), 300);
}

/// The yard is deleted, its log is not: what gets the name next must not be taken for the log's own.
#[test]
fn a_log_without_its_file_is_set_aside_before_another_gets_the_name() {
    for how in ["restore", "new", "backup", "lend"] {
        let folder = tempfile::tempdir().unwrap();
        let path = killed(&folder, "y.ladderday", 300);
        let bytes = fs::read(log(&path)).unwrap();
        fs::remove_file(&path).unwrap();
        let mut other = Store::create(&file_in(&folder, "other.ladderday"), &new_yard("A")).unwrap();
        other.apply(&deed("Added", 1, vec![place(7, "porch")])).unwrap();
        let wanted = match how {
            "restore" => {
                let backup = file_in(&folder, "backup");
                other.backup(&backup).unwrap();
                Store::restore(&backup, &path, None).unwrap();
                1
            }
            "new" => {
                drop(Store::create(&path, &new_yard("A")).unwrap());
                0
            }
            "backup" => {
                other.backup(&path).unwrap();
                1
            }
            _ => {
                other.lend(&path, None).unwrap();
                1
            }
        };
        let store = Store::open(&path).unwrap();
        assert_eq!(names(&store).len(), wanted, "{how}");
        assert_eq!(store.verify().unwrap(), [], "{how}");
        let kept = file_in(&folder, "y.ladderday.left-over-1-wal");
        assert!(fs::read(kept).unwrap() == bytes, "{how}: the log is kept");
    }
}

/// A sync folder renames another version over the file while the log of a killed program lies beside it.
#[test]
fn a_log_of_the_file_that_had_the_name_before_is_not_used() {
    let folder = tempfile::tempdir().unwrap();
    let path = killed(&folder, "y.ladderday", 300);
    let other = file_in(&folder, "other.ladderday");
    let mut theirs = Store::create(&other, &new_yard("A")).unwrap();
    theirs.apply(&deed("Added", 1, vec![place(7, "porch")])).unwrap();
    drop(theirs);
    fs::rename(&other, &path).unwrap();
    let store = Store::open(&path).unwrap();
    assert_eq!(names(&store), ["porch"]);
    assert_eq!(store.verify().unwrap(), []);
    let notice = store.notice().unwrap();
    assert!(notice.contains("left-over-1-wal"), "{notice}");
}

/// Copied or moved together, the log still is the file's own.
#[test]
fn a_yard_that_is_moved_with_its_log_keeps_its_last_deeds() {
    let folder = tempfile::tempdir().unwrap();
    let path = killed(&folder, "y.ladderday", 300);
    fs::create_dir(file_in(&folder, "there")).unwrap();
    let there = file_in(&folder, "there/y.ladderday");
    for end in ["", "-wal", "-open"] {
        fs::copy(format!("{}{end}", path.display()), format!("{}{end}", there.display())).unwrap();
    }
    assert_eq!(names(&Store::open(&there).unwrap()).len(), 300);
}

/// What a swap under an open program may be.
fn swap(how: &str, folder: &TempDir, path: &Path) {
    match how {
        "deleted" => fs::remove_file(path).unwrap(),
        "another yard" => {
            let other = file_in(folder, "other.ladderday");
            let mut new = new_yard("A");
            new.yard_id = super::id(77);
            drop(Store::create(&other, &new).unwrap());
            fs::rename(&other, path).unwrap();
        }
        "another file" => {
            fs::write(file_in(folder, "notes"), b"notes").unwrap();
            fs::rename(file_in(folder, "notes"), path).unwrap();
        }
        _ => fs::rename(file_in(folder, "version"), path).unwrap(),
    }
}

#[test]
fn a_program_whose_file_is_swapped_stops_writing_and_keeps_what_it_had() {
    for (how, said) in [
        ("another version", "another copy of this yard"),
        ("deleted", "gone"),
        ("another yard", "another yard"),
        ("another file", "another file"),
    ] {
        let (folder, mut store) = yard();
        let path = file_in(&folder, "y.ladderday");
        store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
        store.backup(&file_in(&folder, "version")).unwrap();
        let mut version = Store::open(&file_in(&folder, "version")).unwrap();
        version.apply(&deed("There", 2, vec![place(9, "shed")])).unwrap();
        drop(version);
        store.apply(&deed("Here", 2, vec![place(2, "lawn")])).unwrap();
        swap(how, &folder, &path);
        let now = fs::read(&path).ok();
        let error = store.apply(&deed("Lost", 3, vec![place(3, "hedge")])).unwrap_err();
        assert_eq!(error.code(), "swapped", "{how}: {error}");
        assert!(error.to_string().contains(said), "{how}: {error}");
        for again in [
            store.undo(4).err(),
            store.changed_elsewhere().err(),
            store.set_meta("x", "y").err(),
            store.keep_plan(&[]).err(),
            store.backup(&file_in(&folder, "late")).err(),
        ] {
            assert_eq!(again.map(|e| e.code()), Some("swapped"), "{how}");
        }
        assert!(store.notice().unwrap().contains(said));
        drop(store);
        assert!(fs::read(&path).ok() == now, "{how}: what is there now is as it was");
        let kept = Store::open(&file_in(&folder, "y.ladderday.kept-1")).unwrap();
        assert_eq!(names(&kept), ["porch", "lawn"], "{how}");
        assert!(!file_in(&folder, "y.ladderday.kept-2").exists(), "{how}: kept once");
        drop(kept);
        if how == "another version" {
            let mut store = Store::open(&path).unwrap();
            assert_eq!(names(&store), ["porch", "shed"]);
            store.merge(&file_in(&folder, "y.ladderday.kept-1")).unwrap();
            assert_eq!(names(&store), ["porch", "lawn", "shed"]);
            assert_eq!(store.verify().unwrap(), []);
        }
    }
}

/// The end of a program whose file was swapped must not take the log of the file that is there now.
#[test]
fn the_end_of_a_swapped_program_leaves_the_new_log_alone() {
    let (folder, mut old) = yard();
    let path = file_in(&folder, "y.ladderday");
    old.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    old.backup(&file_in(&folder, "version")).unwrap();
    fs::rename(file_in(&folder, "version"), &path).unwrap();
    let mut new = Store::open(&path).unwrap();
    new.apply(&deed("Added", 2, vec![place(2, "lawn")])).unwrap();
    drop(old);
    kill(new, &path);
    let store = Store::open(&path).unwrap();
    assert_eq!(names(&store), ["porch", "lawn"]);
    assert_eq!(store.verify().unwrap(), []);
}

#[test]
fn a_restore_under_an_open_program_is_refused_and_touches_nothing() {
    let (folder, mut store) = yard();
    let path = file_in(&folder, "y.ladderday");
    let backup = file_in(&folder, "backup");
    store.backup(&backup).unwrap();
    store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    let before = fs::metadata(&path).unwrap().ino();
    assert_eq!(Store::restore(&backup, &path, None).unwrap_err().code(), "in-use");
    assert_eq!(fs::metadata(&path).unwrap().ino(), before);
    store.apply(&deed("Added", 2, vec![place(2, "lawn")])).unwrap();
    drop(store);
    assert_eq!(names(&Store::open(&path).unwrap()), ["porch", "lawn"]);
    assert_eq!(Store::restore(&path, &path, None).unwrap_err().code(), "same-file");
}

#[test]
fn what_was_there_is_kept_as_a_file_of_its_own() {
    let folder = tempfile::tempdir().unwrap();
    let path = killed(&folder, "y.ladderday", 300);
    let empty = file_in(&folder, "empty.ladderday");
    drop(Store::create(&empty, &new_yard("A")).unwrap());
    let kept = Store::restore(&empty, &path, None).unwrap().unwrap();
    assert_ne!(fs::metadata(&kept).unwrap().ino(), fs::metadata(&path).unwrap().ino());
    assert_eq!(fs::metadata(&kept).unwrap().nlink(), 1, "a copy, no second name");
    // Both are written to, neither knows of the other.
    for (file, before) in [(&kept, 300), (&path, 0)] {
        let mut store = Store::open(file).unwrap();
        assert_eq!(names(&store).len(), before);
        store.apply(&deed("Added", 5, vec![place(900, "shed")])).unwrap();
        assert_eq!(store.verify().unwrap(), []);
    }
    assert_eq!(names(&Store::open(&kept).unwrap()).len(), 301);
    assert_eq!(names(&Store::open(&path).unwrap()).len(), 1);
}

#[test]
fn what_is_no_yard_is_kept_byte_for_byte() {
    let folder = tempfile::tempdir().unwrap();
    let (path, backup) = (file_in(&folder, "y.ladderday"), file_in(&folder, "backup"));
    drop(Store::create(&backup, &new_yard("A")).unwrap());
    fs::write(&path, b"garbage that was a yard once").unwrap();
    fs::write(log(&path), b"and its log").unwrap();
    let kept = Store::restore(&backup, &path, None).unwrap().unwrap();
    assert_eq!(fs::read(&kept).unwrap(), b"garbage that was a yard once");
    assert_eq!(fs::read(log(&kept)).unwrap(), b"and its log");
    assert_eq!(Store::open(&path).unwrap().verify().unwrap(), []);
}

#[test]
fn links_are_followed_and_stay_links() {
    let folder = tempfile::tempdir().unwrap();
    for (n, sub) in ["a", "b"].into_iter().enumerate() {
        fs::create_dir(file_in(&folder, sub)).unwrap();
        let (link, real) =
            (file_in(&folder, &format!("link{n}")), file_in(&folder, &format!("{sub}/y.ladderday")));
        symlink(format!("{sub}/y.ladderday"), &link).unwrap();
        let backup = file_in(&folder, &format!("backup{n}"));
        // A link to nothing yet, too.
        let mut store = Store::create(&link, &new_yard("A")).unwrap();
        store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
        store.backup(&backup).unwrap();
        store.apply(&deed("Added", 1, vec![place(2, "lawn")])).unwrap();
        assert!(log(&real).exists() && !log(&link).exists());
        drop(store);
        let kept = Store::restore(&backup, &link, None).unwrap().unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(kept.parent(), real.parent());
        assert_eq!(names(&Store::open(&real).unwrap()), ["porch"]);
        assert_eq!(names(&Store::open(&kept).unwrap()), ["porch", "lawn"]);
    }
}

/// Two at once: one makes it, the other is told that it is there.
#[test]
fn two_that_make_one_yard_at_once_make_one() {
    for _ in 0..10 {
        let folder = tempfile::tempdir().unwrap();
        let path = file_in(&folder, "y.ladderday");
        let made: Vec<_> = (0..4)
            .map(|_| {
                let path = path.clone();
                std::thread::spawn(move || {
                    Store::create(&path, &new_yard("A")).map(|_| ()).map_err(|e| e.code())
                })
            })
            .collect::<Vec<_>>()
            .into_iter()
            .map(|t| t.join().unwrap())
            .collect();
        assert_eq!(made.iter().filter(|m| m.is_ok()).count(), 1, "{made:?}");
        assert!(made.iter().all(|m| matches!(m, Ok(()) | Err("exists"))), "{made:?}");
        let left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|f| f.unwrap().file_name()).collect();
        assert_eq!(left, ["y.ladderday"], "nothing is left");
    }
}

/// What a crash left of a draft is swept away by the next.
#[test]
fn drafts_of_a_crash_do_not_stay() {
    let (folder, store) = yard();
    let stale = file_in(&folder, ".copy.0123456789abcdef.draft");
    let fresh = file_in(&folder, ".copy.0123456789abcde0.draft");
    let file = fs::File::create(&stale).unwrap();
    file.set_modified(std::time::UNIX_EPOCH).unwrap();
    drop(file);
    fs::write(&fresh, b"being made").unwrap();
    store.backup(&file_in(&folder, "copy")).unwrap();
    assert!(!stale.exists() && fresh.exists());
    assert_eq!(
        raw(&file_in(&folder, "copy"))
            .query_row("SELECT count(*) FROM place", [], |r| r.get::<_, i64>(0))
            .unwrap(),
        0
    );
}
