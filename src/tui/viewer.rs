//! Opens a file with the system's viewer, beside the program.

use std::path::Path;
use std::process::{Command, Stdio};

use crate::app::{Problem, ProblemKind, io_words};

/// What opens a file on this system.
const SYSTEM: &str = if cfg!(target_os = "macos") {
    "open"
} else if cfg!(windows) {
    "explorer"
} else {
    "xdg-open"
};

/// The viewer's command line: `with` is a program and its own arguments, or nothing for the system's viewer. No shell
/// reads it, and the file comes last and with its folder, so that no name is taken for an option.
fn command(path: &Path, with: &[String]) -> Command {
    let (program, own) = with.split_first().map_or((SYSTEM, &[][..]), |(p, own)| (p.as_str(), own));
    let mut command = Command::new(program);
    command.args(own).arg(std::path::absolute(path).unwrap_or_else(|_| path.to_owned()));
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// Starts the viewer, `with` or the system's own, and doesn't wait for it.
///
/// # Errors
/// `no-viewer` where it can't be started; the file is there all the same and is named.
pub fn open(path: &Path, with: &[String]) -> Result<String, Problem> {
    let mut command = command(path, with);
    let name = command.get_program().to_owned();
    let program = Path::new(&name);
    let started = command.spawn();
    match started {
        Ok(mut child) => {
            // It may go on showing long after us; only one that fails at once is told.
            if child.try_wait().ok().flatten().is_some_and(|end| !end.success()) {
                return Err(refusal(program, path, "it ended at once"));
            }
            Ok(format!("Opened {} with {}", path.display(), program.display()))
        }
        Err(why) => Err(refusal(program, path, &io_words(&why))),
    }
}

fn refusal(program: &Path, path: &Path, why: &str) -> Problem {
    Problem::new(ProblemKind::File, "no-viewer", format!("{} could not be started: {why}", program.display()))
        .hint(format!("the picture is in {}", path.display()))
        .hint("name another program: viewer in the settings, or ladderday fault photo CODE --open 1 --with PROGRAM")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(path: &str, with: &[&str]) -> Vec<String> {
        let with: Vec<String> = with.iter().map(|w| (*w).to_owned()).collect();
        let command = command(Path::new(path), &with);
        let all = std::iter::once(command.get_program()).chain(command.get_args());
        all.map(|a| a.to_string_lossy().into_owned()).collect()
    }

    #[test]
    fn an_odd_name_stays_one_argument_and_no_option() {
        let odd = "-rf; $(touch x) \"it's\" & é *.png";
        for with in [&[][..], &["viewer"], &["a viewer", "--full screen"]] {
            let line = line(odd, with);
            assert_eq!(line.len(), with.len().max(1) + 1, "{line:?}");
            let file = line.last().unwrap();
            assert!(Path::new(file).is_absolute() && file.ends_with(odd), "{file}");
            assert_eq!(line[..with.len()], *with);
        }
        assert_eq!(line("/a b/1.png", &[]), [SYSTEM, "/a b/1.png"]);
        assert_eq!(line("/a b/1.png", &["a viewer", "--full screen"])[1], "--full screen");
    }
}
