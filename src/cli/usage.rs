//! What is wrong with how a command was typed, in the words of every other refusal: the parser's own never show.

use std::num::{IntErrorKind, ParseFloatError, ParseIntError};

use clap::error::{ContextKind, ContextValue, ErrorKind};

use super::wrong_use;
use crate::app::Problem;

/// The parser's error as a problem. Help and version are none.
pub(super) fn problem(error: &clap::Error) -> Problem {
    let told = Told(error);
    let arg = told.text(ContextKind::InvalidArg);
    let value = told.text(ContextKind::InvalidValue);
    let usage = || told.text(ContextKind::Usage).trim_start_matches("Usage: ").trim().to_owned();
    let problem = match error.kind() {
        ErrorKind::InvalidValue if value.is_empty() => {
            wrong_use("no-value", format!("{arg} needs a value")).hint(told.choices(ContextKind::ValidValue))
        }
        ErrorKind::InvalidValue | ErrorKind::ValueValidation => {
            let (why, takes) = told.why(&value);
            wrong_use("bad-value", format!("{} {why}", named(&arg, &value))).hint(takes)
        }
        ErrorKind::UnknownArgument => {
            let problem = wrong_use("unknown-argument", format!("{arg:?} is nothing this command takes"));
            match told.text(ContextKind::SuggestedArg) {
                near if near.is_empty() => problem.hint(usage()),
                near => problem.hint(format!("is {near} meant?")),
            }
        }
        ErrorKind::InvalidSubcommand => {
            let word = told.text(ContextKind::InvalidSubcommand);
            let problem = wrong_use("unknown-command", format!("{word:?} is no command here"));
            match told.text(ContextKind::SuggestedSubcommand) {
                near if near.is_empty() => problem.hint(usage()),
                near => problem.hint(format!("is {near} meant?")),
            }
        }
        ErrorKind::MissingRequiredArgument => {
            wrong_use("missing-argument", format!("{arg} is missing")).hint(usage())
        }
        ErrorKind::MissingSubcommand | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            wrong_use("missing-command", "what to do is not told").hint(usage())
        }
        ErrorKind::ArgumentConflict => {
            let prior = told.text(ContextKind::PriorArg);
            let what = match prior.as_str() {
                _ if prior == arg => format!("{arg} is told twice"),
                "" => format!("{arg} can't stand beside the others"),
                prior => format!("{arg} and {prior} can't stand together"),
            };
            wrong_use("argument-conflict", what).hint(usage())
        }
        ErrorKind::InvalidUtf8 => wrong_use("not-text", "an argument is no text in UTF-8"),
        _ => wrong_use("wrong-use", "the command is not typed as it should be").hint(usage()),
    };
    problem.hint("--help after any command tells how it is used")
}

/// `--level: "200"`, or the value's name for one without a dash.
fn named(arg: &str, value: &str) -> String {
    let name = arg.split(" <").next().unwrap_or(arg).trim_matches(['<', '>', '[', ']', '.']);
    format!("{name}: {value:?}")
}

struct Told<'a>(&'a clap::Error);

impl Told<'_> {
    fn text(&self, kind: ContextKind) -> String {
        match self.0.get(kind) {
            Some(ContextValue::String(text)) => text.clone(),
            Some(ContextValue::Strings(texts)) => texts.join(", "),
            Some(ContextValue::StyledStr(text)) => text.to_string(),
            Some(ContextValue::StyledStrs(texts)) => {
                texts.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
            }
            Some(ContextValue::Number(n)) => n.to_string(),
            _ => String::new(),
        }
    }

    fn choices(&self, kind: ContextKind) -> String {
        match self.text(kind) {
            list if list.is_empty() => "write it behind the option".to_owned(),
            list => format!("one of: {list}"),
        }
    }

    /// Why a value is not taken, and what is.
    fn why(&self, value: &str) -> (String, String) {
        if self.0.kind() == ErrorKind::InvalidValue {
            return ("is none of its words".to_owned(), self.choices(ContextKind::ValidValue));
        }
        let whole = || "write it like 12".to_owned();
        let source = std::error::Error::source(self.0);
        if let Some(error) = source.and_then(|s| s.downcast_ref::<ParseIntError>()) {
            return match error.kind() {
                IntErrorKind::PosOverflow | IntErrorKind::NegOverflow => {
                    ("is beyond every number".to_owned(), whole())
                }
                _ if value.starts_with('-') => ("is below zero, or no number".to_owned(), whole()),
                _ => ("is no whole number".to_owned(), whole()),
            };
        }
        if source.is_some_and(|s| s.downcast_ref::<ParseFloatError>().is_some()) {
            return ("is no number".to_owned(), "write it like 12 or 12.5".to_owned());
        }
        // A range says what it holds: "200 is not in 1..=100".
        let said = source.map(ToString::to_string).unwrap_or_default();
        let range = said.rsplit(" is not in ").next().and_then(|r| r.split_once(".."));
        match range {
            Some((least, most)) => {
                let most = most.trim_start_matches('=');
                let takes =
                    if most.is_empty() { format!("{least} or more") } else { format!("{least} to {most}") };
                ("is out of range".to_owned(), takes)
            }
            None => ("can't be read".to_owned(), said),
        }
    }
}
