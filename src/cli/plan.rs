//! `plan bench|up|tonight|down|change [--keep]`, `plan why KEY`

use std::process::ExitCode;

use super::args::{Args, PhaseArg};
use super::output;
use crate::app::{App, Problem, THOROUGH};

pub(super) fn plan(
    args: &Args,
    phase: PhaseArg,
    keep: bool,
    schedules: Option<u64>,
) -> Result<ExitCode, Problem> {
    let mut app = args.open()?;
    let schedules = schedules.unwrap_or(THOROUGH);
    if keep {
        let said = app.keep_plan(phase.into(), schedules)?;
        if !args.json {
            return Ok(output::answer(&App::deed_answer(&said, args.form())));
        }
    }
    Ok(output::answer(&app.plan_answer(phase.into(), schedules, args.form())?))
}

pub(super) fn why(args: &Args, key: &str, phase: PhaseArg) -> Result<ExitCode, Problem> {
    let mut app = args.open()?;
    Ok(output::answer(&app.why_answer(phase.into(), key, args.form())?))
}
