//! Office Open XML: the book, its sheets, the texts they share, and how numbers are shown.

use std::collections::BTreeMap;

use super::archive::{Archive, locked};
use super::number::Format;
use super::page::{Merged, Page, place};
use super::xml::{Item, walk};
use super::{SAVE_CSV, Unread, spoiled};

pub(super) struct Book {
    sheets: Vec<Listed>,
    shared: Vec<String>,
    formats: Vec<Format>,
    from_1904: bool,
}

struct Listed {
    name: String,
    hidden: bool,
    part: String,
}

/// What a part points to, by its id: kind and path.
type Links = BTreeMap<String, (String, String)>;

/// The links of a part; paths are made whole.
fn links(archive: &mut Archive<'_>, of: &str) -> Result<Links, Unread> {
    let (folder, file) = of.rsplit_once('/').unwrap_or(("", of));
    let path =
        if folder.is_empty() { format!("_rels/{file}.rels") } else { format!("{folder}/_rels/{file}.rels") };
    let mut links = Links::new();
    let Some(part) = archive.part(&path)? else { return Ok(links) };
    walk(&part, &mut |item| {
        if let Item::Open("Relationship", told) = item {
            let target = told.get("Target").unwrap_or_default();
            let path = match target.strip_prefix('/') {
                Some(whole) => whole.to_owned(),
                None if folder.is_empty() => target,
                None => format!("{folder}/{target}"),
            };
            let kind = told.get("Type").unwrap_or_default();
            let kind = kind.rsplit('/').next().unwrap_or_default().to_owned();
            links.insert(told.get("Id").unwrap_or_default(), (kind, path));
        }
        Ok(())
    })?;
    Ok(links)
}

/// A part that another points to.
fn linked(archive: &mut Archive<'_>, path: &str) -> Result<Vec<u8>, Unread> {
    archive.part(path)?.ok_or_else(|| spoiled(format!("{path} is missing in the archive")))
}

impl Book {
    /// Nothing where the archive has no such book.
    pub(super) fn open(archive: &mut Archive<'_>) -> Result<Option<Self>, Unread> {
        let top = links(archive, "")?;
        let main = top.into_values().find(|(kind, _)| kind == "officeDocument").map(|(_, path)| path);
        let main = main.unwrap_or_else(|| "xl/workbook.xml".to_owned());
        if archive.has("EncryptedPackage") {
            return Err(locked());
        }
        if main.rsplit('.').next() == Some("bin") && archive.has(&main) {
            let what = "this is a binary workbook".to_owned();
            return Err(Unread("no-workbook", what, SAVE_CSV));
        }
        let Some(part) = archive.part(&main)? else { return Ok(None) };
        let links = links(archive, &main)?;
        let mut book = Self { sheets: Vec::new(), shared: Vec::new(), formats: Vec::new(), from_1904: false };
        let mut is_book = false;
        walk(&part, &mut |item| {
            match item {
                Item::Open("workbook", _) => is_book = true,
                Item::Open("workbookPr", told) => book.from_1904 = told.is("date1904"),
                Item::Open("sheet", told) => {
                    let name = told.get("name").unwrap_or_default();
                    let linked = told.get("id").and_then(|id| links.get(&id));
                    let Some((kind, part)) = linked else {
                        return Err(spoiled(format!("the workbook does not tell where sheet {name:?} is")));
                    };
                    // Others are charts and the like.
                    if kind == "worksheet" {
                        let hidden = told.get("state").is_some_and(|s| s != "visible");
                        book.sheets.push(Listed { name, hidden, part: part.clone() });
                    }
                }
                _ => {}
            }
            Ok(())
        })?;
        if !is_book {
            return Ok(None);
        }
        for (kind, path) in links.values() {
            match kind.as_str() {
                "sharedStrings" => book.shared = shared(&linked(archive, path)?)?,
                "styles" => book.formats = formats(&linked(archive, path)?)?,
                _ => {}
            }
        }
        Ok(Some(book))
    }

    pub(super) fn pages(&self, archive: &mut Archive<'_>) -> Result<Vec<Page>, Unread> {
        let mut page = |listed: &Listed| {
            let mut page = self.page(&linked(archive, &listed.part)?)?;
            (page.name, page.hidden) = (listed.name.clone(), listed.hidden);
            Ok(page)
        };
        self.sheets.iter().map(&mut page).collect()
    }

