//! Manual pages, one a command, from the same definition as the commands.

use std::fmt::Write as _;
use std::path::Path;
use std::process::ExitCode;

use clap::{Command, CommandFactory as _};

use super::args::Args;
use super::{output, wrong_use};
use crate::app::{Done, Problem, deed_answer, io_words, text_answer, write_pages};

/// What is typed, by the command that it shows. Each is read by the parser in a test.
const EXAMPLES: &str = include_str!("examples.txt");

const EXIT: &str = "0 fine, also a plan with unplaced steps. 1 a check or verify found what must stop the work. 2 badly typed: a value or a command that can't be read, whatever the yard holds. 3 the yard file or a named file can't be used for this. 4 refused by what the yard holds: an unknown code or season, data that contradicts. After 2, 3 and 4 nothing was written.";

const FILES: [(&str, &str); 4] = [
    (
        "$XDG_DATA_HOME/ladderday/yard.ladderday",
        "your yard, where --yard names no other; ~/.local/share where XDG_DATA_HOME is not set. Its backups lie in the folder backups beside it.",
    ),
    ("$XDG_DATA_HOME/ladderday/demo.ladderday", "the demo yard"),
    (
        "$XDG_CONFIG_HOME/ladderday/settings.toml",
        "settings and own keys; ladderday settings prints a documented sample",
    ),
    ("$XDG_STATE_HOME/ladderday", "the look chosen last, and what the program said if it broke off"),
];

const ENVIRONMENT: [(&str, &str); 4] = [
    ("HOME, XDG_DATA_HOME, XDG_CONFIG_HOME, XDG_STATE_HOME", "where files lie"),
    ("NO_COLOR", "no colours, if it is not empty"),
    ("TERM, COLORTERM", "how many colours the terminal has"),
    ("COMPLETE", "set by the shell that completes a word"),
];

/// The page of a command on stdout, or all pages into a folder.
pub(super) fn man(args: &Args, words: &[String], to: Option<&Path>) -> Result<ExitCode, Problem> {
    let mut root = Args::command().disable_help_subcommand(true);
    root.build();
    if let Some(folder) = to {
        let mut pages = Vec::new();
        all_pages(&root, &mut Vec::new(), &mut pages)?;
        write_pages(folder, &pages)?;
        let said = format!("{} pages in {}", pages.len(), folder.display());
        return Ok(output::answer(&deed_answer(&Done::only(said), args.form())));
    }
    let mut command = &root;
    for word in words {
        command = command.find_subcommand(word).ok_or_else(|| {
            let known: Vec<&str> = command.get_subcommands().map(Command::get_name).collect();
            wrong_use("unknown-command", format!("{word:?} is no command here")).hint(known.join(", "))
        })?;
    }
    Ok(output::answer(&text_answer(page(command, words)?, args.form())))
}

fn all_pages(
    command: &Command,
    path: &mut Vec<String>,
    pages: &mut Vec<(String, String)>,
) -> Result<(), Problem> {
    let name = path.iter().fold("ladderday".to_owned(), |out, word| format!("{out}-{word}"));
    pages.push((format!("{name}.1"), page(command, path)?));
    for below in command.get_subcommands() {
        path.push(below.get_name().to_owned());
        all_pages(below, path, pages)?;
        path.pop();
    }
    Ok(())
}

fn page(command: &Command, path: &[String]) -> Result<String, Problem> {
    let mut text = Vec::new();
    clap_mangen::Man::new(command.clone()).manual("ladderday").render(&mut text).map_err(|e| {
        Problem::new(
            crate::app::ProblemKind::File,
            "man",
            format!("the page could not be written: {}", io_words(&e)),
        )
    })?;
    let mut out = String::from_utf8_lossy(&text).into_owned();
    section(&mut out, "EXIT STATUS");
    out.push_str(&roff(EXIT));
    for (title, rows) in [("FILES", FILES), ("ENVIRONMENT", ENVIRONMENT)] {
        section(&mut out, title);
        for (name, what) in rows {
            let _ = write!(out, ".TP\n{}{}", roff(name), roff(what));
        }
    }
    section(&mut out, "EXAMPLES");
    for line in examples(path) {
        let _ = write!(out, ".TP\n{}{}", roff(&format!("ladderday {}", line.0)), roff(line.1));
    }
    Ok(out)
}

/// The examples of a command; those of all commands below it; for one without, those of the command above.
fn examples(path: &[String]) -> Vec<(&'static str, &'static str)> {
    let all = || EXAMPLES.lines().filter_map(|l| l.split_once("  # "));
    for depth in (0..=path.len()).rev() {
        let begins = path.get(..depth).unwrap_or(&[]).join(" ");
        let own =
            |l: &(&str, &str)| l.0 == begins || l.0.starts_with(&format!("{begins} ")) || begins.is_empty();
        let found: Vec<_> = all().filter(own).collect();
        if !found.is_empty() {
            return found;
        }
    }
    Vec::new()
}

fn section(out: &mut String, title: &str) {
    let _ = writeln!(out, ".SH \"{title}\"");
}

/// A line of text: a backslash is doubled, a hyphen stays one, a dot at the beginning is no request.
fn roff(text: &str) -> String {
    format!("\\&{}\n", text.replace('\\', "\\e").replace('-', "\\-"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser as _;

    #[test]
    fn every_example_is_a_command_as_it_is_typed() {
        let mut seen = 0;
        for (line, what) in EXAMPLES.lines().map(|l| l.split_once("  # ").unwrap_or_else(|| panic!("{l}"))) {
            let words = std::iter::once("ladderday".to_owned()).chain(words(line));
            Args::try_parse_from(words).unwrap_or_else(|e| panic!("{line}: {e}"));
            assert!(!what.is_empty());
            seen += 1;
        }
        assert!(seen > 40);
    }

    /// Words as a shell parts them, with double quotes.
    fn words(line: &str) -> Vec<String> {
        let parts = line.split('"').enumerate();
        parts
            .flat_map(|(at, part)| {
                let whole = at % 2 == 1;
                let parts: Vec<String> = if whole {
                    vec![part.to_owned()]
                } else {
                    part.split_whitespace().map(str::to_owned).collect()
                };
                parts
            })
            .collect()
    }

    #[test]
    fn every_command_has_its_page_with_all_sections() {
        let mut root = Args::command().disable_help_subcommand(true);
        root.build();
        let mut pages = Vec::new();
        all_pages(&root, &mut Vec::new(), &mut pages).unwrap();
        assert!(pages.len() > 70, "{} pages", pages.len());
        for (name, text) in &pages {
            for section in ["NAME", "SYNOPSIS", "EXIT STATUS", "FILES", "ENVIRONMENT", "EXAMPLES"] {
                let head = text.contains(&format!(".SH {section}\n"))
                    || text.contains(&format!(".SH \"{section}\""));
                assert!(head, "{name} has no {section}");
            }
            assert!(text.matches(".TP").count() > 8, "{name} shows no example");
        }
        let done = pages.iter().find(|p| p.0 == "ladderday-step-done.1").unwrap();
        assert!(done.1.contains("step done") && !done.1.contains("buy order"), "{}", done.1);
    }
}
