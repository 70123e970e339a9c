//! `backup`, `restore`, `verify`, `lend`, `merge`, `export`, `journal`

use std::path::Path;
use std::process::ExitCode;

use super::args::Args;
use super::deed_args::ConflictDeed;
use super::output;
use crate::app::{App, Ask, Done, Problem, deed_answer};

pub(super) fn backup(args: &Args, to: Option<&Path>) -> Result<ExitCode, Problem> {
    let said = args.open()?.backup(to)?;
    Ok(output::answer(&deed_answer(&Done::only(said), args.form())))
}

pub(super) fn restore(args: &Args, from: &Path, facts_only: bool) -> Result<ExitCode, Problem> {
    let said = App::restore(from, &args.yard_path()?, facts_only)?;
    Ok(output::answer(&deed_answer(&Done::only(said), args.form())))
}

pub(super) fn verify(args: &Args, rebuild: bool) -> Result<ExitCode, Problem> {
    let (fine, text) = args.open()?.verify(rebuild, args.form())?;
    let code = output::answer(&text);
    Ok(if fine { code } else { ExitCode::from(1) })
}

pub(super) fn lend(args: &Args, to: &Path, mark: Option<&str>) -> Result<ExitCode, Problem> {
    let said = args.open()?.lend(to, mark)?;
    Ok(output::answer(&deed_answer(&Done::only(said), args.form())))
}

pub(super) fn conflict(args: &Args, deed: &ConflictDeed) -> Result<ExitCode, Problem> {
    let mut app = args.open()?;
    Ok(output::answer(&match deed {
        ConflictDeed::List => app.conflicts_answer(args.form())?,
        ConflictDeed::Decide { code, value } => {
            let ask = Ask::DecideConflict { code: code.clone(), value: value.clone() };
            deed_answer(&app.perform(&ask)?, args.form())
        }
    }))
}

/// Takes the last deed back; with `yes` also what undo would first ask about.
pub(super) fn undo(args: &Args, yes: bool) -> Result<ExitCode, Problem> {
    let mut app = args.open()?;
    let done = match app.perform(&Ask::Undo) {
        Err(problem) if yes && problem.code == "undo-border" => app.perform(&Ask::Undo)?,
        done => done?,
    };
    Ok(output::answer(&deed_answer(&done, args.form())))
}

pub(super) fn merge(args: &Args, other: &Path) -> Result<ExitCode, Problem> {
    let done = args.open()?.merge(other)?;
    Ok(output::answer(&deed_answer(&done, args.form())))
}

pub(super) fn export(args: &Args, folder: &Path) -> Result<ExitCode, Problem> {
    let said = args.open()?.export(folder)?;
    Ok(output::answer(&deed_answer(&Done::only(said), args.form())))
}

pub(super) fn journal(args: &Args) -> Result<ExitCode, Problem> {
    Ok(output::answer(&args.open()?.deeds_answer(50, args.form())?))
}
