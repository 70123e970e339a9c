//! `plan bench|up|tonight|down|change [--keep]`, what to leave out, what if, and `plan why KEY`

use std::process::ExitCode;

use super::args::{Args, PhaseArg};
use super::output;
use crate::app::{Done, Problem, THOROUGH, Wish};

/// What is asked of a plan.
pub(super) struct Ask<'a> {
    pub(super) keep: bool,
    pub(super) recipe_times: bool,
    pub(super) schedules: Option<u64>,
    pub(super) drop: Option<u8>,
    pub(super) helps: bool,
    pub(super) prefer: Option<Wish>,
    pub(super) choices: bool,
    pub(super) what_if: &'a [String],
}

pub(super) fn plan(args: &Args, phase: Option<PhaseArg>, ask: &Ask) -> Result<ExitCode, Problem> {
    let mut app = args.open()?;
    app.use_own_times(!ask.recipe_times);
    let phase = phase.map_or_else(|| app.outlook().phase_now(), Into::into);
    let schedules = ask.schedules.unwrap_or(THOROUGH);
    if let Some(wish) = ask.prefer {
        let answer = app.wished_answer(phase, schedules, (wish, ask.keep), args.form())?;
        return Ok(output::answer(&answer));
    }
    if ask.keep {
        let said = app.keep_plan(phase, schedules)?;
        if !args.json {
            return Ok(output::answer(&crate::app::deed_answer(&Done::only(said), args.form())));
        }
    }
    let answer = if !ask.what_if.is_empty() {
        app.what_if_answer(phase, ask.what_if, schedules, args.form())?
    } else if ask.choices {
        app.choices_answer(phase, schedules, args.form())?
    } else if ask.helps {
        app.helps_answer(phase, schedules, args.form())?
    } else if let Some(wanted) = ask.drop {
        app.drop_answer(phase, wanted, schedules, args.form())?
    } else {
        app.plan_answer(phase, schedules, args.form())?
    };
    Ok(output::answer(&answer))
}

pub(super) fn why(args: &Args, key: &str, phase: PhaseArg) -> Result<ExitCode, Problem> {
    let mut app = args.open()?;
    Ok(output::answer(&app.why_answer(phase.into(), key, args.form())?))
}
