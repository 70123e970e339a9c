//! Lines that run together or are parted otherwise than the rest: read as they stand they would be read wrong.

use crate::exchange::csv::CsvFault;
use crate::exchange::csv::grid::{Line, SEPARATORS};

/// Separators of one kind in a text.
fn parts(text: &str, separator: char) -> usize {
    text.matches(separator).count()
}

/// Every line in which a quote swallowed others, or that has another separator than the titles.
pub(super) fn faults(file: &str, lines: &[Line], width: usize, separator: char) -> Vec<CsvFault> {
    let mut faults = Vec::new();
    for line in lines {
        if let Some(cell) =
            line.cells.iter().enumerate().find(|(at, cell)| swallows(cell, *at, width, separator))
        {
            let what = "a quote runs on over other lines";
            let fault =
                CsvFault::new("bad-quote", file, line.number, what, "close the quote, or take it out");
            faults.push(fault.at("", cell.1));
        }
        let mut told = line.cells.iter().filter(|c| !c.is_empty());
        let (Some(only), None) = (told.next(), told.next()) else { continue };
        let other = SEPARATORS.iter().find(|s| **s != separator && parts(only, **s) >= 2 && width > 2);
        if let Some(other) = other {
            let what = format!("this line is parted by {other:?}, the titles by {separator:?}");
            let fault =
                CsvFault::new("other-separator", file, line.number, what, "part all lines the same way");
            faults.push(fault.at("", only));
        }
    }
    faults
}

/// Whether a cell holds a whole other line: as many separators as a line has, in one of its own lines, or in the first
/// together with the cells before it.
fn swallows(cell: &str, at: usize, width: usize, separator: char) -> bool {
    // A quote alone in the first cell, closed by the one in the next line: the line end was trimmed off.
    let Some((first, rest)) = cell.split_once('\n') else {
        return width > 2 && cell.starts_with(separator) && parts(cell, separator) + 1 >= width;
    };
    let last = rest.rsplit('\n').next().unwrap_or_default();
    let whole = |piece: &str| width > 2 && parts(piece, separator) + 1 >= width;
    let torn = at + 1 < width && at + parts(first, separator) + 1 == width && parts(last, separator) > 0;
    rest.split('\n').any(whole) || torn || (width > 2 && whole(first))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(cells: &[&str]) -> Line {
        Line { number: 7, cells: cells.iter().map(|c| (*c).to_owned()).collect() }
    }

    #[test]
    fn swallowed_lines_and_other_separators_are_told() {
        let codes = |l: Line| faults("x", &[l], 5, ',').iter().map(|f| f.code).collect::<Vec<_>>();
        assert_eq!(
            codes(line(&["Star", "1", ",clips,\nElf,2,Porch,bags,new\nWreath,3,Door,", "", ""])),
            ["bad-quote"]
        );
        assert_eq!(codes(line(&["Star", "1", "Gable,clips,\nElf,2,Porch", "bags", ""])), ["bad-quote"]);
        assert_eq!(codes(line(&[",Arch,6,Drive,rebar", "Arch", "6", "Drive", "rebar"])), ["bad-quote"]);
        assert_eq!(codes(line(&["Star;1;Gable;clips", "", "", "", ""])), ["other-separator"]);
        // A note of two lines, with commas as people write them.
        assert_eq!(codes(line(&["Star", "1", "Gable", "clips", "ask Pat, then\nbring tape, ties"])), [""; 0]);
        assert_eq!(codes(line(&["Fish; chips", "", "", "", ""])), [""; 0]);
    }
}
