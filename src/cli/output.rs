//! The only place that writes to stdout and stderr.

use std::io::Write as _;
use std::process::ExitCode;

use crate::app::{Form, Problem, problem_document};

/// Prints an answer. A reader that went away is no fault of ours.
pub(super) fn answer(text: &str) -> ExitCode {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) if e.kind() == std::io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(_) => ExitCode::from(3),
    }
}

/// Tells something beside the answer.
pub(super) fn note(text: &str) {
    let _ = writeln!(std::io::stderr(), "ladderday: {text}");
}

/// Tells a problem, and ends with its exit code.
pub(super) fn problem(problem: &Problem, form: Form) -> ExitCode {
    match form {
        Form::Text => note(&problem.to_string()),
        Form::Json => {
            let _ = write!(std::io::stderr(), "{}", problem_document(problem));
        }
    }
    ExitCode::from(problem.kind.exit_code())
}

/// Help and version go to stdout; wrong use ends with 2.
pub(super) fn usage(error: &clap::Error) -> ExitCode {
    let _ = error.print();
    ExitCode::from(if error.use_stderr() { 2 } else { 0 })
}
