//! The process that works on the file while its calls fail.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use ladderday::store::{Store, StoreError};

use crate::tick;

/// So often a deed that was refused is tried again, as a person would.
const TRIES: usize = 3;

/// Applies deeds and acknowledges each on stdout: its number and a point. A refusal is a line `! code message`.
pub fn write(path: &Path, from: u64, deeds: u64, sabotage: bool) -> ExitCode {
    let Some(mut store) = again(|| Store::open(path)) else { return ExitCode::FAILURE };
    for n in from..from + deeds {
        if sabotage {
            say(&format!("{n}."));
        }
        if again(|| store.apply(&tick::deed(n))).is_none() {
            return ExitCode::FAILURE;
        }
        if !sabotage {
            say(&format!("{n}."));
        }
    }
    ExitCode::SUCCESS
}

/// Opens the file, which brings it up to date.
pub fn open(path: &Path) -> ExitCode {
    if again(|| Store::open(path)).is_some() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Puts a backup in the place of a yard.
pub fn restore(from: &Path, over: &Path) -> ExitCode {
    match Store::restore(from, over, None) {
        Ok(_) => ExitCode::SUCCESS,
        Err(error) => {
            say(&format!("! {} {error}", error.code()));
            ExitCode::FAILURE
        }
    }
}

fn again<T>(mut work: impl FnMut() -> Result<T, StoreError>) -> Option<T> {
    for _ in 0..TRIES {
        match work() {
            Ok(done) => return Some(done),
            Err(error) => say(&format!("! {} {error}", error.code())),
        }
    }
    None
}

fn say(line: &str) {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{line}").and_then(|()| out.flush()).unwrap();
}
