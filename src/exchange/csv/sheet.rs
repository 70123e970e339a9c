//! The cells of one table: bytes to lines of text, whatever the separator.

use super::CsvFile;
use super::fault::CsvFault;
use super::grid::{self, Line, NoGrid};

/// The longest cell, in bytes; the longest text of a yard is far below.
const LONGEST_CELL: usize = 100_000;
/// The most faults told of one file; a file of another kind has one a line.
const MOST_FAULTS: usize = 200;

/// Reads the lines of a file.
pub(super) fn lines(file: &CsvFile<'_>) -> Result<Vec<Line>, Vec<CsvFault>> {
    let bytes = file.bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(file.bytes);
    let no_text = |line, what| vec![CsvFault::new("not-utf8", file.name, line, what, "save it as CSV UTF-8")];
    if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
        return Err(no_text(1, "this is UTF-16 text"));
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let before = bytes.get(..error.valid_up_to()).unwrap_or_default();
        no_text(before.split(|b| *b == b'\n').count() as u64, "this is not UTF-8 text")
    })?;
    let lines = grid::lines(text, separator(text), grid::OF_A_TABLE, grid::plainly).map_err(
        |NoGrid(code, line, what, remedy)| vec![CsvFault::new(code, file.name, line, what, remedy)],
    )?;
    let mut faults = Vec::new();
    for (line, cell) in lines.iter().flat_map(|l| l.cells.iter().map(move |c| (l.number, c))) {
        if cell.contains('\0') {
            let (what, remedy) = ("it contains a NUL character", "save the file as plain text");
            faults.push(CsvFault::new("nul", file.name, line, what, remedy).at("", cell));
        }
        if cell.len() > LONGEST_CELL {
            let what = format!("the cell has {} bytes, at most {LONGEST_CELL} are taken", cell.len());
            let remedy = "shorten it; look for a quote that is not closed";
            faults.push(CsvFault::new("cell-too-long", file.name, line, what, remedy).at("", cell));
        }
    }
    faults.truncate(MOST_FAULTS);
    if faults.is_empty() { Ok(lines) } else { Err(faults) }
}

/// The separator that the first line has most of, outside quotes.
fn separator(text: &str) -> char {
    let mut quoted = false;
    let (mut commas, mut semicolons, mut tabs) = (0, 0, 0);
    for c in text.chars().take(10_000) {
        match c {
            '"' => quoted = !quoted,
            '\n' if !quoted && commas + semicolons + tabs > 0 => break,
            ',' if !quoted => commas += 1,
            ';' if !quoted => semicolons += 1,
            '\t' if !quoted => tabs += 1,
            _ => {}
        }
    }
    if semicolons > commas && semicolons >= tabs {
        ';'
    } else if tabs > commas {
        '\t'
    } else {
        ','
    }
}
