//! The commands: parse, call `app`, print the text it gives. The only stdout and stderr.
//!
//! Not here: computing, formats, drawing.

mod args;
mod buy;
mod check;
mod complete;
mod deed_args;
mod deeds;
mod fault;
mod manual;
mod output;
mod plain;
mod plan;
mod print;
mod prop;
mod season;
mod session;
mod settings;
mod sheet_args;
mod start;
mod step;
mod step_args;
mod tell;
mod tote;
mod tote_args;
mod upkeep;
mod usage;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{CommandFactory as _, FromArgMatches as _};

use crate::app::{App, Choices, Form, Paths, Problem, ProblemKind};
use args::{Args, Command};

/// Runs the program with the process's arguments. `commit` is what it was built from, where that is known.
pub fn run(commit: &str) -> ExitCode {
    complete::answer_shell();
    let json = std::env::args_os().any(|a| a == "--json");
    let args = match parse(std::env::args_os(), commit) {
        Ok(args) => args,
        Err(error) => return output::usage(&error, if json { Form::Json } else { Form::Text }),
    };
    match dispatch(&args) {
        Ok(code) => code,
        Err(problem) => output::problem(&problem, if json { Form::Json } else { Form::Text }),
    }
}

fn parse(words: impl IntoIterator<Item = OsString>, commit: &str) -> Result<Args, clap::Error> {
    let mut command = Args::command();
    if !commit.is_empty() {
        // Once in a run.
        let version: &'static str = format!("{} ({commit})", env!("CARGO_PKG_VERSION")).leak();
        command = command.version(version);
    }
    Args::from_arg_matches(&command.try_get_matches_from(words)?)
}

/// Any command, on the demo yard.
fn on_demo(outer: &Args, fresh: bool, words: &[OsString]) -> Result<ExitCode, Problem> {
    let all = std::iter::once(OsString::from("ladderday")).chain(words.iter().cloned());
    let mut args = match parse(all, "") {
        Ok(args) => args,
        Err(error) if error.use_stderr() => return Err(usage::problem(&error)),
        Err(help) => return Ok(output::usage(&help, Form::Text)),
    };
    args.season = args.season.or_else(|| outer.season.clone());
    args.now = args.now.or_else(|| outer.now.clone());
    args.seed = args.seed.or(outer.seed);
    args.json |= outer.json;
    args.plain |= outer.plain;
    args.ascii |= outer.ascii;
    args.mouse |= outer.mouse;
    let path = args
        .yard
        .take()
        .or_else(|| outer.yard.clone())
        .map_or_else(|| Ok::<_, Problem>(Paths::of_system()?.demo_yard()), Ok)?;
    if fresh || !path.exists() {
        drop(App::demo(&path, fresh, &Choices { season: None, ..args.choices() })?);
    }
    args.yard = Some(path);
    dispatch(&args)
}

