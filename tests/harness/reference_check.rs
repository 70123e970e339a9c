//! Compares the program's own calculations with a file of reference cases.
//!
//! `cargo run --release --example reference_check -- KIND FILE`: each difference is one line that names its case;
//! exit 0 all alike, 1 something differs or could not be computed, 2 wrong use.
#![allow(clippy::print_stdout, clippy::print_stderr, clippy::disallowed_methods)]

use std::process::ExitCode;

mod reference;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [kind, path] = args.as_slice() else {
        eprintln!("usage: reference_check KIND FILE; KIND is one of {}", reference::kinds());
        return ExitCode::from(2);
    };
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) => {
            eprintln!("{path}: {error}");
            return ExitCode::from(2);
        }
    };
    match reference::check(kind, &text) {
        None => {
            eprintln!("no kind {kind}; KIND is one of {}", reference::kinds());
            ExitCode::from(2)
        }
        Some(differences) if differences.is_empty() => {
            println!("{kind}: all cases alike");
            ExitCode::SUCCESS
        }
        Some(differences) => {
            for line in differences {
                println!("{line}");
            }
            ExitCode::from(1)
        }
    }
}
