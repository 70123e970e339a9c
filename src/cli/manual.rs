//! `completions` and `man`, from the same definition as the commands.

use std::process::ExitCode;

use clap::CommandFactory as _;

use super::args::Args;
use super::output;
use crate::app::{Problem, ProblemKind};

pub(super) fn completions(shell: clap_complete::Shell) -> ExitCode {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Args::command(), "ladderday", &mut text);
    output::answer(&String::from_utf8_lossy(&text))
}

pub(super) fn man() -> Result<ExitCode, Problem> {
    let mut text = Vec::new();
    clap_mangen::Man::new(Args::command()).render(&mut text).map_err(|e| {
        Problem::new(ProblemKind::File, "man", format!("the manual could not be written: {e}"))
    })?;
    Ok(output::answer(&String::from_utf8_lossy(&text)))
}
