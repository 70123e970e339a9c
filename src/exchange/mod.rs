//! Formats that people and programs exchange with a yard: text or bytes in, text out, never paths.
//!
//! One folder a format, each with its own row types, both ways.
//!
//! Not here: paths and files (`app`), computing and the clock, the yard file (`store`).

pub mod calendar;
pub(crate) mod commands;
pub mod csv;
pub mod json;
pub mod print;
pub mod settings;
pub mod sheet;
pub mod tell;
pub mod workbook;
