//! Sheets for paper: plain text that prints anywhere, and HTML with print styles.
//!
//! Not here: what is on a sheet (`app`), files.

mod card;
mod checklist;
mod page;
mod shopping;

pub use card::{cards_html, cards_text};
pub use checklist::{checklist_html, checklist_text};
pub use shopping::{shopping_html, shopping_text};
