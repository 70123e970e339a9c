//! Formats that people and programs exchange with a yard: text or bytes in, text out.
//!
//! One folder a format, each with its own row types, both ways.
//!
//! Not here: paths and files (`app`), what a document means for the plan (`app`), the yard file (`store`).

pub mod csv;
