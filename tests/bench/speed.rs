//! How long the calculations take; `cargo bench --bench speed`.
#![allow(clippy::unwrap_used, reason = "a bench whose input is wrong should stop")]

mod big_yard;
mod buying;
mod electrical;
mod planning;

fn main() {
    divan::main();
}
