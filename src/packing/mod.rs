//! Fewest totes for what goes home, by volume, weight, length, place and what must lie together or apart.
//!
//! [`pack`] is exact where the search ends, and says so; otherwise it tells the bound.
//!
//! Not here: which piece has which home (`domain`), labels (`exchange`), how heavy a tote may be lifted
//! (`calc/weather`).

mod heuristic;
mod rules;
mod search;
mod units;

pub use rules::{Item, PackError, Packing, Proof, Rules, Tote};
pub use search::pack;
