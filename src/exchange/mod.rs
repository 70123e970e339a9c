//! What comes in and goes out as text: CSV, JSON, print. Text in and out, never paths.
//!
//! Not here: computing, files, clock.

pub mod json;
