//! Text to lines of cells, by RFC 4180 with any of three separators and every kind of line end.
//!
//! A quote that is not closed, or is followed by more text, is told: it swallows what comes after it.

use super::clean;

/// The separators that spreadsheet programs write.
pub(in crate::exchange) const SEPARATORS: &[char] = &[',', ';', '\t'];
/// The most lines of a list, and of a table.
pub(in crate::exchange) const OF_A_LIST: usize = 100_000;
pub(in crate::exchange) const OF_A_TABLE: usize = 500_000;

/// One line: its number in the file, and its cells, trimmed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::exchange) struct Line {
    pub(in crate::exchange) number: u64,
    pub(in crate::exchange) cells: Vec<String>,
}

impl Line {
    pub(in crate::exchange) fn cell(&self, at: usize) -> &str {
        self.cells.get(at).map_or("", String::as_str)
    }

    pub(in crate::exchange) fn is_blank(&self) -> bool {
        self.cells.iter().all(String::is_empty)
    }
}

/// Why text is no grid: code, line, what, remedy.
#[derive(Debug, PartialEq, Eq)]
pub(in crate::exchange) struct NoGrid(
    pub(in crate::exchange) &'static str,
    pub(in crate::exchange) u64,
    pub(in crate::exchange) String,
    pub(in crate::exchange) &'static str,
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

/// The lines that are not blank, at most so many, each cell made tidy.
pub(in crate::exchange) fn lines(
    text: &str,
    separator: char,
    most: usize,
    tidy: impl Fn(&str) -> String,
) -> Result<Vec<Line>, NoGrid> {
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
                    keep(&mut lines, &mut line, number, most)?;
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
                    "there is text after the closing quote of a cell".to_owned(),
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
        let what = "a quote is opened here and never closed".to_owned();
        return Err(NoGrid("bad-quote", opened, what, remedy));
    }
    line.cells.push(tidy(&cell));
    keep(&mut lines, &mut line, number + 1, most)?;
    Ok(lines)
}

fn keep(lines: &mut Vec<Line>, line: &mut Line, next: u64, most: usize) -> Result<(), NoGrid> {
    let done = std::mem::replace(line, Line { number: next, cells: Vec::new() });
    if lines.len() >= most {
        return Err(NoGrid(
            "too-many-lines",
            done.number,
            format!("the file has more than {most} lines"),
            "split it",
        ));
    }
    if !done.is_blank() {
        lines.push(done);
    }
    Ok(())
}

/// A cell of a table: without blanks around it, and a formula's guard taken off.
pub(super) fn plainly(cell: &str) -> String {
    clean::restore(cell.trim()).to_owned()
}

/// A cell of a list: without hidden characters, too. A tab inside stays until it is known that it parts no cells.
pub(in crate::exchange) fn tidily(cell: &str) -> String {
    let parts: Vec<String> = cell.split('\t').map(|part| clean::clean(part).replace('\u{A0}', " ")).collect();
    clean::restore(parts.join("\t").trim()).to_owned()
}

/// Takes the tabs out of cells.
pub(in crate::exchange) fn without_tabs(lines: &mut [Line]) {
    for cell in lines.iter_mut().flat_map(|l| &mut l.cells).filter(|c| c.contains('\t')) {
        *cell = cell.replace('\t', " ");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str, separator: char) -> Vec<(u64, Vec<String>)> {
        lines(text, separator, OF_A_LIST, tidily).unwrap().into_iter().map(|l| (l.number, l.cells)).collect()
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
        assert_eq!(lines("a,b\n\"c,d\ne,f\n", ',', OF_A_LIST, tidily).unwrap_err().1, 2);
        let swallowed = lines("a,b\n\"c,d\ne,\"f, g\"\n", ',', OF_A_LIST, tidily).unwrap_err();
        assert_eq!((swallowed.0, swallowed.1), ("bad-quote", 2));
    }
}
