//! Two long journals are brought together: how long it takes, and how much memory.

use std::fs;
use std::path::Path;
use std::process::{Command, ExitCode};
use std::time::Instant;

use ladderday::store::{NewYard, Store};
use uuid::Uuid;

use crate::tick;

/// Deeds of each journal.
const DEEDS: u64 = 20_000;

/// A copy with a few deeds more, and one that has all its deeds alone.
pub fn of_long_journals(folder: &Path) -> bool {
    let yard = folder.join("long.ladderday");
    let new = NewYard { yard_id: Uuid::from_u128(1), device: "A".into(), clock_shift_ms: None, demo: false };
    let mut home = Store::create(&yard, &new).unwrap();
    let early = folder.join("early");
    home.lend(&early, None).unwrap();
    fill(&mut home, 1, DEEDS);
    let late = folder.join("late");
    home.lend(&late, None).unwrap();
    drop(home);
    fill(&mut Store::open(&late).unwrap(), 2 * DEEDS + 1, 20);
    fill(&mut Store::open(&early).unwrap(), DEEDS + 1, DEEDS);
    let mut fine = true;
    for (name, other, brings) in [("20 deeds", &late, 20), ("20,000 deeds", &early, DEEDS)] {
        let home = folder.join("home.ladderday");
        let _ = fs::remove_file(&home);
        fs::copy(&yard, &home).unwrap();
        let done = Command::new(std::env::current_exe().unwrap())
            .args(["--merge", &other.display().to_string(), "--into", &home.display().to_string()])
            .output()
            .unwrap();
        println!(
            "merges: {name} into a journal of {DEEDS}: {}",
            String::from_utf8_lossy(&done.stdout).trim()
        );
        let store = Store::open(&home).unwrap();
        let there = store.load_yard().unwrap().ticks.len() as u64;
        fine &= done.status.success() && there == DEEDS + brings && store.verify().unwrap().is_empty();
    }
    fine
}

fn fill(store: &mut Store, from: u64, deeds: u64) {
    for n in from..from + deeds {
        store.apply(&tick::deed(n)).unwrap();
    }
}

/// The process whose time and memory are told.
pub fn merge(other: &Path, into: &Path) -> ExitCode {
    let mut store = Store::open(into).unwrap();
    let began = Instant::now();
    let added = store.merge(other).unwrap().added;
    let ms = began.elapsed().as_millis();
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|l| l.strip_prefix("VmHWM:")).map_or("not known", str::trim);
    println!("{added} added in {ms} ms, peak memory {peak}");
    ExitCode::SUCCESS
}
