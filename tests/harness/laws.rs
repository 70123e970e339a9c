//! Looks at many generated yards: `laws -- [YARDS [NAME]]` or `laws -- FROM-TO NAME`, with a name only laws of which it is a part; exits 1 where a law is broken, with the smallest yard of each.
#![allow(unreachable_pub, dead_code)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

#[path = "../laws/mod.rs"]
mod laws;
#[path = "../triples/mod.rs"]
mod triples;

use std::process::ExitCode;

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let told = args.next().unwrap_or_else(|| "10000".to_owned());
    let (from, to) = told.split_once('-').unwrap_or(("0", &told));
    let (Ok(from), Ok(to)) = (from.parse::<u64>(), to.parse::<u64>()) else {
        println!("laws: tell how many yards, as 10000, or which, as 5000-10000");
        return ExitCode::from(2);
    };
    let wanted = args.next().unwrap_or_default();
    let asked: Vec<_> = laws::LAWS.iter().filter(|(name, ..)| name.contains(&wanted)).collect();
    let mut broken = 0;
    for law in &asked {
        let said = laws::breach(law, from..to);
        println!("{}: {}", law.0, said.as_deref().unwrap_or("holds"));
        broken += usize::from(said.is_some());
    }
    println!("{} laws, yards {from} to {to}, {broken} broken", asked.len());
    if broken == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