fn dispatch(args: &Args) -> Result<ExitCode, Problem> {
    match &args.command {
        None => start::screens(args),
        Some(Command::Demo { fresh, words }) if words.is_empty() => start::demo(args, *fresh),
        Some(Command::Demo { fresh, words }) => on_demo(args, *fresh, words),
        Some(Command::New { lights_on }) => start::new(args, lights_on.as_deref()),
        Some(Command::Import { files, try_only, yes, end_missing, lights_on, column, sheet }) => {
            let how = crate::app::ImportChoices {
                try_only: *try_only,
                yes: *yes,
                end_missing: *end_missing,
                lights_on: lights_on.clone(),
                columns: column.clone(),
                sheet: sheet.clone(),
            };
            start::import(args, files, &how)
        }
        Some(Command::Export { folder }) => upkeep::export(args, folder),
        Some(Command::Tell { kind, words }) => tell::tell(args, kind, words),
        Some(Command::Told { kind }) => {
            Ok(output::answer(&args.open()?.told_answer(kind.as_deref(), args.form())?))
        }
        Some(Command::End { kind, words, why }) => tell::end(args, kind, words, why.as_deref()),
        Some(Command::Plan { deed: Some(step_args::PlanDeed::Why { key, phase }), .. }) => {
            plan::why(args, key, *phase)
        }
        Some(Command::Plan {
            phase,
            keep,
            recipe_times,
            schedules,
            drop,
            helps,
            what_if,
            prefer,
            choices,
            ..
        }) => {
            let (keep, recipe_times, helps) = (*keep, *recipe_times, *helps);
            let (prefer, choices) = (prefer.map(Into::into), *choices);
            let ask = plan::Ask {
                keep,
                recipe_times,
                schedules: *schedules,
                drop: *drop,
                helps,
                what_if,
                prefer,
                choices,
            };
            plan::plan(args, *phase, &ask)
        }
        Some(Command::Step { deed }) => step::step(args, deed),
        Some(Command::Session { deed }) => session::session(args, deed),
        Some(Command::Prop { deed }) => prop::prop(args, deed),
        Some(Command::Kit { deed }) => prop::kit(args, deed),
        Some(Command::Tote { deed }) => tote::tote(args, deed),
        Some(Command::Pack { write }) => tote::pack(args, *write),
        Some(Command::Settings { check }) => settings::settings(args, *check),
        Some(Command::Fault { deed }) => fault::fault(args, deed),
        Some(Command::Season { deed }) => season::season(args, deed),
        Some(Command::Buy { choice, deed }) => buy::buy(args, choice, deed.as_ref()),
        Some(Command::Check { kind, choice }) => check::check(args, *kind, choice),
        Some(Command::Print { sheet }) => print::print(args, sheet),
        Some(Command::History) => Ok(output::answer(&args.open()?.history_answer(args.form())?)),
        Some(Command::Spares { service }) => {
            Ok(output::answer(&args.open()?.spares_answer(*service, args.form())?))
        }
        Some(Command::Journal) => upkeep::journal(args),
        Some(Command::Undo { yes }) => upkeep::undo(args, *yes),
        Some(Command::Redo) => deeds::perform(args, &crate::app::Ask::Redo),
        Some(Command::Backup { to }) => upkeep::backup(args, to.as_deref()),
        Some(Command::Restore { from, facts_only }) => upkeep::restore(args, from, *facts_only),
        Some(Command::Verify { rebuild }) => upkeep::verify(args, *rebuild),
        Some(Command::Lend { to, mark }) => upkeep::lend(args, to, mark.as_deref()),
        Some(Command::Conflict { deed }) => upkeep::conflict(args, deed),
        Some(Command::Merge { other }) => upkeep::merge(args, other),
        Some(Command::Completions { shell }) => complete::script(args, *shell),
        Some(Command::Man { command, to }) => manual::man(args, command, to.as_deref()),
    }
}

impl Args {
    fn choices(&self) -> Choices {
        Choices { now: self.now.clone(), seed: self.seed, season: self.season.clone() }
    }

    fn form(&self) -> Form {
        if self.json { Form::Json } else { Form::Text }
    }

    /// The yard file: named, or the owner's own.
    fn yard_path(&self) -> Result<std::path::PathBuf, Problem> {
        match &self.yard {
            Some(path) => Ok(path.clone()),
            None => Ok(Paths::of_system()?.default_yard()),
        }
    }

    /// The yard to be shown in the screens, which look it over once they stand.
    fn open_to_show(&self) -> Result<App, Problem> {
        App::open_to_show(&self.yard_path()?, &self.choices())
    }

    fn open(&self) -> Result<App, Problem> {
        let app = App::open(&self.yard_path()?, &self.choices())?;
        if let Some(notice) = app.store().notice() {
            output::note(&notice);
        }
        Ok(app)
    }
}

/// A problem of how a command was used.
fn wrong_use(code: &'static str, what: impl Into<String>) -> Problem {
    Problem::new(ProblemKind::Use, code, what)
}
