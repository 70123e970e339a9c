//! Throws spoiled text at every parser and opens spoiled yard files.
//!
//! `fuzz -- [--inputs N] [--seed K] [--only I]`: N inputs (a million where it is not told) made from valid samples by
//! cutting, doubling, joining, flipping and putting in what is awkward; each goes to one kind of parser. Input I of a
//! seed is always the same. Prints how many went where; exits 1 at a panic, with its input.
//!
//! `fuzz -- --files N [--seed K] [--dir DIR]`: N yard files with one to eight flipped bytes, and a tenth as many whose
//! journal holds spoiled JSON; each is opened, verified, shown and brought together with the whole one. Prints what was
//! refused at opening, what `verify` found, and what had no effect; exits 1 at a panic, or where facts were others and
//! `verify` was silent, or where a refused file was changed.
// Items are shared between the parts of this one program.
#![allow(unreachable_pub)]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::print_stderr,
    clippy::disallowed_methods
)]

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::{Arc, Mutex};

#[path = "fuzz/files.rs"]
mod files;
#[path = "fuzz/inputs.rs"]
mod inputs;
#[path = "fuzz/spoil.rs"]
mod spoil;

/// What panics said, in short.
type Panics = Arc<Mutex<Vec<String>>>;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str| args.iter().position(|a| a == name).and_then(|i| args.get(i + 1)).cloned();
    let number = |name: &str| value(name).map(|n| n.parse::<u64>().expect("a number is needed"));
    let seed = number("--seed").unwrap_or(1);
    let panics: Panics = Arc::default();
    let heard = Arc::clone(&panics);
    std::panic::set_hook(Box::new(move |info| heard.lock().unwrap().push(info.to_string())));
    let fine = if let Some(files) = number("--files") {
        files::all(&value("--dir").map_or_else(std::env::temp_dir, PathBuf::from), files, seed)
    } else if let Some(only) = number("--only") {
        inputs::one(seed, only, true)
    } else {
        inputs::all(number("--inputs").unwrap_or(1_000_000), seed)
    };
    let panics = panics.lock().unwrap();
    for text in panics.iter().take(20) {
        println!("panic: {text}");
    }
    println!("{} panics", panics.len());
    if fine && panics.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Whether `work` ends without a panic.
fn calm(work: impl FnOnce()) -> bool {
    catch_unwind(AssertUnwindSafe(work)).is_ok()
}

/// A generator for input `i` alone, so that it can be made again.
fn random_for(seed: u64, i: u64) -> fastrand::Rng {
    fastrand::Rng::with_seed(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(i))
}

/// Runs `work` for each number below `n`, spread over the processors; the sums of what it gives.
fn spread<const N: usize>(n: u64, work: impl Fn(u64) -> [u64; N] + Sync) -> [u64; N] {
    let threads = std::thread::available_parallelism().map_or(1, |t| t.get() as u64);
    std::thread::scope(|scope| {
        let parts: Vec<_> = (0..threads)
            .map(|t| {
                let work = &work;
                scope.spawn(move || {
                    let mut sum = [0; N];
                    for i in (t..n).step_by(threads as usize) {
                        work(i).into_iter().zip(&mut sum).for_each(|(a, s)| *s += a);
                    }
                    sum
                })
            })
            .collect();
        parts.into_iter().fold([0; N], |mut all, part| {
            part.join().unwrap().into_iter().zip(&mut all).for_each(|(a, s)| *s += a);
            all
        })
    })
}
