//! The only place that writes to stdout and stderr: what leaves here is cleaned, whoever wrote it.

use std::io::Write as _;
use std::process::ExitCode;
use std::sync::OnceLock;

use crate::app::{Form, Problem, problem_document};
use crate::domain::clean_lines;

/// What was told first beside an answer: a refusal for the same reason does not say it again.
static TOLD: OnceLock<String> = OnceLock::new();

/// Prints an answer. A reader that went away is no fault of ours.
pub(super) fn answer(text: &str) -> ExitCode {
    let mut out = std::io::stdout().lock();
    written(out.write_all(clean_lines(text).as_bytes()).and_then(|()| out.flush()))
}

fn written(done: std::io::Result<()>) -> ExitCode {
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) if e.kind() == std::io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(e) => {
            note(&format!("the answer could not be written: {} [output]", crate::app::io_words(&e)));
            ExitCode::from(3)
        }
    }
}

/// Tells something beside the answer.
pub(super) fn note(text: &str) {
    let _ = TOLD.set(text.to_owned());
    let _ = writeln!(std::io::stderr(), "ladderday: {}", clean_lines(text));
}

/// Tells a problem, and ends with its exit code.
pub(super) fn problem(problem: &Problem, form: Form) -> ExitCode {
    match form {
        Form::Text => {
            let again = TOLD.get().is_some_and(|told| *told == problem.what);
            let said = problem.to_string();
            note(&if again { said.replacen(&problem.what, "nothing is written", 1) } else { said });
        }
        Form::Json => {
            let _ = write!(std::io::stderr(), "{}", clean_lines(&problem_document(problem)));
        }
    }
    ExitCode::from(problem.kind.exit_code())
}

/// Help and version go to stdout, and the help of a command that wants one more word; wrong use ends with 2.
pub(super) fn usage(error: &clap::Error, form: Form) -> ExitCode {
    if !error.use_stderr() {
        return written(error.print().and_then(|()| std::io::stdout().flush()));
    }
    if error.kind() == clap::error::ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand && form == Form::Text
    {
        let _ = error.print();
        return ExitCode::from(2);
    }
    problem(&super::usage::problem(error), form)
}
