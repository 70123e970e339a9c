//! One formula a file, each with its source, its limits of use and a worked example.
//!
//! Not here: facts of the yard (`domain`), clock, files, screen.

pub mod daylight;
pub mod electrical;
pub mod refusal;
pub mod register;
pub mod signal;
pub mod source;
pub mod structural;
pub mod weather;
