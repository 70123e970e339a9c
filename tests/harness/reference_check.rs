//! Compares the program's own calculations with a file of reference cases.
//!
//! `cargo run --release --example reference_check -- KIND FILE [--times]`: each difference is one line that names its
//! case; exit 0 all alike, 1 something differs or could not be computed, 2 wrong use. `--times` prints the seconds of
//! each case of a JSON file with `cases`, in lines that begin with `#`.
#![allow(clippy::print_stdout, clippy::print_stderr, clippy::disallowed_methods)]

use std::process::ExitCode;
use std::time::Instant;

use serde_json::{Value, json};

mod reference;

fn main() -> ExitCode {
    let mut args: Vec<String> = std::env::args().skip(1).collect();
    let before = args.len();
    args.retain(|a| a != "--times");
    let [kind, path] = args.as_slice() else {
        eprintln!("usage: reference_check KIND FILE [--times]; KIND is one of {}", reference::kinds());
        return ExitCode::from(2);
    };
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) => {
            eprintln!("{path}: {error}");
            return ExitCode::from(2);
        }
    };
    if args.len() < before {
        times(kind, &text);
    }
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

/// Prints how long each case takes by itself.
fn times(kind: &str, text: &str) {
    let cases = serde_json::from_str::<Value>(text).ok().and_then(|v| v["cases"].as_array().cloned());
    let mut slowest = (0.0, String::new());
    let cases = cases.unwrap_or_default();
    for case in &cases {
        let id =
            case.pointer("/input/id").or(case.get("id")).and_then(Value::as_str).unwrap_or("?").to_owned();
        let one = json!({ "cases": [case] }).to_string();
        let began = Instant::now();
        let _ = reference::check(kind, &one);
        let seconds = began.elapsed().as_secs_f64();
        println!("# {id} {seconds:.4} s");
        if seconds >= slowest.0 {
            slowest = (seconds, id);
        }
    }
    println!("# {} cases, slowest {} with {:.4} s", cases.len(), slowest.1, slowest.0);
}
