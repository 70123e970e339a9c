//! Use cases: load facts, compute, save. One answer for both faces: [`view`] for screens, text for commands.
//!
//! Not here: SQL (`store`), formats (`exchange`), drawing (`tui`), argument parsing (`cli`).

mod answers;
mod ask;
mod background;
mod beside;
mod buying;
mod checklist;
pub mod clock;
mod conflicts;
mod deeds;
mod drops;
mod files;
mod guide;
mod ids;
mod known;
mod looking;
mod odds;
mod opening;
mod outdoors;
mod owner;
mod page;
mod pages;
mod panic_note;
mod paths;
mod plan_doc;
mod planning;
pub mod power;
mod problem;
mod record;
mod sample;
mod settings;
mod symptoms;
mod upkeep;
pub mod view;
mod weighing;
mod what_if;
mod why;

pub use answers::Form;
pub use ask::{Ask, Difference, NewFault, NewOffer, NewRepair, Tonight};
pub use buying::{BuyChoice, Shopping, Wanted};
pub use owner::{App, Choices};
pub use page::{Detail, DetailOf, Page};
pub use panic_note::{leave_panic_note, take_panic_note};
pub use paths::Paths;
pub use planning::{QUICK, THOROUGH};
pub use problem::{Problem, ProblemKind};
pub use sample::DEMO;
pub use settings::{Setup, refuse_settings};
pub use symptoms::CAUSES;
pub use what_if::Change;

pub use crate::exchange::settings::{KeyLine, LookWord, Settings, SettingsFault};
