//! What the facts come to, one folder a subject: pure, typed, the same for a page, a command's text and its document.
//!
//! Every answer is a function of an [`Outlook`]: the facts, a moment, a zone, a season. `view` holds what screens show.
//!
//! Not here: the yard file, the clock, files, threads (`app`); formats and texts of commands (`exchange`); drawing (`tui`).

mod column_takes;
pub mod column_words;
pub(crate) mod dates;
pub mod faults;
pub mod kit;
pub mod outdoors;
pub(crate) mod outlook;
pub mod page;
pub mod plan;
pub mod power;
pub mod problem;
pub mod record;
pub mod remembered;
pub mod seasons;
pub mod sessions;
pub mod shopping;
pub mod short;
pub mod start;
pub mod symptoms;
pub mod today;
pub mod told;
pub mod totes;
pub mod untold;
pub mod view;
pub mod walk;
pub mod words;
pub mod yard_map;

pub use outlook::{Outlook, night_of, read_local, zone_of};
