//! How long the calculations take; `cargo bench --bench speed`.
#![allow(clippy::unwrap_used, reason = "a bench whose input is wrong should stop")]
#![allow(clippy::print_stdout, reason = "a bench says what it measured")]

mod big_yard;
mod buying;
mod electrical;
mod planning;

fn main() {
    for line in planning::moves() {
        println!("{line}");
    }
    divan::main();
}
