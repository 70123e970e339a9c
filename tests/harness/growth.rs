//! How the commands grow with the yard: time and memory of each at 1, 10 and 100 times the demo, as whole processes.
//!
//! `growth -- PROGRAM [RUNS] [SIZE ...]`: makes a yard of each size in a folder of its own, runs every command RUNS times
//! (3), and prints a table: the median in seconds, of it seconds of a processor, the peak of memory, and how many times
//! the processor seconds of the last size are those of the one before.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a harness measures real time and stops at what is wrong"
)]

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

#[path = "big_yard/make.rs"]
mod make;

const NOW: &str = "2026-10-20T08:00";

/// What is measured, in this order, on one yard; `FOLDER` holds its tables. `*` is run once: it changes the yard.
const COMMANDS: [&str; 29] = [
    "*import FOLDER",
    "*plan up",
    "",
    "plan up",
    "plan down",
    "step list up",
    "plan why placement:PM26-017/hook.hang/up",
    "plan up --what-if hold~PM26-017",
    "session list",
    "kit list S-01",
    "told place",
    "check power",
    "history",
    "spares",
    "fault list",
    "fault guide F2026-000",
    "buy",
    "season list",
    "tote list",
    "journal",
    "print checklist up",
    "print wiring",
    "print calendar",
    "verify",
    "backup COPY",
    "*step done placement:PM26-017/hook.hang/up",
    "*undo",
    "*fault add PM26-017 dark_from --at 3",
    "export OUT",
];

struct Run {
    took: Duration,
    /// Hundredths of a second of processor time, in it and in the system for it.
    worked: u64,
    /// KiB, as seen every two milliseconds.
    peak: u64,
}

fn run(program: &Path, folder: &Path, words: &str) -> Run {
    let within = |name: &str| folder.join(name).display().to_string();
    let args = words.split_whitespace().map(|w| match w {
        "FOLDER" => within("tables"),
        "COPY" => within("copy.ladderday"),
        "OUT" => within("out"),
        // A blank within a word.
        w => w.replace('~', " "),
    });
    let _ = std::fs::remove_file(folder.join("copy.ladderday"));
    let _ = std::fs::remove_dir_all(folder.join("out"));
    let start = Instant::now();
    let mut child = Command::new(program)
        .args(["--yard", &within("yard.ladderday"), "--now", NOW])
        .args(args)
        .env("HOME", folder)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let of = |name: &str| std::fs::read_to_string(format!("/proc/{}/{name}", child.id())).unwrap_or_default();
    let mut peak = 0;
    // What has ended keeps its figures until it is asked for its end.
    let worked = loop {
        let told = of("status");
        let high =
            told.lines().find_map(|l| l.strip_prefix("VmHWM:")).and_then(|l| l.split_whitespace().next());
        peak = peak.max(high.and_then(|n| n.parse().ok()).unwrap_or(0));
        if told.contains("State:\tZ") {
            let stat = of("stat");
            let after_name = stat.rsplit(") ").next().unwrap();
            let ticks = |n: usize| after_name.split(' ').nth(n).unwrap().parse::<u64>().unwrap();
            break ticks(11) + ticks(12);
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    let took = start.elapsed();
    let ended = child.wait().unwrap();
    if !ended.success() {
        let mut said = String::new();
        std::io::Read::read_to_string(&mut child.stderr.take().unwrap(), &mut said).unwrap();
        println!("{words}: {ended} {said}");
    }
    Run { took, worked, peak }
}

/// The median run of a command.
fn measured(program: &Path, folder: &Path, words: &str, runs: usize) -> Run {
    let once = words.starts_with('*');
    let words = words.trim_start_matches('*');
    let mut all: Vec<Run> = (0..if once { 1 } else { runs }).map(|_| run(program, folder, words)).collect();
    all.sort_by_key(|r| r.took);
    all.swap_remove(all.len() / 2)
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let Some(program) = args.first().map(Path::new) else {
        println!("growth -- PROGRAM [RUNS] [SIZE ...]");
        return;
    };
    let runs = args.get(1).map_or(3, |n| n.parse().unwrap());
    let mut sizes: Vec<usize> = args.iter().skip(2).map(|n| n.parse().unwrap()).collect();
    if sizes.is_empty() {
        sizes = vec![1, make::BIG, 10 * make::BIG];
    }
    let mut columns: Vec<Vec<Run>> = Vec::new();
    for size in &sizes {
        let home = tempfile::tempdir().unwrap();
        let tables = home.path().join("tables");
        std::fs::create_dir(&tables).unwrap();
        for (name, text) in make::tables(*size) {
            std::fs::write(tables.join(name), text).unwrap();
        }
        run(program, home.path(), "new");
        columns.push(COMMANDS.iter().map(|c| measured(program, home.path(), c, runs)).collect());
    }
    let heads: Vec<String> = sizes.iter().map(|s| format!("{s} times")).collect();
    println!("| command | {} | grows by |", heads.join(" | "));
    println!("| --- |{} --- |", " --- |".repeat(sizes.len()));
    for (n, command) in COMMANDS.iter().enumerate() {
        let cells: Vec<String> = columns
            .iter()
            .map(|c| &c[n])
            .map(|r| {
                let (took, worked) = (r.took.as_secs_f64(), r.worked as f64 / 100.0);
                format!("{took:.2} s ({worked:.2}), {} MB", r.peak / 1024)
            })
            .collect();
        let last = columns.iter().rev().take(2).map(|c| c[n].worked.max(1) as f64).collect::<Vec<_>>();
        let grows =
            if let [after, before] = last[..] { format!("{:.0}", after / before) } else { String::new() };
        let name = command.trim_start_matches('*');
        let name = if name.is_empty() { "(none: today's page)" } else { name };
        println!("| `{name}` | {} | {grows} |", cells.join(" | "));
    }
}
