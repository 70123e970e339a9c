//! Writes the CSV tables of a yard far larger than anybody's: 2,000 placements over ten seasons, 20,000 step records,
//! 5,000 faults, 50,000 pixels.
//!
//! `big_yard -- FOLDER`, then `ladderday --yard big.ladderday new` and `ladderday --yard big.ladderday import FOLDER`.
#![allow(clippy::unwrap_used, clippy::print_stderr)]

use std::path::PathBuf;
use std::process::ExitCode;

#[path = "big_yard/make.rs"]
mod make;

fn main() -> ExitCode {
    let Some(folder) = std::env::args().nth(1).map(PathBuf::from) else {
        eprintln!("big_yard: name the folder to write to");
        return ExitCode::from(2);
    };
    std::fs::create_dir_all(&folder).unwrap();
    for (name, text) in make::tables() {
        std::fs::write(folder.join(name), text).unwrap();
    }
    ExitCode::SUCCESS
}
