//! A deed asked for on the command line.

use std::process::ExitCode;

use super::args::Args;
use super::output;
use crate::app::{Ask, Problem, deed_answer};

/// Opens the yard, does the deed, and says so once it is on disk.
pub(super) fn perform(args: &Args, ask: &Ask) -> Result<ExitCode, Problem> {
    let done = args.open()?.perform(ask)?;
    Ok(output::answer(&deed_answer(&done, args.form())))
}
