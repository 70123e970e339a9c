//! Writes the CSV tables of a yard far larger than anybody's: 2,000 placements over ten seasons, 20,000 step records,
//! 5,000 faults, 50,000 pixels; or those of another size, 1 being about the demo's and 10 this one.
//!
//! `big_yard -- FOLDER [SIZE]`, then `ladderday --yard big.ladderday new` and `ladderday --yard big.ladderday import FOLDER`.
#![allow(clippy::unwrap_used, clippy::print_stderr)]

use std::path::PathBuf;
use std::process::ExitCode;

#[path = "big_yard/make.rs"]
mod make;

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let folder = args.next().map(PathBuf::from);
    let size = args.next().map_or(Ok(make::BIG), |n| n.parse::<usize>());
    let (Some(folder), Ok(size @ 1..)) = (folder, size) else {
        eprintln!("big_yard: name the folder to write to, and perhaps a size from 1 on");
        return ExitCode::from(2);
    };
    std::fs::create_dir_all(&folder).unwrap();
    for (name, text) in make::tables(size) {
        std::fs::write(folder.join(name), text).unwrap();
    }
    ExitCode::SUCCESS
}
