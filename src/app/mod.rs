//! Use cases: load facts, compute, save. One answer for both faces: [`view`] for screens, text for commands.
//!
//! Not here: SQL (`store`), formats (`exchange`), drawing (`tui`), argument parsing (`cli`).

mod ask;
pub mod clock;
mod ids;
mod owner;
mod page;
mod paths;
mod plan_doc;
mod planning;
mod problem;
pub mod view;

pub use ask::{Ask, Difference, NewFault, NewRepair, Tonight};
pub use owner::{App, Choices};
pub use page::Page;
pub use paths::Paths;
pub use planning::{QUICK, THOROUGH};
pub use problem::{Problem, ProblemKind};
