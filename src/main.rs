//! The program: everything is in the library.

fn main() {}
