//! Text to lines of cells, by RFC 4180 with any of three separators and every kind of line end.
//!
//! A quote that is not closed, or is followed by more text, is told: it swallows what comes after it.

use crate::exchange::csv::clean;

/// The separators that spreadsheet programs write.
pub(super) const SEPARATORS: &[char] = &[',', ';', '\t'];
/// The most lines of a list.
const MOST_LINES: usize = 100_000;

/// One line: its number in the file, and its cells, cleaned and trimmed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    pub(super) number: u64,
    pub(super) cells: Vec<String>,
}

impl Line {
    pub(super) fn cell(&self, at: usize) -> &str {
        self.cells.get(at).map_or("", String::as_str)
    }

    pub(super) fn is_blank(&self) -> bool {
        self.cells.iter().all(String::is_empty)
    }
}

/// Why text is no grid: code, line, what, remedy.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct NoGrid(
    pub(super) &'static str,
    pub(super) u64,
    pub(super) &'static str,
    pub(super) &'static str,
);

#[derive(PartialEq)]
enum At {
    /// Nothing of the cell yet but blanks.
    Start,
    Plain,
    Quoted,
    /// After the closing quote.
    Closed,
}

/// The lines that are not blank.
pub(super) fn lines(text: &str, separator: char) -> Result<Vec<Line>, NoGrid> {
    let mut lines = Vec::new();
    let mut line = Line { number: 1, cells: Vec::new() };
    let (mut cell, mut at, mut number, mut opened) = (String::new(), At::Start, 1_u64, 1_u64);
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let ends = matches!(c, '\n' | '\r');
        if c == '\r' && chars.peek() == Some(&'\n') {
            chars.next();
        }
        number += u64::from(ends);
        match (&at, c) {
            (At::Quoted, '"') if chars.peek() == Some(&'"') => {
                chars.next();
                cell.push('"');
            }
            (At::Quoted, '"') => at = At::Closed,
            (At::Quoted, _) => cell.push(if ends { '\n' } else { c }),
            (_, c) if c == separator || ends => {
                line.cells.push(tidy(&cell));
                cell.clear();
                at = At::Start;
                if ends {
                    keep(&mut lines, &mut line, number)?;
                }
            }
            (At::Start, '"') => {
                cell.clear();
                (at, opened) = (At::Quoted, number);
            }
            (At::Closed, c) if !c.is_whitespace() => {
                let remedy = "close the quote at the end of the cell, or write it twice inside";
                return Err(NoGrid(
                    "bad-quote",
                    opened,
                    "there is text after the closing quote of a cell",
                    remedy,
                ));
            }
            (At::Closed, _) => {}
            (At::Start, c) if c.is_whitespace() => cell.push(c),
            _ => {
                cell.push(c);
                at = At::Plain;
            }
        }
    }
    if at == At::Quoted {
        let remedy = "put a closing quote at the end of the cell";
        return Err(NoGrid("bad-quote", opened, "a quote is opened here and never closed", remedy));
    }
    line.cells.push(tidy(&cell));
    keep(&mut lines, &mut line, number + 1)?;
    Ok(lines)
}

fn keep(lines: &mut Vec<Line>, line: &mut Line, next: u64) -> Result<(), NoGrid> {
    let done = std::mem::replace(line, Line { number: next, cells: Vec::new() });
    if lines.len() >= MOST_LINES {
        return Err(NoGrid(
            "too-many-lines",
            done.number,
            "the file has more than 100,000 lines",
            "split it",
        ));
    }
    if !done.is_blank() {
        lines.push(done);
    }
    Ok(())
}

/// Without hidden characters and blanks around it, and a formula's guard taken off. A tab inside stays until it is
/// known that it parts no cells.
fn tidy(cell: &str) -> String {
    let parts: Vec<String> = cell.split('\t').map(|part| clean(part).replace('\u{A0}', " ")).collect();
    clean::restore(parts.join("\t").trim()).to_owned()
}

/// Takes the tabs out of cells.
pub(super) fn without_tabs(lines: &mut [Line]) {
    for cell in lines.iter_mut().flat_map(|l| &mut l.cells).filter(|c| c.contains('\t')) {
        *cell = cell.replace('\t', " ");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str, separator: char) -> Vec<(u64, Vec<String>)> {
        lines(text, separator).unwrap().into_iter().map(|l| (l.number, l.cells)).collect()
    }

    #[test]
    fn line_ends_quotes_and_separators_are_read() {
        let wanted = vec![
            (1, vec!["a".to_owned(), "b, \"c\"\nd".to_owned()]),
            (4, vec!["6\" x".to_owned(), String::new()]),
        ];
        for end in ["\n", "\r\n", "\r"] {
            let text = ["a, \"b, \"\"c\"\"", "d\" ", "", "6\" x,", ""].join(end);
            assert_eq!(cells(&text, ','), wanted, "{end:?}");
        }
        assert_eq!(cells("a;b\t;c", ';'), [(1, vec!["a".into(), "b".into(), "c".into()])]);
        assert_eq!(cells("", ','), []);
    }

    #[test]
    fn a_quote_that_swallows_lines_is_told() {
        assert_eq!(lines("a,b\n\"c,d\ne,f\n", ',').unwrap_err().1, 2);
        let swallowed = lines("a,b\n\"c,d\ne,\"f, g\"\n", ',').unwrap_err();
        assert_eq!((swallowed.0, swallowed.1), ("bad-quote", 2));
    }
}
