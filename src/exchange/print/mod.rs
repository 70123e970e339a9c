//! Sheets for paper: plain text that prints anywhere, and HTML with print styles.
//!
//! Not here: what is on a sheet (`app`), files.

mod card;
mod checklist;
mod page;
mod shopping;

pub use card::{BoxCard, CardLine, cards_html, cards_text};
pub use checklist::{ChecklistGroup, ChecklistLine, ChecklistSheet, checklist_html, checklist_text};
pub use shopping::{ShoppingLine, ShoppingSheet, ShoppingVendor, shopping_html, shopping_text};
