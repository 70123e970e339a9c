//! Looks at many generated yards: `laws -- [YARDS]`; exits 1 where a law is broken, with the smallest yard of each.
#![allow(unreachable_pub, dead_code)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

#[path = "../laws/mod.rs"]
mod laws;
#[path = "../triples/mod.rs"]
mod triples;

use std::process::ExitCode;

fn main() -> ExitCode {
    let yards = std::env::args().nth(1).and_then(|n| n.parse().ok()).unwrap_or(10_000);
    let broken = laws::run(yards);
    for said in &broken {
        println!("{said}\n");
    }
    println!("{} laws, {yards} yards each, {} broken", laws::LAWS.len(), broken.len());
    if broken.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
