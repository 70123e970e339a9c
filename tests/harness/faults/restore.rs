//! A restore while calls fail, or while it is killed at any call.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use ladderday::store::{NewYard, Store};
use uuid::Uuid;

use crate::strace::{Fault, counts, run};
use crate::tick;

const CALLS: [&str; 11] = [
    "pwrite64",
    "write",
    "fsync",
    "fdatasync",
    "ftruncate",
    "openat",
    "unlink",
    "link",
    "linkat",
    "rename",
    "pread64",
];
/// Deeds in the backup, and in the yard that it is to replace, the last of them in its log.
const BACKED_UP: usize = 5;
const SAVED: usize = 12;

/// Either all that was saved stands, or the backup does and what was saved is kept beside it.
pub fn each_call(folder: &Path) -> bool {
    let (yard, backup) = work(folder);
    let args = |yard: &Path, backup: &Path| {
        [
            "--restore".to_owned(),
            backup.display().to_string(),
            "--over".to_owned(),
            yard.display().to_string(),
        ]
    };
    let run_on = |yard: &Path, backup: &Path, fault: Option<&Fault<'_>>| {
        let args = args(yard, backup);
        run(folder, &args.each_ref().map(String::as_str), fault)
    };
    let unharmed = run_on(&yard, &backup, None);
    let counted = counts(&unharmed.log);
    let mut faults: Vec<(String, usize, &str)> = Vec::new();
    for (call, n) in counted.iter().filter(|c| c.0 != "execve") {
        faults.extend((1..=*n).map(|n| (call.clone(), n, "KILL")));
    }
    for call in CALLS {
        for how in ["EIO", "ENOSPC"] {
            let n = counted.get(call).copied().unwrap_or(0);
            faults.extend((1..=n).map(|n| (call.to_owned(), n, how)));
        }
    }
    let (mut hit, mut lost, mut not_whole) = (0, 0, 0);
    let mut stands: BTreeMap<usize, usize> = BTreeMap::new();
    for (call, n, how) in &faults {
        let (yard, backup) = work(folder);
        let ran = run_on(&yard, &backup, Some(&Fault { call, n: *n, on: false, how }));
        hit += usize::from(ran.hit);
        let found = ticks(&yard);
        match found {
            None => not_whole += 1,
            Some(n) => *stands.entry(n).or_default() += 1,
        }
        let kept = PathBuf::from(format!("{}.before-restore-1", yard.display()));
        let safe = match found {
            Some(SAVED) => true,
            Some(BACKED_UP) => ticks(&kept) == Some(SAVED),
            _ => false,
        };
        if !safe {
            lost += 1;
            eprintln!("# {call} {n} {how}: {found:?} stand");
        }
    }
    println!(
        "restore: {hit} faults of {} met, {lost} with something lost, {not_whole} not whole; deeds that stood: {stands:?}",
        faults.len()
    );
    hit > 0 && lost + not_whole == 0 && stands.len() == 2
}

/// How many ticks a whole file holds.
fn ticks(path: &Path) -> Option<usize> {
    let store = Store::open(path).ok()?;
    store.verify().ok()?.is_empty().then(|| store.load_yard().map(|y| y.ticks.len()).ok())?
}

/// A yard with deeds in its log, as a crash leaves it, and an earlier backup of it.
fn work(folder: &Path) -> (PathBuf, PathBuf) {
    let template = folder.join("restore-template");
    let at = |folder: &Path, name: &str| folder.join(name);
    let names = ["y.ladderday", "y.ladderday-wal", "backup"];
    if !template.exists() {
        fs::create_dir_all(&template).unwrap();
        let made = folder.join("restore-made");
        fs::create_dir_all(&made).unwrap();
        let new =
            NewYard { yard_id: Uuid::from_u128(1), device: "A".into(), clock_shift_ms: None, demo: false };
        let mut store = Store::create(&at(&made, "y.ladderday"), &new).unwrap();
        for n in 1..=SAVED as u64 {
            store.apply(&tick::deed(n)).unwrap();
            if n == BACKED_UP as u64 {
                store.backup(&at(&made, "backup")).unwrap();
            }
        }
        for name in names {
            fs::copy(at(&made, name), at(&template, name)).unwrap();
        }
        drop(store);
        fs::remove_dir_all(&made).unwrap();
    }
    let work = folder.join("work");
    let _ = fs::remove_dir_all(&work);
    fs::create_dir_all(&work).unwrap();
    for name in names {
        fs::copy(at(&template, name), at(&work, name)).unwrap();
    }
    (at(&work, "y.ladderday"), at(&work, "backup"))
}
