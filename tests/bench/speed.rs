//! How long the calculations take; `cargo bench --bench speed`.

mod electrical;

fn main() {
    divan::main();
}
