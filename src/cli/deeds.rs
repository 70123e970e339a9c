//! A deed asked for on the command line.

use std::process::ExitCode;

use super::args::Args;
use super::output;
use crate::app::{App, Ask, Problem};

/// Opens the yard, does the deed, and says so once it is on disk.
pub(super) fn perform(args: &Args, ask: &Ask) -> Result<ExitCode, Problem> {
    let said = args.open()?.perform(ask)?;
    Ok(output::answer(&App::deed_answer(&said, args.form())))
}
