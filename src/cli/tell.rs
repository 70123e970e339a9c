//! `tell`, `end`: any fact by itself.

use std::process::ExitCode;

use super::args::Args;
use super::{deeds, wrong_use};
use crate::app::{Ask, Problem};

/// The first words, up to one with `=`, are its code or name; the others are columns.
pub(super) fn tell(args: &Args, kind: &str, words: &[String]) -> Result<ExitCode, Problem> {
    let columns = words.iter().position(|w| w.contains('=')).unwrap_or(words.len());
    let (code, cells) = words.split_at(columns);
    let cells = cells
        .iter()
        .map(|word| {
            word.split_once('=').map(|(column, text)| (column.to_owned(), text.to_owned())).ok_or_else(|| {
                wrong_use("no-column", format!("{word:?} tells no column"))
                    .hint("write it like height=2.3m; put a text with blanks in quotes: name=\"Front lawn\"")
            })
        })
        .collect::<Result<Vec<_>, _>>()?;
    let code = (!code.is_empty()).then(|| code.join(" "));
    deeds::perform(args, &Ask::Tell { kind: kind.to_owned(), code, cells })
}

pub(super) fn end(args: &Args, kind: &str, words: &[String], why: Option<&str>) -> Result<ExitCode, Problem> {
    let ask = Ask::End { kind: kind.to_owned(), code: words.join(" "), why: why.map(str::to_owned) };
    deeds::perform(args, &ask)
}
