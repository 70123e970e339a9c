//! Opening: what is a yard file and what is not; nothing is touched that is not.

use std::fs;
use std::os::unix::fs::PermissionsExt;

use ladderday::store::{Mode, SCHEMA_VERSION, Store};

use super::{deed, file_in, names, new_yard, place, raw, yard};

fn code_of(result: Result<Store, ladderday::store::StoreError>) -> &'static str {
    match result {
        Ok(_) => "opened",
        Err(error) => error.code(),
    }
}

#[test]
fn a_new_yard_is_private_and_empty() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("deep/er/y.ladderday");
    let store = Store::create(&path, &new_yard("A")).unwrap();
    assert_eq!(store.mode(), &Mode::Writable);
    assert_eq!(store.load_yard().unwrap(), ladderday::domain::Yard::default());
    assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600);
    assert_eq!(fs::metadata(path.parent().unwrap()).unwrap().permissions().mode() & 0o777, 0o700);
    assert_eq!(code_of(Store::create(&path, &new_yard("B"))), "exists");
}

#[test]
fn what_is_no_yard_is_refused_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(code_of(Store::open(&file_in(&folder, "none"))), "no-yard");
    assert_eq!(code_of(Store::open(folder.path())), "not-a-yard");
    let foreign = file_in(&folder, "foreign.db");
    raw(&foreign).execute_batch("CREATE TABLE site (id TEXT); PRAGMA application_id = 5;").unwrap();
    for (name, bytes) in [
        ("empty", Vec::new()),
        ("text", b"name,how many\n".repeat(40)),
        ("foreign.db", fs::read(&foreign).unwrap()),
    ] {
        let path = file_in(&folder, name);
        fs::write(&path, &bytes).unwrap();
        assert_eq!(code_of(Store::open(&path)), "not-a-yard", "{name}");
        assert_eq!(fs::read(&path).unwrap(), bytes, "{name}");
    }
    let left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|f| f.unwrap().file_name()).collect();
    assert_eq!(left.len(), 3, "{left:?}");
}

#[test]
fn a_cut_off_yard_is_damaged_and_left_alone() {
    let (folder, mut store) = yard();
    store.apply(&deed("Added", 1, (1..200).map(|n| place(n, "porch")).collect())).unwrap();
    drop(store);
    let path = file_in(&folder, "y.ladderday");
    let bytes = fs::read(&path).unwrap();
    let half = bytes[..bytes.len() / 2].to_vec();
    fs::write(&path, &half).unwrap();
    assert_eq!(code_of(Store::open(&path)), "damaged");
    assert_eq!(fs::read(&path).unwrap(), half);
}

/// Whatever bytes are flipped: an error or a finding, or the facts as they were. Never a panic, never other facts in silence.
#[test]
fn flipped_bytes_never_panic_and_never_pass_unseen() {
    let (folder, mut store) = yard();
    store.apply(&deed("Added", 1, (1..60).map(|n| place(n, "porch")).collect())).unwrap();
    let whole = store.load_whole_yard().unwrap();
    drop(store);
    let bytes = fs::read(file_in(&folder, "y.ladderday")).unwrap();
    let path = file_in(&folder, "flipped.ladderday");
    let mut random = fastrand::Rng::with_seed(11);
    let (mut refused, mut found, mut same) = (0, 0, 0);
    for _ in 0..300 {
        let mut broken = bytes.clone();
        for _ in 0..random.usize(1..4) {
            let at = random.usize(..broken.len());
            broken[at] ^= 1 << random.u8(..8);
        }
        for end in ["-wal", "-shm"] {
            let _ = fs::remove_file(file_in(&folder, &format!("flipped.ladderday{end}")));
        }
        fs::write(&path, &broken).unwrap();
        let Ok(store) = Store::open(&path) else {
            refused += 1;
            continue;
        };
        match (store.load_whole_yard(), store.verify()) {
            (Ok(yard), Ok(findings)) if findings.is_empty() => {
                assert_eq!(yard, whole, "other facts, and verify is silent");
                same += 1;
            }
            _ => found += 1,
        }
    }
    assert!(refused > 0 && found > 0 && same > 0, "{refused} refused, {found} found, {same} without effect");
}

#[test]
fn a_newer_yard_opens_for_reading_and_says_both_versions() {
    let (folder, mut store) = yard();
    store.apply(&deed("Added", 1, vec![place(1, "porch")])).unwrap();
    drop(store);
    let path = file_in(&folder, "y.ladderday");
    raw(&path)
        .execute_batch(
            "ALTER TABLE place ADD COLUMN later TEXT; CREATE TABLE later (x); PRAGMA user_version = 41;",
        )
        .unwrap();
    let mut store = Store::open(&path).unwrap();
    assert_eq!(store.mode(), &Mode::Newer { file: 41, program: SCHEMA_VERSION });
    assert_eq!(names(&store), ["porch"]);
    let notice = store.notice().unwrap();
    assert!(notice.contains("format 41") && notice.contains(&format!("format {SCHEMA_VERSION}")), "{notice}");
    assert_eq!(store.apply(&deed("Added", 2, vec![place(2, "lawn")])).unwrap_err().code(), "newer");
    assert_eq!(store.undo(3).unwrap_err().code(), "newer");
    assert_eq!(store.keep_plan(&[]).unwrap_err().code(), "newer");
    assert_eq!(store.set_meta("device", "B").unwrap_err().code(), "newer");
}

#[test]
fn two_programs_write_one_file_by_turns() {
    let (folder, store) = yard();
    drop(store);
    let path = file_in(&folder, "y.ladderday");
    let workers: Vec<_> = (0..4_u128)
        .map(|w| {
            let path = path.clone();
            std::thread::spawn(move || {
                let mut store = Store::open(&path).unwrap();
                for n in 0..50 {
                    store.apply(&deed("Added", 1, vec![place(1 + w * 50 + n, "porch")])).unwrap();
                }
            })
        })
        .collect();
    for worker in workers {
        worker.join().unwrap();
    }
    let store = Store::open(&path).unwrap();
    assert_eq!(store.load_yard().unwrap().places.len(), 200);
    assert_eq!(store.history(1000).unwrap().len(), 200);
    assert_eq!(store.verify().unwrap(), []);
}
