//! A sheet of a workbook (`.xlsx`, `.ods`) to the text it would be saved as, one line a row; its lists and tables are
//! read from that text like any others (`sheet`, `csv`).
//!
//! A cell comes out as it is meant: a day as `2026-11-27`, a share as `12%`, a result of a formula as its result. What
//! the file holds no result of stays the formula, and is refused where it would tell something.
//!
//! Read are Office Open XML (ECMA-376-1) and OpenDocument (OASIS 1.3 part 3), in an archive (`archive`).
//!
//! Not here: what the columns tell, writing workbooks, files.

mod archive;
mod number;
mod ods;
mod page;
mod xlsx;
mod xml;

use self::archive::Archive;
use self::page::Page;
use super::csv::{CsvFault, CsvFile};

/// A sheet as text, and what its owner is told of the workbook.
#[derive(Debug, PartialEq, Eq)]
pub struct Sheet {
    pub text: String,
    pub said: Vec<String>,
}

/// Why a workbook is not read: code, what, remedy.
#[derive(Debug, PartialEq, Eq)]
struct Unread(&'static str, String, &'static str);

const SAVE_CSV: &str = "save the sheet as CSV UTF-8 in your spreadsheet program";
const SAVE_ANEW: &str = "save it anew in your spreadsheet program, or the sheet as CSV UTF-8";

fn spoiled(what: impl Into<String>) -> Unread {
    Unread("spoiled-workbook", what.into(), SAVE_ANEW)
}

/// Whether bytes are an archive, as workbooks are.
pub fn is_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// The sheet that is asked for, else the first that `has_titles`, else the first with anything in it.
///
/// # Errors
/// One fault that tells what is wrong with the file, or which sheets there are.
pub fn read(
    file: &CsvFile<'_>,
    wanted: Option<&str>,
    has_titles: &dyn Fn(&str) -> bool,
) -> Result<Sheet, Box<CsvFault>> {
    sheet(file.bytes, wanted, has_titles)
        .map_err(|Unread(code, what, remedy)| Box::new(CsvFault::new(code, file.name, 0, what, remedy)))
}

fn sheet(bytes: &[u8], wanted: Option<&str>, has_titles: &dyn Fn(&str) -> bool) -> Result<Sheet, Unread> {
    let mut archive = Archive::open(bytes)?;
    let mut pages = if archive.has("content.xml") {
        ods::pages(&mut archive)?
    } else if let Some(book) = xlsx::Book::open(&mut archive)? {
        book.pages(&mut archive)?
    } else {
        return Err(Unread("no-workbook", "this archive is no workbook that can be read".into(), SAVE_CSV));
    };
    let names = |pages: &[Page]| pages.iter().map(|p| format!("{:?}", p.name)).collect::<Vec<_>>().join(", ");
    if let Some(wanted) = wanted {
        let same = |p: &Page| p.name.trim().to_lowercase() == wanted.trim().to_lowercase();
        let Some(at) = pages.iter().position(same) else {
            let what = format!("no sheet is called {wanted:?}; there are {}", names(&pages));
            return Err(Unread("no-sheet", what, "name one of them: --sheet NAME"));
        };
        return pages.swap_remove(at).sheet();
    }
    pages.retain(|p| !p.hidden && !p.is_blank());
    let mut found = None;
    for (at, page) in pages.iter().enumerate() {
        let sheet = page.sheet()?;
        if has_titles(&sheet.text) {
            found = Some((at, sheet));
            break;
        }
        found.get_or_insert((at, sheet));
    }
    let Some((at, mut sheet)) = found else {
        return Err(Unread("empty-workbook", "no sheet of it has anything to read".into(), SAVE_CSV));
    };
    if pages.len() > 1 {
        let read = pages.remove(at);
        let others = names(&pages);
        sheet
            .said
            .insert(0, format!("sheet {:?} read; not read: {others}; --sheet NAME takes another", read.name));
    }
    Ok(sheet)
}
