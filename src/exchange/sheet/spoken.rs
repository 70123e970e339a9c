//! A list without titles that tells a prop a line as it comes to mind: "8 boat cut-outs, path left, zip-tied".
//!
//! What stands in columns is no such list: lines of equally many cells are read by what the columns hold, and where the
//! first line alone has no figure it is a line of titles that is not known.

use super::known::plain;
use super::mounting::{Way, says_how};
use super::number;
use super::quick::{counted, quick_of};
use super::season;
use crate::exchange::csv::Target;
use crate::exchange::csv::grid::{Line, without_tabs};

const TITLES: [&str; 8] =
    ["name", "how many", "where", "how mounted", "length", "worth", "permanent", "note"];
/// A name of more words is a sentence of something else.
const MOST_WORDS: usize = 8;
/// Lines read back one by one.
const NAMED: usize = 3;

/// Such a list as one in columns.
pub(super) struct Spoken {
    pub(super) titles: Vec<String>,
    pub(super) props: Vec<Line>,
    /// What was understood.
    pub(super) said: Vec<String>,
}

/// Whether the lines stand in no columns: not equally many cells, or figures before names.
pub(super) fn is_spoken(lines: &[Line]) -> bool {
    let rows = lines.get(first_prop(lines)..).unwrap_or_default();
    let widths = rows.iter().map(|l| l.cells.len());
    widths.clone().max() != widths.min() || rows.iter().any(|l| counted(l.cell(0)).1.is_some())
}

/// The line after that which tells the day, among the first.
pub(super) fn first_prop(lines: &[Line]) -> usize {
    const LOOKED_AT: usize = 5;
    let tells = |l: &Line| season::told(std::slice::from_ref(l)).is_some();
    lines.iter().take(LOOKED_AT).position(tells).map_or(0, |at| at + 1)
}

/// Reads the lines; nothing where one may be read otherwise, or is no prop.
pub(super) fn spoken(text: &str, lines: &[Line], target: &Target<'_>) -> Option<Spoken> {
    let rows = lines.get(first_prop(lines)..).filter(|rows| !rows.is_empty() && !titles_unknown(rows))?;
    let methods = &target.existing.methods;
    let ways: Vec<Way<'_>> =
        methods.iter().map(|m| Way { code: &m.code, name: &m.name, also: &m.also }).collect();
    let mut said = vec!["no line names the columns: each line read as one prop".to_owned()];
    let mut out = Vec::new();
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let raw: Vec<&str> = text.split('\n').collect();
    let line_of = |l: &Line| raw.get(usize::try_from(l.number).ok()?.checked_sub(1)?).map(|l| l.trim());
    let numbered = numbered(&rows.iter().map(|l| line_of(l).unwrap_or_default()).collect::<Vec<_>>())?;
    for row in rows {
        // A quote that runs over lines belongs to a table.
        let line = line_of(row).filter(|_| !row.cells.iter().any(|c| c.contains('\n')))?;
        let line = if numbered { line.trim_start_matches(|c: char| c.is_ascii_digit()) } else { line };
        let line = line.trim_start_matches(|c: char| {
            matches!(c, '-' | '*' | '•' | ' ') || numbered && matches!(c, '.' | ')')
        });
        let parts = parts(line, &ways);
        // A bare figure further on stands in a column.
        if parts.iter().skip(2).any(|p| number::how_many(p).is_ok()) {
            return None;
        }
        let told = quick_of(parts, &target.existing.places, &ways);
        let words = told.name.split_whitespace().count();
        if words > MOST_WORDS || !told.name.chars().any(char::is_alphabetic) {
            return None;
        }
        let thing = |(column, text): &(String, String)| match column.as_str() {
            "pixels" => format!("{text} pixels"),
            _ => text.clone(),
        };
        let more = told.product.iter().map(thing);
        let note: Vec<String> = told.note.iter().cloned().chain(more).collect();
        if said.len() <= NAMED {
            let how_many = told.count.map_or("how many not told".to_owned(), |n| n.to_string());
            let (place, how) = (told.place.clone().unwrap_or_default(), told.how.clone().unwrap_or_default());
            said.push(format!(
                "line {} read as: {} | {how_many} | where {place:?} | mounted {how:?}",
                row.number, told.name
            ));
        }
        let text = |t: Option<String>| t.unwrap_or_default();
        let cells = vec![
            told.name,
            told.count.map_or_else(String::new, |n| n.to_string()),
            text(told.place),
            text(told.how),
            text(told.length),
            text(told.worth),
            if told.permanent { "yes" } else { "" }.to_owned(),
            note.join("; "),
        ];
        out.push(Line { number: row.number, cells });
    }
    without_tabs(&mut out);
    Some(Spoken { titles: TITLES.map(str::to_owned).to_vec(), props: out, said })
}

/// The parts of a line: between commas, else between dashes with blanks; what stands in brackets at the end and says how
/// is a part of its own.
fn parts(line: &str, ways: &[Way<'_>]) -> Vec<String> {
    let dashed = [" - ", " – ", " — ", "\t"].into_iter().find(|d| !line.contains(',') && line.contains(d));
    let mut parts: Vec<String> = match dashed {
        Some(dash) => line.split(dash).map(|p| p.trim().to_owned()).collect(),
        None => super::quick::parts(line),
    };
    let bracket = parts.last().and_then(|last| {
        let (before, inside) = last.strip_suffix(')')?.rsplit_once('(')?;
        let (before, inside) = (before.trim().to_owned(), inside.trim().to_owned());
        (!before.is_empty() && number::how_many(&inside).is_err() && says_how(&inside, ways))
            .then_some((before, inside))
    });
    if let (Some((before, inside)), Some(last)) = (bracket, parts.last_mut()) {
        *last = before;
        parts.push(inside);
    }
    parts
}

/// Whether the lines are numbered, "1. Star", "2) Elf"; nothing where bare figures may be numbers or how many.
fn numbered(lines: &[&str]) -> Option<bool> {
    let after = |n: usize, line: &str| -> Option<char> { line.strip_prefix(&n.to_string())?.chars().next() };
    let all = |of: fn(char) -> bool| {
        lines.len() > 2 && lines.iter().zip(1..).all(|(l, n)| after(n, l).is_some_and(of))
    };
    if all(|c| c == ' ') {
        return None;
    }
    Some(all(|c| matches!(c, '.' | ')')))
}

/// Whether the first line has words where all the others have figures.
pub(super) fn titles_unknown(rows: &[Line]) -> bool {
    let Some((first, rest)) = rows.split_first().filter(|(_, rest)| !rest.is_empty()) else { return false };
    let figure = |l: &Line, at: usize| number::how_many(l.cell(at)).is_ok();
    let words = |at: usize| first.cell(at).chars().any(char::is_alphabetic) && !figure(first, at);
    let plain_figures = |at: usize| {
        let told: Vec<&Line> = rest.iter().filter(|l| !plain(l.cell(at)).is_empty()).collect();
        !told.is_empty() && told.iter().all(|l| figure(l, at))
    };
    (0..first.cells.len()).any(|at| words(at) && plain_figures(at))
}
