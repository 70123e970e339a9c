//! OpenDocument: all sheets in one part, rows and cells that are alike told once with how often.

use std::collections::BTreeSet;

use super::archive::{Archive, locked};
use super::number::plain;
use super::page::{Merged, Page};
use super::xml::{Item, Told, walk};
use super::{SAVE_CSV, Unread};

/// A row or column is told to be there so many times; spreadsheet programs fill their whole width and height so.
fn times(told: &Told<'_>, what: &str) -> u32 {
    told.get(what).and_then(|n| n.parse().ok()).unwrap_or(1).max(1)
}

#[derive(Default)]
struct Cell {
    kind: String,
    value: String,
    /// As it is shown, a line a paragraph.
    shown: String,
    formula: Option<String>,
    often: u32,
    rows: u32,
    covered: bool,
}

/// The sheets of a document.
pub(super) fn pages(archive: &mut Archive<'_>) -> Result<Vec<Page>, Unread> {
    let manifest = archive.part("META-INF/manifest.xml")?.unwrap_or_default();
    if String::from_utf8_lossy(&manifest).contains("encryption-data") {
        return Err(locked());
    }
    let part = archive.part("content.xml")?.unwrap_or_default();
    let mut hidden: BTreeSet<String> = BTreeSet::new();
    let (mut pages, mut is_sheets, mut style) = (Vec::new(), false, String::new());
    let (mut page, mut cell) = (None::<Page>, None::<Cell>);
    let (mut row, mut column, mut repeated) = (0_u32, 0_u32, 1_u32);
    let mut cells: Vec<(u32, String)> = Vec::new();
    // Inside a note to a cell, or a drawing over the sheet.
    let (mut aside, mut paragraphs) = (0_u32, 0_u32);
    walk(&part, &mut |item| {
        match item {
            Item::Open("style", told) => style = told.get("name").unwrap_or_default(),
            Item::Open("table-properties", told) if told.get("display").as_deref() == Some("false") => {
                hidden.insert(style.clone());
            }
            Item::Open("spreadsheet", _) => is_sheets = true,
            Item::Open("annotation" | "shapes" | "frame", _) => aside += 1,
            Item::Close("annotation" | "shapes" | "frame") => aside = aside.saturating_sub(1),
            _ if aside > 0 => {}
            Item::Open("table", told) if page.is_none() => {
                let hidden = told.get("style-name").is_some_and(|s| hidden.contains(&s));
                page = Some(Page { name: told.get("name").unwrap_or_default(), hidden, ..Page::default() });
                row = 0;
            }
            Item::Close("table") => pages.extend(page.take()),
            Item::Open("table-row", told) => {
                (column, repeated) = (0, times(told, "number-rows-repeated"));
                cells.clear();
                let seen = told.get("visibility").is_none_or(|v| v == "visible");
                if let Some(page) = page.as_mut().filter(|_| !seen) {
                    page.hidden_rows.extend(row..row.saturating_add(repeated.min(1000)));
                }
            }
            Item::Close("table-row") => {
                if let Some(page) = page.as_mut().filter(|_| !cells.is_empty()) {
                    for at in row..row.saturating_add(repeated) {
                        for (column, text) in &cells {
                            page.tell(at, *column, text)?;
                        }
                    }
                }
                row = row.saturating_add(repeated);
            }
            Item::Open(name @ ("table-cell" | "covered-table-cell"), told) => {
                let value = ["date-value", "time-value", "boolean-value", "string-value", "value"]
                    .iter()
                    .find_map(|v| told.get(v));
                cell = Some(Cell {
                    kind: told.get("value-type").unwrap_or_default(),
                    value: value.unwrap_or_default(),
                    formula: told.get("formula"),
                    often: times(told, "number-columns-repeated"),
                    rows: times(told, "number-rows-spanned"),
                    covered: name == "covered-table-cell",
                    ..Cell::default()
                });
                paragraphs = 0;
            }
            Item::Close("table-cell" | "covered-table-cell") => {
                let Some(cell) = cell.take() else { return Ok(()) };
                let text = if cell.covered { String::new() } else { shown(&cell) };
                if !text.trim().is_empty() {
                    // So many columns the widest sheets have.
                    for at in column..column.saturating_add(cell.often.min(16_384)) {
                        cells.push((at, text.clone()));
                    }
                    if let Some(page) = page.as_mut().filter(|_| cell.rows > 1) {
                        page.merged.push(Merged { row, column, last_row: row.saturating_add(cell.rows - 1) });
                    }
                }
                column = column.saturating_add(cell.often);
            }
            Item::Open("p", _) => {
                if let Some(cell) = cell.as_mut().filter(|_| paragraphs > 0) {
                    cell.shown.push('\n');
                }
                paragraphs += 1;
            }
            Item::Open("s" | "tab" | "line-break", _) => {
                if let Some(cell) = &mut cell {
                    cell.shown.push(' ');
                }
            }
            Item::Text(text) => {
                if let Some(cell) = cell.as_mut().filter(|_| paragraphs > 0) {
                    cell.shown.push_str(text);
                }
            }
            _ => {}
        }
        Ok(())
    })?;
    if !is_sheets {
        return Err(Unread("no-workbook", "this document has no sheets".into(), SAVE_CSV));
    }
    Ok(pages)
}

