//! Opens a file with the system's viewer, beside the program.

use std::path::Path;
use std::process::{Command, Stdio};

use crate::app::{Problem, ProblemKind};

/// What opens a file on this system.
const SYSTEM: &str = if cfg!(target_os = "macos") {
    "open"
} else if cfg!(windows) {
    "explorer"
} else {
    "xdg-open"
};

/// Starts the viewer, `with` or the system's own, and doesn't wait for it.
///
/// # Errors
/// `no-viewer` where it can't be started; the file is there all the same and is named.
pub fn open(path: &Path, with: Option<&Path>) -> Result<String, Problem> {
    let program = with.unwrap_or_else(|| Path::new(SYSTEM));
    let started = Command::new(program)
        .arg(path)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    match started {
        Ok(mut child) => {
            // It may go on showing long after us; only one that fails at once is told.
            if child.try_wait().ok().flatten().is_some_and(|end| !end.success()) {
                return Err(refusal(program, path, "it ended at once"));
            }
            Ok(format!("Opened {} with {}", path.display(), program.display()))
        }
        Err(why) => Err(refusal(program, path, &why.to_string())),
    }
}

fn refusal(program: &Path, path: &Path, why: &str) -> Problem {
    Problem::new(ProblemKind::File, "no-viewer", format!("{} could not be started: {why}", program.display()))
        .hint(format!("the picture is in {}", path.display()))
        .hint("name another program: ladderday fault photo CODE --open 1 --with PROGRAM")
}
