//! The cells of one file: bytes to lines of text, whatever the separator.

use super::CsvFile;
use super::clean;
use super::fault::CsvFault;

/// The longest cell, in bytes; the longest text of a yard is far below.
const LONGEST_CELL: usize = 100_000;
/// The most lines of a file.
const MOST_LINES: usize = 500_000;
/// The most faults told of one file; a file of another kind has one a line.
const MOST_FAULTS: usize = 200;

/// One line: its number in the file and its cells, trimmed, formulas restored.
pub(super) struct Line {
    pub(super) number: u64,
    pub(super) cells: Vec<String>,
}

/// Reads the lines of a file.
pub(super) fn lines(file: &CsvFile<'_>) -> Result<Vec<Line>, Vec<CsvFault>> {
    let bytes = file.bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(file.bytes);
    if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
        return Err(vec![CsvFault::new(
            "not-utf8",
            file.name,
            1,
            "this is UTF-16 text",
            "save it as CSV UTF-8",
        )]);
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let before = bytes.get(..error.valid_up_to()).unwrap_or_default();
        let line = before.split(|b| *b == b'\n').count() as u64;
        vec![CsvFault::new("not-utf8", file.name, line, "this is not UTF-8 text", "save it as CSV UTF-8")]
    })?;
    let line_end = if text.contains('\n') { '\n' } else { '\r' };
    let mut faults = Vec::new();
    let mut lines = Vec::new();
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator(text))
        .from_reader(text.as_bytes());
    let (mut counted, mut number) = (0, 1);
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = error.position().map_or(0, csv::Position::line);
                faults.push(CsvFault::new(
                    "unreadable",
                    file.name,
                    line,
                    error.to_string(),
                    "save the file as CSV anew",
                ));
                break;
            }
        };
        // The reader's own line number is that of the empty lines before a record.
        let start = record.position().map_or(counted, |p| p.byte() as usize);
        let start =
            start + text.get(start..).map_or(0, |t| t.len() - t.trim_start_matches(['\r', '\n']).len());
        number += text.get(counted..start).map_or(0, |t| t.matches(line_end).count()) as u64;
        counted = start;
        let mut cells = Vec::with_capacity(record.len());
        for cell in &record {
            if cell.contains('\0') {
                let what = "it contains a NUL character";
                faults.push(
                    CsvFault::new("nul", file.name, number, what, "save the file as plain text").at("", cell),
                );
            }
            if cell.len() > LONGEST_CELL {
                let what = format!("the cell has {} bytes, at most {LONGEST_CELL} are taken", cell.len());
                let remedy = "shorten it; look for a quote that is not closed";
                faults.push(CsvFault::new("cell-too-long", file.name, number, what, remedy).at("", cell));
            }
            cells.push(clean::restore(cell.replace("\r\n", "\n").trim()).to_owned());
        }
        if cells.iter().any(|c| !c.is_empty()) {
            lines.push(Line { number, cells });
        }
        if lines.len() > MOST_LINES {
            let what = format!("the file has more than {MOST_LINES} lines");
            faults.push(CsvFault::new("too-many-lines", file.name, number, what, "split it"));
        }
        if faults.len() >= MOST_FAULTS || lines.len() > MOST_LINES {
            break;
        }
    }
    if faults.is_empty() { Ok(lines) } else { Err(faults) }
}

/// The separator that the first line has most of, outside quotes.
fn separator(text: &str) -> u8 {
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
        b';'
    } else if tabs > commas {
        b'\t'
    } else {
        b','
    }
}
