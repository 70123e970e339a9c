//! The screens line by line: reads stdin, prints what is to be read, no escape codes.

use std::io::{BufRead as _, Write as _};
use std::process::ExitCode;

use super::args::Args;
use super::output;
use crate::app::{App, Paths, Problem};
use crate::tui::plain::Talk;
use crate::tui::run::{Options, Outcome};

/// Talks until `q` or the end of the input.
pub(super) fn talk(args: &Args, mut app: App, options: Options) -> Result<ExitCode, Problem> {
    let (mut talk, lines) = Talk::begin(&mut app, &options);
    say(&lines, &talk.prompt());
    for line in std::io::stdin().lock().lines() {
        // What is no text ends the talk as the end of the input does; all deeds are saved.
        let Ok(line) = line else { break };
        let (lines, outcome) = talk.line(&mut app, &line);
        match outcome {
            Outcome::Quit => return Ok(ExitCode::SUCCESS),
            Outcome::Demo => {
                let demo = App::demo(&Paths::of_system()?.demo_yard(), false, &args.choices())?;
                return self::talk(args, demo, options);
            }
            Outcome::Go | Outcome::Suspend => say(&lines, &talk.prompt()),
        }
    }
    Ok(output::answer("\n"))
}

fn say(lines: &[String], prompt: &str) {
    let mut text = lines.join("\n");
    text.push('\n');
    text.push_str(prompt);
    output::answer(&text);
    // A reader that went away is noticed at the next line.
    let _ = std::io::stdout().flush();
}
