//! Sheets for paper: plain text that prints anywhere, and HTML with print styles.
//!
//! Not here: what is on a sheet (`app`), files.

mod card;
mod checklist;
mod flow;
mod label_sheet;
mod labels;
mod page;
mod paper;
mod pdf;
mod shopping;

pub use card::{cards_html, cards_text};
pub use checklist::{checklist_html, checklist_text};
pub use flow::{Paper, PrintedPdf};
pub use label_sheet::{LabelSheet, SHEETS};
pub use labels::{LabelError, labels_html, labels_pdf, labels_text};
pub use paper::{cards_pdf, checklist_pdf, shopping_pdf};
pub use shopping::{shopping_html, shopping_text};
