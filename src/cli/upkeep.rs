//! `backup`, `restore`, `verify`, `lend`, `merge`, `export`, `journal`

use std::path::Path;
use std::process::ExitCode;

use super::args::Args;
use super::output;
use crate::app::{App, Done, Problem};

pub(super) fn backup(args: &Args, to: Option<&Path>) -> Result<ExitCode, Problem> {
    let said = args.open()?.backup(to)?;
    Ok(output::answer(&crate::app::deed_answer(&Done::only(said), args.form())))
}

pub(super) fn restore(args: &Args, from: &Path) -> Result<ExitCode, Problem> {
    let said = App::restore(from, &args.yard_path()?)?;
    Ok(output::answer(&crate::app::deed_answer(&Done::only(said), args.form())))
}

pub(super) fn verify(args: &Args, rebuild: bool) -> Result<ExitCode, Problem> {
    let (fine, text) = args.open()?.verify(rebuild, args.form())?;
    let code = output::answer(&text);
    Ok(if fine { code } else { ExitCode::from(1) })
}

pub(super) fn lend(args: &Args, to: &Path, mark: &str) -> Result<ExitCode, Problem> {
    let said = args.open()?.lend(to, mark)?;
    Ok(output::answer(&crate::app::deed_answer(&Done::only(said), args.form())))
}

pub(super) fn merge(args: &Args, other: &Path) -> Result<ExitCode, Problem> {
    let said = args.open()?.merge(other)?;
    Ok(output::answer(&crate::app::deed_answer(&Done::only(said), args.form())))
}

pub(super) fn export(args: &Args, folder: &Path) -> Result<ExitCode, Problem> {
    let said = args.open()?.export(folder)?;
    Ok(output::answer(&crate::app::deed_answer(&Done::only(said), args.form())))
}

pub(super) fn journal(args: &Args) -> Result<ExitCode, Problem> {
    Ok(output::answer(&args.open()?.deeds_answer(50, args.form())?))
}
