//! Sheets for paper: plain text that prints anywhere, and HTML with print styles.
//!
//! Not here: what is on a sheet (`app`), files.

mod checklist;
mod page;

pub use checklist::{ChecklistGroup, ChecklistLine, ChecklistSheet, checklist_html, checklist_text};