fn shown(cell: &Cell) -> String {
    if let Some(formula) = cell.formula.as_ref().filter(|_| cell.value.is_empty() && cell.shown.is_empty()) {
        return formula.trim_start_matches(|c| c != '=').to_owned();
    }
    match cell.kind.as_str() {
        "date" => {
            let day = cell.value.trim_end_matches(":00").trim_end_matches(":00").trim_end_matches("T00");
            // With its minutes, also where they are nothing.
            if day.contains('T') {
                cell.value.get(..16).unwrap_or(&cell.value).to_owned()
            } else {
                day.to_owned()
            }
        }
        "time" => clock(&cell.value).unwrap_or_else(|| cell.shown.clone()),
        "boolean" => cell.value.to_uppercase(),
        "percentage" => {
            cell.value.parse().map_or_else(|_| cell.shown.clone(), |v: f64| format!("{}%", plain(v * 100.0)))
        }
        "float" | "currency" => {
            let error = cell.shown.starts_with('#') || cell.shown.starts_with("Err:");
            let Some(value) = cell.value.parse::<f64>().ok().filter(|_| !error) else {
                return cell.shown.clone();
            };
            // What is shown around the figure is its unit or currency.
            let of_figure = |c: char| {
                c.is_numeric() || matches!(c, '.' | ',' | '-' | '+' | ' ' | '\u{A0}' | '\u{202F}' | '\'')
            };
            let before: String = cell.shown.chars().take_while(|c| !of_figure(*c)).collect();
            let Some(last) = cell.shown.rfind(char::is_numeric) else {
                return if cell.shown.is_empty() { plain(value) } else { cell.shown.clone() };
            };
            let after: String = cell.shown.get(last..).unwrap_or_default().chars().skip(1).collect();
            let space = if after.is_empty() { "" } else { " " };
            format!("{before}{}{space}{}", plain(value), after.trim())
        }
        _ if cell.shown.is_empty() => cell.value.clone(),
        _ => cell.shown.clone(),
    }
}

/// `PT17H30M00S` as an hour of the day, more than a day as a time that passes.
fn clock(value: &str) -> Option<String> {
    let (hours, rest) = value.strip_prefix("PT")?.split_once('H')?;
    let (minutes, _) = rest.split_once('M')?;
    let (hours, minutes): (u32, u32) = (hours.parse().ok()?, minutes.parse().ok()?);
    Some(if hours < 24 { format!("{hours:02}:{minutes:02}") } else { format!("{hours}h{minutes:02}") })
}
