//! Looks at many generated yards: `laws -- [YARDS [NAME]]`, with a name only laws of which it is a part; exits 1 where a law is broken, with the smallest yard of each.
#![allow(unreachable_pub, dead_code)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

#[path = "../laws/mod.rs"]
mod laws;
#[path = "../triples/mod.rs"]
mod triples;

use std::process::ExitCode;

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let yards = args.next().and_then(|n| n.parse().ok()).unwrap_or(10_000);
    let wanted = args.next().unwrap_or_default();
    let asked: Vec<_> = laws::LAWS.iter().filter(|(name, ..)| name.contains(&wanted)).collect();
    let mut broken = 0;
    for law in &asked {
        let said = laws::breach(law, 0..yards);
        println!("{}: {}", law.0, said.as_deref().unwrap_or("holds"));
        broken += usize::from(said.is_some());
    }
    println!("{} laws, {yards} yards each, {broken} broken", asked.len());
    if broken == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