    fn page(&self, part: &[u8]) -> Result<Page, Unread> {
        let mut page = Page::default();
        let (mut row, mut column) = (0_u32, 0_u32);
        let mut cell = Cell::default();
        let mut reads = false;
        walk(part, &mut |item| {
            match item {
                // Rows and cells may leave out where they are: then they follow the one before.
                Item::Open("row", told) => {
                    if let Some(number) = told.get("r") {
                        let number = number.parse::<u32>().ok().and_then(|n| n.checked_sub(1));
                        row = number.ok_or_else(|| spoiled("a row has no number"))?;
                    }
                    column = 0;
                    if told.is("hidden") {
                        page.hidden_rows.push(row);
                    }
                }
                Item::Close("row") => row = row.saturating_add(1),
                Item::Open("c", told) => {
                    if let Some(reference) = told.get("r") {
                        (row, column) = place(&reference)?;
                    }
                    let style = told.get("s").and_then(|s| s.parse().ok()).unwrap_or(0);
                    cell = Cell { kind: told.get("t").unwrap_or_default(), style, ..Cell::default() };
                }
                Item::Open("v" | "t", _) => reads = true,
                Item::Open("f", _) => (cell.is_formula, reads) = (true, true),
                Item::Close("f") => (cell.formula, reads) = (std::mem::take(&mut cell.text), false),
                // How a text is spoken is no part of it.
                Item::Open("rPh", _) => cell.spoken = true,
                Item::Close("rPh") => cell.spoken = false,
                Item::Close("v" | "t") => reads = false,
                Item::Text(text) if reads && !cell.spoken => cell.text.push_str(text),
                Item::Close("c") => {
                    page.tell(row, column, &self.shown(&cell)?)?;
                    column = column.saturating_add(1);
                }
                Item::Open("mergeCell", told) => {
                    let range = told.get("ref").unwrap_or_default();
                    let (from, to) = range.split_once(':').unwrap_or((&range, &range));
                    let ((row, column), (last_row, _)) = (place(from)?, place(to)?);
                    page.merged.push(Merged { row, column, last_row });
                }
                _ => {}
            }
            Ok(())
        })?;
        Ok(page)
    }

    fn shown(&self, cell: &Cell) -> Result<String, Unread> {
        // A formula without its result tells nothing yet.
        if cell.is_formula && cell.text.is_empty() && cell.kind != "str" {
            return Ok(format!("={}", cell.formula));
        }
        match cell.kind.as_str() {
            "s" => {
                let at: Option<usize> = cell.text.trim().parse().ok();
                let text = at.and_then(|at| self.shared.get(at));
                text.cloned().ok_or_else(|| spoiled(format!("text {} is not in the workbook", cell.text)))
            }
            "inlineStr" | "str" => Ok(unescaped(&cell.text)),
            "b" => Ok(if cell.text.trim() == "1" { "TRUE" } else { "FALSE" }.to_owned()),
            "d" => Ok(cell.text.trim_end_matches("T00:00:00").to_owned()),
            "e" => Ok(cell.text.clone()),
            _ if cell.text.trim().is_empty() => Ok(String::new()),
            _ => match cell.text.trim().parse::<f64>() {
                Ok(value) => {
                    let format = self.formats.get(cell.style).cloned().unwrap_or(Format::GENERAL);
                    Ok(format.show(value, self.from_1904))
                }
                Err(_) => Err(spoiled(format!("{:?} is no number", cell.text))),
            },
        }
    }
}

#[derive(Default)]
struct Cell {
    kind: String,
    style: usize,
    text: String,
    is_formula: bool,
    formula: String,
    spoken: bool,
}

/// `_x000D_` and its like to the sign they stand for (ECMA-376-1, 22.9.2.19).
fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once("_x") {
        out.push_str(before);
        let code = after.get(..4).filter(|_| after.get(4..5) == Some("_"));
        let char = code.and_then(|c| u32::from_str_radix(c, 16).ok()).and_then(char::from_u32);
        if let Some(c) = char {
            out.push(c);
            rest = after.get(5..).unwrap_or_default();
        } else {
            out.push_str("_x");
            rest = after;
        }
    }
    out + rest
}

/// The texts that cells share.
fn shared(part: &[u8]) -> Result<Vec<String>, Unread> {
    let (mut all, mut text) = (Vec::new(), String::new());
    let (mut reads, mut spoken) = (false, false);
    walk(part, &mut |item| {
        match item {
            Item::Open("t", _) => reads = true,
            Item::Close("t") => reads = false,
            Item::Open("rPh", _) => spoken = true,
            Item::Close("rPh") => spoken = false,
            Item::Text(t) if reads && !spoken => text.push_str(t),
            Item::Close("si") => all.push(unescaped(&std::mem::take(&mut text))),
            _ => {}
        }
        Ok(())
    })?;
    Ok(all)
}

/// How the cells of each style are shown.
fn formats(part: &[u8]) -> Result<Vec<Format>, Unread> {
    let mut own: BTreeMap<u32, Format> = BTreeMap::new();
    let (mut all, mut of_cells) = (Vec::new(), false);
    walk(part, &mut |item| {
        match item {
            Item::Open("numFmt", told) => {
                let id = told.get("numFmtId").and_then(|id| id.parse().ok());
                if let Some(id) = id {
                    own.insert(id, Format::of_code(&told.get("formatCode").unwrap_or_default()));
                }
            }
            Item::Open("cellXfs", _) => of_cells = true,
            Item::Close("cellXfs") => of_cells = false,
            Item::Open("xf", told) if of_cells => {
                let id = told.get("numFmtId").and_then(|id| id.parse().ok()).unwrap_or(0);
                all.push(own.get(&id).cloned().unwrap_or_else(|| Format::built_in(id)));
            }
            _ => {}
        }
        Ok(())
    })?;
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escaped_signs_are_restored() {
        for (text, plain) in [
            ("two_x000a_lines", "two\nlines"),
            ("_x005F_x0041_", "_x0041_"),
            ("max_xyz", "max_xyz"),
            ("é_x", "é_x"),
            ("_xé12_", "_xé12_"),
        ] {
            assert_eq!(unescaped(text), plain);
        }
    }
}
