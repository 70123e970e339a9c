//! The cells of one sheet, whatever the format, and the text they make.

use std::collections::BTreeMap;

use super::{Sheet, Unread, spoiled};

/// So many cells of a sheet are read, blank ones between others counted.
const MOST_CELLS: u64 = 1_000_000;
/// So many bytes of text: many cells may share one.
const MOST_BYTES: usize = 64 * 1024 * 1024;
/// The last row that is read.
const LAST_ROW: u32 = 500_000;

/// A cell merged over rows of one column: the first, and the last row.
pub(super) struct Merged {
    pub(super) row: u32,
    pub(super) column: u32,
    pub(super) last_row: u32,
}

#[derive(Default)]
pub(super) struct Page {
    pub(super) name: String,
    pub(super) hidden: bool,
    /// By row and column, both from 0; none is empty.
    pub(super) cells: BTreeMap<(u32, u32), String>,
    pub(super) bytes: usize,
    pub(super) merged: Vec<Merged>,
    /// Rows that are hidden, as by a filter.
    pub(super) hidden_rows: Vec<u32>,
}

impl Page {
    pub(super) fn is_blank(&self) -> bool {
        self.cells.is_empty()
    }

    /// Keeps what a cell tells, on one line.
    pub(super) fn tell(&mut self, row: u32, column: u32, text: &str) -> Result<(), Unread> {
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if text.is_empty() {
            return Ok(());
        }
        self.bytes += text.len();
        if row >= LAST_ROW || self.cells.len() as u64 >= MOST_CELLS || self.bytes > MOST_BYTES {
            return Err(too_large());
        }
        self.cells.insert((row, column), text);
        Ok(())
    }

    pub(super) fn sheet(&self) -> Result<Sheet, Unread> {
        let mut said = Vec::new();
        let (mut cells, mut bytes) = (self.cells.clone(), self.bytes);
        let mut over_rows = Vec::new();
        for merged in &self.merged {
            // Words over several rows are meant for each of them; a figure may be their sum.
            let Some(text) = self.cells.get(&(merged.row, merged.column)) else { continue };
            let last = merged.last_row.min(LAST_ROW);
            if last <= merged.row || !text.chars().any(char::is_alphabetic) {
                continue;
            }
            for row in merged.row + 1..=last {
                // Only in rows that tell anything.
                if self.cells.range((row, 0)..=(row, u32::MAX)).next().is_some() {
                    bytes += text.len();
                    cells.entry((row, merged.column)).or_insert_with(|| text.clone());
                }
                if bytes > MOST_BYTES {
                    return Err(too_large());
                }
            }
            over_rows.push(format!("{text:?} in rows {} to {}", merged.row + 1, last + 1));
        }
        if !over_rows.is_empty() {
            said.push(format!("merged cells are read for each of their rows: {}", over_rows.join(", ")));
        }
        let told = |row: &&u32| self.cells.range((**row, 0)..=(**row, u32::MAX)).next().is_some();
        match self.hidden_rows.iter().filter(told).count() {
            0 => {}
            1 => said.push("one row is hidden in the sheet and read too".to_owned()),
            n => said.push(format!("{n} rows are hidden in the sheet and read too")),
        }
        let last_row = cells.keys().map(|k| k.0).max().unwrap_or(0);
        let width = cells.keys().map(|k| k.1).max().unwrap_or(0) + 1;
        if u64::from(last_row + 1) * u64::from(width) > MOST_CELLS {
            return Err(too_large());
        }
        let mut text = String::new();
        let mut cells = cells.into_iter().peekable();
        for row in 0..=last_row {
            // A list in one column stays as it was typed: its commas part what each line tells.
            for column in 0..width {
                if column > 0 {
                    text.push(',');
                }
                let Some((_, cell)) = cells.next_if(|(at, _)| *at == (row, column)) else { continue };
                if width > 1 && cell.contains([',', ';', '"']) {
                    text = format!("{text}\"{}\"", cell.replace('"', "\"\""));
                } else {
                    text.push_str(&cell);
                }
            }
            text.push('\n');
        }
        Ok(Sheet { text, said })
    }
}

fn too_large() -> Unread {
    let what = format!(
        "the sheet has cells beyond row {LAST_ROW}, more than {MOST_CELLS}, or {MOST_BYTES} bytes of text"
    );
    Unread("workbook-too-large", what, "save the part with the list as a sheet of its own")
}

/// `C5` to row and column, both from 0.
pub(super) fn place(reference: &str) -> Result<(u32, u32), Unread> {
    let letters = reference.chars().take_while(char::is_ascii_alphabetic).count();
    let (column, row) = reference.split_at(letters);
    let column = column.bytes().try_fold(0_u32, |all, b| {
        all.checked_mul(26)?.checked_add(u32::from(b.to_ascii_uppercase() - b'A') + 1)
    });
    // The widest sheets have 16,384 columns.
    match (column, row.parse::<u32>()) {
        (Some(column @ 1..=16_384), Ok(row @ 1..)) => Ok((row - 1, column - 1)),
        _ => Err(spoiled(format!("{reference:?} is no cell"))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_found_by_their_letters() {
        assert_eq!(place("A1").unwrap(), (0, 0));
        assert_eq!(place("AB12").unwrap(), (11, 27));
        assert_eq!(place("XFD1").unwrap(), (0, 16_383));
        for bad in ["", "A", "1", "A0", "XFE1", "AAAAAAAAAA1", "A-1", "é1"] {
            assert!(place(bad).is_err(), "{bad}");
        }
    }
}
