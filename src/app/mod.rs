//! Use cases: load facts, compute, save. One answer for both faces: [`view`] for screens, text for commands.
//!
//! Not here: SQL (`store`), formats (`exchange`), drawing (`tui`), argument parsing (`cli`).

pub mod view;
