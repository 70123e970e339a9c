//! Lets the n-th system call of a writing process fail, or kills the process at it, and counts what that cost.
//!
//! `faults -- [deeds|full|migration|restore|order|together|swaps|merges|all] [--dir DIR] [--sabotage ack-first]`; needs `strace`, and says so where
//! it is missing. A child process works on a copy of a yard file under `strace -e inject`, for n = 1, 2 … until it ends
//! without being hit.
//!
//! - `deeds`: the n-th write, sync, truncate, open, remove, lock or read gives EIO or ENOSPC, or the child is killed at it;
//!   on a file closed cleanly and on one with a log left by a crash. Every acknowledged deed must be there, nothing be
//!   found by `verify`.
//! - `full`: from the n-th write on the disk is full; then there is room again, and the work goes on.
//! - `migration`: the same faults, and a kill at every single call, while a filled file of format 1 is opened. The
//!   file must be that of one format exactly, its backup too, and the next opening must end at the last format.
//! - `restore`: the same while a backup is put in the place of a yard whose last deeds are in its log. Either all of the
//!   yard stands, or the backup does and all of the yard is kept beside it.
//! - `order`: nothing fails; the calls themselves must show that whatever is acknowledged was synced before, that a
//!   log is written over only after its pages were synced, and that a draft gets its name only once it is synced. This
//!   is what a power cut would show.
//! - `together`: four processes write 1,500 deeds each to one file at the same time; it needs no strace.
//! - `swaps`: 200 times another file gets the name, or the file is deleted, while a process writes; what stands there
//!   and what was kept beside it must hold every acknowledged deed. It needs no strace.
//! - `merges`: two journals of 20,000 deeds are brought together; prints time and memory. It needs no strace.
//!
//! Prints a line of totals for each; exits 1 where anything was lost. `--sabotage ack-first` acknowledges before the
//! deed is applied: the run must then fail.
// Items are shared between the parts of this one program.
#![allow(unreachable_pub)]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::print_stderr,
    clippy::disallowed_methods
)]

use std::path::PathBuf;
use std::process::ExitCode;

#[path = "faults/child.rs"]
mod child;
#[path = "faults/deeds.rs"]
mod deeds;
#[path = "faults/merges.rs"]
mod merges;
#[path = "faults/migration.rs"]
mod migration;
#[path = "faults/order.rs"]
mod order;
#[path = "faults/restore.rs"]
mod restore;
#[path = "faults/strace.rs"]
mod strace;
#[path = "faults/swaps.rs"]
mod swaps;
mod tick;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str| args.iter().position(|a| a == name).and_then(|i| args.get(i + 1)).cloned();
    let sabotage = value("--sabotage").is_some();
    if let Some(path) = value("--write") {
        let number = |name: &str| value(name).unwrap().parse().unwrap();
        return child::write(path.as_ref(), number("--from"), number("--deeds"), sabotage);
    }
    if let Some(path) = value("--open") {
        return child::open(path.as_ref());
    }
    if let Some(from) = value("--restore") {
        return child::restore(from.as_ref(), value("--over").unwrap().as_ref());
    }
    if let Some(other) = value("--merge") {
        return merges::merge(other.as_ref(), value("--into").unwrap().as_ref());
    }
    let what = args.first().filter(|a| !a.starts_with("--")).map_or("all", String::as_str);
    let folder = value("--dir").map_or_else(std::env::temp_dir, PathBuf::from);
    let folder = folder.join(format!("faults-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let wanted = |name: &str| what == name || what == "all";
    let mut fine = !wanted("together") || deeds::together(&folder);
    fine &= !wanted("swaps") || swaps::under_a_program(&folder, 200, sabotage);
    fine &= !wanted("merges") || merges::of_long_journals(&folder);
    if ["together", "swaps", "merges"].contains(&what) {
        let _ = std::fs::remove_dir_all(&folder);
        return if fine { ExitCode::SUCCESS } else { ExitCode::FAILURE };
    }
    if !strace::is_there() {
        eprintln!("faults: strace is not installed, so no call was made to fail");
        return if fine { ExitCode::SUCCESS } else { ExitCode::FAILURE };
    }
    if wanted("deeds") {
        fine &= deeds::each_call(&folder, sabotage);
    }
    if wanted("full") {
        fine &= deeds::full(&folder, sabotage);
    }
    if wanted("migration") {
        fine &= migration::each_call(&folder);
    }
    if wanted("restore") {
        fine &= restore::each_call(&folder);
    }
    if wanted("order") {
        fine &= order::of_deeds(&folder, sabotage) & order::of_migration(&folder);
    }
    let _ = std::fs::remove_dir_all(&folder);
    if fine { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
