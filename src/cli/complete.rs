//! Completions that know the yard: codes, seasons, people, step keys.
//!
//! The shell asks the program itself while somebody types (`COMPLETE` is set then), so a script that was installed once
//! never falls behind. clap_complete calls this part unstable: what may change is how a shell asks, and both ends come
//! from one program.

use std::ffi::{OsStr, OsString};
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Command, CommandFactory as _};
use clap_complete::engine::{ArgValueCompleter, CompletionCandidate};
use clap_complete::env::{CompleteEnv, Shells};

use super::args::Args;
use super::{output, wrong_use};
use crate::app::{App, Choices, Known, Paths, Problem, text_answer};

const VAR: &str = "COMPLETE";

/// Answers a shell that asks, and ends; does nothing otherwise.
pub(super) fn answer_shell() {
    CompleteEnv::with_factory(|| taught(Args::command(), &[])).var(VAR).complete();
}

/// The script that makes a shell ask.
pub(super) fn script(args: &Args, shell: clap_complete::Shell) -> Result<ExitCode, Problem> {
    let mut text = Vec::new();
    let name = shell.to_string();
    let known = Shells::builtins();
    let completer = known.completer(&name);
    let completer = completer.ok_or_else(|| wrong_use("no-shell", format!("{name} can't be served")))?;
    let program = "ladderday";
    completer
        .write_registration(VAR, program, program, program, &mut text)
        .map_err(|e| Problem::new(crate::app::ProblemKind::File, "completions", crate::app::io_words(&e)))?;
    Ok(output::answer(&text_answer(String::from_utf8_lossy(&text).into_owned(), args.form())))
}

/// What the value of an option or argument is, by its name and command.
fn kind_of(path: &[String], id: &str) -> Option<Known> {
    let at = |command: &str| path.iter().any(|p| p == command);
    Some(match id {
        "key" | "keys" if at("step") || at("plan") => Known::Steps,
        "session" => Known::Sessions,
        "person" => Known::People,
        "with" if at("session") => Known::People,
        "fault" => Known::Faults,
        "vendor" | "close" if at("buy") => Known::Vendors,
        "order" if at("buy") => Known::Orders,
        "product" | "without" if at("buy") => Known::Products,
        "into" | "tote" => Known::Totes,
        "pieces" | "missing" | "found" => Known::Kit,
        "place" if at("print") => Known::Places,
        "code" if at("season") && !at("new") => Known::Seasons,
        "season" => Known::Seasons,
        "code" | "target" | "spare" => Known::Kit,
        _ => return None,
    })
}

fn taught(mut command: Command, path: &[String]) -> Command {
    // All at once: one that is taken out and put back would stand behind the others.
    command = command.mut_args(|a| match kind_of(path, a.get_id().as_str()) {
        Some(kind) => a.add(ArgValueCompleter::new(move |typed: &OsStr| candidates(kind, typed))),
        None => a,
    });
    let below: Vec<String> = command.get_subcommands().map(|c| c.get_name().to_owned()).collect();
    for name in below {
        let path: Vec<String> = path.iter().cloned().chain([name.clone()]).collect();
        command = command.mut_subcommand(name, |c| taught(c, &path));
    }
    command
}

/// What the yard that is meant has of a kind; nothing where there is none.
fn candidates(kind: Known, typed: &OsStr) -> Vec<CompletionCandidate> {
    let typed = typed.to_string_lossy().to_lowercase();
    let Some(known) =
        meant().and_then(|yard| App::open(&yard, &Choices::default()).ok()).map(|a| a.known(kind))
    else {
        return Vec::new();
    };
    let fits = |(code, _): &(String, String)| code.to_lowercase().starts_with(&typed);
    let shown = |(code, name): (String, String)| {
        let plain = |t: &str| crate::domain::clean_lines(t).replace('\n', " ");
        CompletionCandidate::new(plain(&code)).help(Some(plain(&name).into()))
    };
    known.into_iter().filter(fits).map(shown).collect()
}

/// The yard that the words typed so far name.
fn meant() -> Option<PathBuf> {
    let words: Vec<OsString> = std::env::args_os().collect();
    let named = words.windows(2).find(|w| w.first().is_some_and(|o| o == "--yard")).and_then(|w| w.get(1));
    match named {
        Some(file) => Some(PathBuf::from(file)),
        None if words.iter().any(|w| w == "demo") => Some(Paths::of_system().ok()?.demo_yard()),
        None => Some(Paths::of_system().ok()?.default_yard()),
    }
}
