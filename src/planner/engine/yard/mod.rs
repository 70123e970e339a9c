//! The whole decoder: people, tools, set-up, modes, holds and calendars, one activity at a time.
//!
//! Not here: the decoder of lean problems (`lean`), what is tried (`search`), the checks of a problem (`order`).

mod between;
mod blocks;
mod bounds;
mod crew;
mod decode;
mod evaluate;
mod genes;
mod model;
mod moves;
mod offers;
mod profile;
mod reach;
mod reasons;
mod rows;
mod running;
mod scheme;
mod spans;
mod start;
mod state;
mod tight;
mod visits;

pub(super) use scheme::{bound, solve};
pub use spans::spans;
