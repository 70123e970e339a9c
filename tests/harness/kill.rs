//! Kills a writing process at random moments and counts what it had acknowledged.
//!
//! `kill -- [--kills N] [--seed K] [--dir DIR] [--sabotage ack-first]`: a child process applies one deed after
//! another to a yard file and prints the number of each when `apply` has returned; it is killed (SIGKILL) after a
//! random time, then the file is opened, verified, and each acknowledged deed looked for. Prints one line of totals;
//! exits 1 when a deed was lost or a finding made. `--sabotage ack-first` acknowledges before the deed is applied:
//! the run must then fail.
// Items are shared between the parts of this one program.
#![allow(unreachable_pub)]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::print_stderr,
    clippy::disallowed_methods
)]

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Stdio};
use std::time::Duration;

use ladderday::store::{NewYard, Store};
use uuid::Uuid;

mod tick;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str| args.iter().position(|a| a == name).and_then(|i| args.get(i + 1)).cloned();
    let sabotage = value("--sabotage").is_some();
    if let Some(path) = value("--write") {
        write(Path::new(&path), value("--from").unwrap().parse().unwrap(), sabotage);
    }
    let kills: u64 = value("--kills").map_or(200, |n| n.parse().expect("--kills takes a number"));
    let seed: u64 = value("--seed").map_or(1, |n| n.parse().expect("--seed takes a number"));
    let folder = value("--dir").map_or_else(std::env::temp_dir, PathBuf::from);
    let path = folder.join(format!("kill-{}.ladderday", std::process::id()));
    let new = NewYard { yard_id: Uuid::from_u128(1), device: "A".into(), clock_shift_ms: None, demo: false };
    drop(Store::create(&path, &new).unwrap());

    let mut random = fastrand::Rng::with_seed(seed);
    let (mut acknowledged, mut lost, mut findings) = (BTreeSet::new(), 0, 0);
    let mut next = 1_u64;
    for kill in 1..=kills {
        let before = acknowledged.len();
        next = one_kill(&path, next, sabotage, &mut random, &mut acknowledged);
        let store = Store::open(&path).unwrap();
        let kept: BTreeSet<u128> =
            store.load_yard().unwrap().ticks.iter().map(|t| t.id.0.as_u128()).collect();
        let entries = store.history(usize::MAX).unwrap().len();
        let missing = acknowledged.iter().filter(|n| !kept.contains(&u128::from(**n))).count();
        lost = missing;
        // A deed's entry and rows come together: as many entries as ticks.
        findings += usize::from(entries != kept.len());
        // The whole of the journal against the tables now and then; it takes longer as the file grows.
        if kill % 20 == 0 || kill == kills {
            findings += store.verify().unwrap().len();
        }
        if acknowledged.len() == before {
            eprintln!("# kill {kill}: nothing was acknowledged");
        }
    }
    println!("{kills} kills, {} acknowledged, {lost} lost, {findings} findings", acknowledged.len());
    for end in ["", "-wal", "-shm"] {
        let _ = std::fs::remove_file(format!("{}{end}", path.display()));
    }
    if lost == 0 && findings == 0 && !acknowledged.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Lets a child write from `next` on, kills it, and returns the number to go on with.
fn one_kill(
    path: &Path,
    next: u64,
    sabotage: bool,
    random: &mut fastrand::Rng,
    acknowledged: &mut BTreeSet<u64>,
) -> u64 {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command.args(["--write", &path.display().to_string(), "--from", &next.to_string()]);
    if sabotage {
        command.args(["--sabotage", "ack-first"]);
    }
    let mut child = command.stdout(Stdio::piped()).spawn().unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let reader = std::thread::spawn(move || {
        lines
            .map_while(Result::ok)
            .filter_map(|l| l.strip_suffix('.').and_then(|n| n.parse().ok()))
            .collect::<Vec<u64>>()
    });
    std::thread::sleep(Duration::from_micros(random.u64(8_000..60_000)));
    child.kill().unwrap();
    child.wait().unwrap();
    let told = reader.join().unwrap();
    let last = told.iter().copied().max().unwrap_or(next);
    acknowledged.extend(told);
    // Numbers in flight are not used again.
    last + 1_000
}

/// Applies deeds until killed; a number followed by a point on stdout acknowledges a deed.
fn write(path: &Path, from: u64, sabotage: bool) -> ! {
    let mut store = Store::open(path).unwrap();
    let mut out = std::io::stdout().lock();
    for n in from.. {
        if sabotage {
            writeln!(out, "{n}.").and_then(|()| out.flush()).unwrap();
        }
        store.apply(&tick::deed(n)).unwrap();
        if !sabotage {
            writeln!(out, "{n}.").and_then(|()| out.flush()).unwrap();
        }
    }
    unreachable!("numbers don't end")
}
