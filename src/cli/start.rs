//! The screens, `demo`, `new`, `import`.

use std::io::IsTerminal as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::args::Args;
use super::{output, plain, settings, wrong_use};
use crate::app::{App, Ask, Done, ImportChoices, Paths, Presence, Problem, Question};
use crate::tui::run::{Ended, run};

/// Whether someone sits at a terminal that can show screens.
fn at_terminal() -> bool {
    let there = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
    let dumb = std::env::var_os("TERM").is_none_or(|t| t.is_empty() || t == "dumb");
    if there && dumb {
        output::note("this terminal can't show the screens; --plain reads them line by line");
    }
    there && !dumb
}

pub(super) fn screens(args: &Args) -> Result<ExitCode, Problem> {
    let path = args.yard_path()?;
    if args.json || (!args.plain && !at_terminal()) {
        let mut app = args.open()?;
        return Ok(output::answer(&app.overview(args.form())?));
    }
    show(args, &path, || match path.exists() {
        // Read line by line there is no picture to come first.
        true if args.plain => args.open(),
        true => args.open_to_show(),
        false => App::create(&path, &args.choices()),
    })
}

pub(super) fn demo(args: &Args, fresh: bool) -> Result<ExitCode, Problem> {
    let path = match &args.yard {
        Some(path) => path.clone(),
        None => Paths::of_system()?.demo_yard(),
    };
    let open = || App::demo(&path, fresh, &args.choices());
    if !args.json && (args.plain || at_terminal()) {
        return show(args, &path, open);
    }
    let mut app = open()?;
    output::note(&format!(
        "the demo yard is {}; any command works on it: ladderday demo plan up",
        path.display()
    ));
    Ok(output::answer(&app.overview(args.form())?))
}

pub(super) fn new(args: &Args, lights_on: Option<&str>) -> Result<ExitCode, Problem> {
    let path = args.yard_path()?;
    let mut app = App::create(&path, &args.choices())?;
    let mut said = format!("new yard: {}", path.display());
    if lights_on.is_none() && !args.json && at_terminal() {
        output::answer(&format!("{said}\n"));
        return Ok(ask_all(&mut app));
    }
    if let Some(text) = lights_on {
        let season = app.perform(&Ask::NewSeason {
            code: args.season.clone().unwrap_or_default(),
            name: String::new(),
            lights_on: Some(text.to_owned()),
        });
        match season {
            Ok(done) => said = format!("{said}; {}", done.said),
            // The file is there and whole; only the season is missing.
            Err(problem) => return Err(problem),
        }
    }
    Ok(output::answer(&crate::app::deed_answer(&Done::only(said), args.form())))
}

pub(super) fn import(args: &Args, files: &[PathBuf], how: &ImportChoices) -> Result<ExitCode, Problem> {
    if files.is_empty() {
        return Err(wrong_use("no-files", "no file is named").hint("ladderday import FOLDER"));
    }
    let path = args.yard_path()?;
    // The first import makes the yard.
    let done = if path.exists() {
        args.open()?.import_as(files, how)?
    } else {
        App::import_new(&path, files, how, &args.choices())?
    };
    Ok(output::answer(&crate::app::deed_answer(&done, args.form())))
}

/// Opens the screens on a yard, or the same line by line.
fn show(args: &Args, path: &Path, open: impl FnOnce() -> Result<App, Problem>) -> Result<ExitCode, Problem> {
    let mut options = settings::options(args);
    let presence = Paths::of_system().ok().and_then(|paths| Presence::announce(path, &paths));
    if presence.as_ref().is_some_and(|p| p.others) {
        let told =
            "This yard is open in another window too: both can be used, and each shows what the other does";
        options.notice.get_or_insert_with(|| told.to_owned());
    }
    if args.plain {
        return plain::talk(args, open()?, options);
    }
    Ok(match run(open, options)? {
        Ended::Quit => ExitCode::SUCCESS,
        Ended::Demo => {
            let path = Paths::of_system()?.demo_yard();
            let again: Box<dyn FnOnce() -> Result<App, Problem>> =
                Box::new(|| App::demo(&path, false, &args.choices()));
            drop(presence);
            return show(args, &path, again);
        }
        // As a shell expects of a program that a signal ended.
        Ended::Signal(n) => ExitCode::from(u8::try_from(128 + n).unwrap_or(1)),
    })
}

/// Asks what a new yard is asked, line by line; an empty line leaves a question out, the end of the input all that
/// follow.
fn ask_all(app: &mut App) -> ExitCode {
    output::answer("Every question may be left empty; Ctrl-D leaves the rest out.\n");
    let mut after = None;
    let mut lines = std::io::stdin().lines();
    while let Some(asked) = app.next_question(after) {
        output::answer(&format!("\n{}\n  ({})\n> ", asked.title, asked.takes));
        let Some(Ok(line)) = lines.next() else { break };
        if line.trim().is_empty() {
            after = Some(asked.question);
            continue;
        }
        match app.perform(&Ask::Start { question: asked.question, text: line }) {
            Ok(done) => {
                output::answer(&format!("  {}\n", done.said));
                // A prop is asked for again after a prop.
                if asked.question != Question::Prop {
                    after = Some(asked.question);
                }
            }
            Err(problem) => output::note(&problem.to_string()),
        }
    }
    let mut text = "\nTold so far:\n".to_owned();
    for (label, line) in app.read_back() {
        text = format!("{text}  {label}: {line}\n");
    }
    output::answer(&format!(
        "{text}\nladderday shows the screens, ladderday print checklist the list for paper.\n"
    ))
}
