//! Deeds while calls fail.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use ladderday::store::{NewYard, Store};
use uuid::Uuid;

use crate::strace::{Fault, run};
use crate::tick;

/// Deeds of one run: enough for every kind of call, and closing writes them back.
const DEEDS: u64 = 6;
/// Deeds in the log that a crash left.
const BEFORE: u64 = 5;
const CALLS: [&str; 9] =
    ["pwrite64", "fsync", "fdatasync", "ftruncate", "openat", "unlink", "fcntl", "pread64", "write"];

/// Acknowledgements go through `write`; a lock that can't be given back is only waited for.
const ONLY_KILLED: [&str; 2] = ["write", "fcntl"];

/// A yard file to start from.
struct Start {
    name: &'static str,
    folder: PathBuf,
    /// Deeds that are in it.
    deeds: u64,
}

#[derive(Default)]
struct Totals {
    runs: usize,
    hit: usize,
    acknowledged: usize,
    lost: usize,
    findings: usize,
    unopened: usize,
    refused: BTreeMap<String, usize>,
}

impl Totals {
    fn fine(&self) -> bool {
        self.hit > 0 && self.acknowledged > 0 && self.lost + self.findings + self.unopened == 0
    }
}

pub fn each_call(folder: &Path, sabotage: bool) -> bool {
    let mut totals = Totals::default();
    let mut fine = true;
    for start in starts(folder) {
        for how in ["EIO", "ENOSPC", "KILL"] {
            for call in CALLS.into_iter().filter(|c| how == "KILL" || !ONLY_KILLED.contains(c)) {
                let before = totals.hit;
                for n in 1.. {
                    let fault = Fault { call, n, on: false, how };
                    if !one(folder, &start, &fault, sabotage, &mut totals) {
                        break;
                    }
                }
                eprintln!("# {}: {} of {call} {how}", start.name, totals.hit - before);
            }
        }
    }
    fine &= totals.fine();
    tell("deeds", &totals);
    fine
}

pub fn full(folder: &Path, sabotage: bool) -> bool {
    let mut totals = Totals::default();
    let start = &starts(folder)[0];
    let (mut clear, mut went_on) = (0, 0);
    for n in 1.. {
        let fault = Fault { call: "pwrite64", n, on: true, how: "ENOSPC" };
        let yard = fresh(folder, start);
        let ran = work(folder, &yard, start.deeds + 1, sabotage, Some(&fault));
        if !ran.hit {
            break;
        }
        // What is only written back at closing needs no word.
        let said =
            ran.well || ran.refused.iter().any(|(code, _)| code == "disk-full" || code == "disk-failed");
        clear += usize::from(said);
        let mut all: BTreeSet<u64> = ran.acknowledged.iter().copied().collect();
        let again = work(folder, &yard, 1000, sabotage, None);
        went_on += usize::from(again.well && again.acknowledged.len() as u64 == DEEDS);
        all.extend(again.acknowledged);
        count(&yard, &all, &ran.refused, &mut totals);
    }
    println!("full: {clear} of {} said clearly, {went_on} went on once there was room", totals.runs);
    tell("full", &totals);
    totals.fine() && clear == totals.runs && went_on == totals.runs
}

/// Four processes at one file.
pub fn together(folder: &Path) -> bool {
    let yard = folder.join("together.ladderday");
    let new = NewYard { yard_id: Uuid::from_u128(1), device: "A".into(), clock_shift_ms: None, demo: false };
    drop(Store::create(&yard, &new).unwrap());
    let each = 1_500_u64;
    let children: Vec<_> = (0..4)
        .map(|process| {
            let (from, deeds) = ((process * each + 1).to_string(), each.to_string());
            Command::new(std::env::current_exe().unwrap())
                .args(["--write", &yard.display().to_string(), "--from", &from, "--deeds", &deeds])
                .stdout(Stdio::piped())
                .spawn()
                .unwrap()
        })
        .collect();
    let (mut totals, mut all, mut refused) = (Totals::default(), BTreeSet::new(), Vec::new());
    for child in children {
        let text = String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap();
        all.extend(text.lines().filter_map(|l| l.strip_suffix('.').and_then(|n| n.parse::<u64>().ok())));
        refused
            .extend(text.lines().filter_map(|l| l.strip_prefix("! ")).map(|l| (l.to_owned(), String::new())));
    }
    count(&yard, &all, &refused, &mut totals);
    println!(
        "together: {} of {} deeds acknowledged, {} lost, {} findings; refusals {:?}",
        all.len(),
        4 * each,
        totals.lost,
        totals.findings,
        totals.refused
    );
    totals.fine() && all.len() as u64 == 4 * each
}

