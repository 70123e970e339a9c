//! Use cases: load facts, compute, save. One answer for both faces: [`view`] for screens, text for commands.
//!
//! Not here: SQL (`store`), formats (`exchange`), drawing (`tui`), argument parsing (`cli`).

mod ask;
mod page;
mod problem;
pub mod view;

pub use ask::{Ask, Difference, NewFault, NewRepair, Tonight};
pub use page::Page;
pub use problem::{Problem, ProblemKind};
