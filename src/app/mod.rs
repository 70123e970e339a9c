//! The open yard: its file, clock, ids and settings; deeds; the one owner of what is worked out from the facts.
//!
//! A screen and a command ask the same: `pages` and `commands` take in what other programs wrote, ask `answers`, and
//! hand on what comes back.
//!
//! Not here: what the facts come to (`answers`), SQL (`store`), formats (`exchange`), drawing (`tui`), argument parsing
//! (`cli`).

#[expect(clippy::module_inception, reason = "`App` lives in a file of its name")]
mod app;
mod background;
pub mod clock;
mod commands;
mod conflicts;
mod current;
mod desk;
mod done;
mod files;
mod history;
mod ids;
mod import;
mod known;
mod labels;
mod looking;
mod low_priority;
mod newer_recipes;
mod opening;
mod pages;
mod panic_note;
mod paper;
mod paths;
mod photo;
mod plan_answers;
mod planning;
mod presence;
mod recipes;
mod sample;
mod settings;
mod sheets;
mod solved;
mod stored;
mod upkeep;
mod walked;
mod weighing;

pub use app::{App, Choices};
pub use commands::{Form, deed_answer, problem_document, text_answer};
pub use done::{Done, Named};
pub use files::write_pages;
pub use import::ImportChoices;
pub use known::Known;
pub use pages::PageWant;
pub use panic_note::{leave_panic_note, take_panic_note};
pub use paper::{PaperTick, PaperTicks, Takes};
pub use paths::Paths;
pub use planning::{QUICK, THOROUGH};
pub use presence::Presence;
pub use sample::DEMO;
pub use settings::{Setup, refuse_settings, settings_answer};
pub use sheets::SheetForm;

pub use crate::answers::page::{Detail, DetailOf, Page};
pub use crate::answers::plan::choices::Wish;
pub use crate::answers::plan::what_if::Change;
pub use crate::answers::power::{CheckKind, WhatIf};
pub use crate::answers::problem::{Problem, ProblemKind};
pub use crate::answers::shopping::{BuyChoice, Shopping, Wanted};
pub use crate::answers::start::{Asked, Question};
pub use crate::answers::symptoms::CAUSES;
pub use crate::answers::totes::LabelKind;
pub use crate::answers::view::Pick;
pub use crate::deeds::ask::{Ask, Difference, NewFault, NewOffer, NewRepair, Tonight, lot_of};
pub use crate::deeds::edit_of;
pub use crate::exchange::print::Paper;
pub use crate::exchange::settings::{KeyLine, LookWord, Settings, SettingsFault};
pub use crate::store::io_words;