fn one(folder: &Path, start: &Start, fault: &Fault<'_>, sabotage: bool, totals: &mut Totals) -> bool {
    let yard = fresh(folder, start);
    let ran = work(folder, &yard, start.deeds + 1, sabotage, Some(fault));
    if ran.hit {
        let all = (1..=start.deeds).chain(ran.acknowledged).collect();
        let worse = (totals.lost, totals.findings, totals.unopened);
        count(&yard, &all, &ran.refused, totals);
        if worse != (totals.lost, totals.findings, totals.unopened) {
            eprintln!("# {}: {fault:?} did harm; {:?}", start.name, ran.refused);
        }
    }
    ran.hit
}

fn work(
    folder: &Path,
    yard: &Path,
    from: u64,
    sabotage: bool,
    fault: Option<&Fault<'_>>,
) -> crate::strace::Ran {
    let (yard, from, deeds) = (yard.display().to_string(), from.to_string(), DEEDS.to_string());
    let mut args = vec!["--write", &yard, "--from", &from, "--deeds", &deeds];
    if sabotage {
        args.extend(["--sabotage", "ack-first"]);
    }
    run(folder, &args, fault)
}

/// Looks at what a run left.
fn count(yard: &Path, acknowledged: &BTreeSet<u64>, refused: &[(String, String)], totals: &mut Totals) {
    totals.runs += 1;
    totals.hit += 1;
    totals.acknowledged += acknowledged.len();
    for (code, _) in refused {
        *totals.refused.entry(code.clone()).or_default() += 1;
    }
    let Ok(store) = Store::open(yard) else {
        totals.unopened += 1;
        return;
    };
    let kept: BTreeSet<u128> = store.load_yard().unwrap().ticks.iter().map(|t| t.id.0.as_u128()).collect();
    totals.lost += acknowledged.iter().filter(|n| !kept.contains(&u128::from(**n))).count();
    // A deed's entry and rows come together: as many entries as ticks.
    totals.findings += usize::from(store.history(usize::MAX).unwrap().len() != kept.len());
    totals.findings += store.verify().unwrap().len();
}

fn tell(name: &str, t: &Totals) {
    println!(
        "{name}: {} faults, {} deeds acknowledged, {} lost, {} findings, {} not opened; refusals {:?}",
        t.hit, t.acknowledged, t.lost, t.findings, t.unopened, t.refused
    );
}

/// A file closed cleanly, and one with the log of a crashed program beside it.
fn starts(folder: &Path) -> Vec<Start> {
    let (clean, crashed) = (folder.join("clean"), folder.join("crashed"));
    for at in [&clean, &crashed] {
        let _ = fs::remove_dir_all(at);
        fs::create_dir_all(at).unwrap();
    }
    let new = NewYard { yard_id: Uuid::from_u128(1), device: "A".into(), clock_shift_ms: None, demo: false };
    let yard = clean.join("y.ladderday");
    let mut store = Store::create(&yard, &new).unwrap();
    drop(store);
    store = Store::open(&clean.join("y.ladderday")).unwrap();
    let empty = folder.join("empty");
    fs::copy(&yard, &empty).unwrap();
    for n in 1..=BEFORE {
        store.apply(&tick::deed(n)).unwrap();
    }
    for end in ["", "-wal"] {
        fs::copy(clean.join(format!("y.ladderday{end}")), crashed.join(format!("y.ladderday{end}"))).unwrap();
    }
    drop(store);
    fs::copy(&empty, &yard).unwrap();
    vec![
        Start { name: "clean", folder: clean, deeds: 0 },
        Start { name: "crashed", folder: crashed, deeds: BEFORE },
    ]
}

fn fresh(folder: &Path, start: &Start) -> PathBuf {
    let work = folder.join("work");
    let _ = fs::remove_dir_all(&work);
    fs::create_dir_all(&work).unwrap();
    for file in fs::read_dir(&start.folder).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), work.join(file.file_name())).unwrap();
    }
    work.join("y.ladderday")
}
