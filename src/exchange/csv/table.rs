//! Reads a folder of tables into rows.

use std::collections::{BTreeMap, BTreeSet};

use chrono_tz::Tz;
use uuid::Uuid;

use crate::domain::limit::value_untold;
use crate::domain::{CellKind, Column, RowChange, TABLES, Table, Value, time_zone, us_zone};

use super::code::{Codes, NoRow};
use super::fault::CsvFault;
use super::field::{self, Refusal};
use super::grid::Line;
use super::sheet;
use super::step_key::{self, key_with_ids, several};
use super::{CsvFile, Target, identity, sense};

/// A line of a file on its way to a row.
pub(super) struct Draft<'a> {
    pub(super) table: &'static Table,
    pub(super) file: &'a str,
    pub(super) line: u64,
    /// By column; a reference holds its code until it is resolved.
    pub(super) cells: BTreeMap<&'static str, Value>,
    pub(super) id: Option<Uuid>,
}

/// Column of a header cell; `ended` is the one that the domain does not declare.
#[derive(Clone, Copy)]
enum Head {
    Column(&'static Column),
    Ended,
}

/// Reads the files of a folder, each named `<table>.csv`, into rows in the order of `TABLES`.
///
/// # Errors
/// Every fault of every file; then there are no rows.
pub fn read_folder(files: &[CsvFile<'_>], target: &Target<'_>) -> Result<Vec<RowChange>, Vec<CsvFault>> {
    let mut faults = Vec::new();
    let mut sheets: BTreeMap<usize, (CsvFile<'_>, Vec<Line>)> = BTreeMap::new();
    for file in files {
        let stem = file.name.rsplit_once('.').map_or(file.name, |(stem, _)| stem);
        let wanted = stem.to_lowercase();
        let Some(at) = TABLES.iter().position(|t| t.name == wanted && t.name != "attachment") else {
            let names: Vec<_> = TABLES.iter().map(|t| t.name).filter(|n| *n != "attachment").collect();
            let remedy = format!("name it after one of: {}", names.join(", "));
            faults.push(CsvFault::new("unknown-file", file.name, 0, "no table has this name", remedy));
            continue;
        };
        match sheet::lines(file) {
            Ok(lines) => {
                if sheets.insert(at, (*file, lines)).is_some() {
                    let what = "this table is there twice";
                    faults.push(CsvFault::new("file-twice", file.name, 0, what, "put both into one file"));
                }
            }
            Err(found) => faults.extend(found),
        }
    }
    let zone = site_zone(&sheets).or_else(|| target.zone());
    let told = site_cell(&sheets, "currency").filter(|c| !c.is_empty()).map(str::to_owned);
    let by_country = zone.filter(|z| us_zone(z.name())).map(|_| "USD".to_owned());
    let currency =
        told.or_else(|| target.currency().filter(|c| !c.is_empty())).or(by_country).unwrap_or_default();
    let site = Site { zone, currency: &currency };
    let mut drafts = Vec::new();
    for (at, (file, lines)) in &sheets {
        if let Some(table) = TABLES.get(*at) {
            drafts.extend(drafts_of(table, file, lines, site, &mut faults));
        }
    }
    let mut codes = Codes::of(target.existing);
    name(&mut drafts, target.yard_id, &mut codes, &mut faults);
    resolve(&mut drafts, &codes, &mut faults);
    identify(&mut drafts, target.yard_id, &codes, &mut faults);
    sense::check(&drafts, target, &codes, &mut faults);
    if !faults.is_empty() {
        faults.sort_by(|a, b| (&a.file, a.line).cmp(&(&b.file, b.line)));
        return Err(faults);
    }
    // The table itself would put the dollar of its first format there.
    for site in drafts.iter_mut().filter(|d| d.table.name == "site" && target.existing.sites.is_empty()) {
        site.cells.entry("currency").or_insert_with(|| Value::Text(String::new()));
    }
    Ok(drafts
        .into_iter()
        .filter_map(|d| Some(RowChange::new(d.table.name, d.id?, d.cells.into_iter().collect())))
        .collect())
}

/// The zone that `site.csv` tells.
fn site_zone(sheets: &BTreeMap<usize, (CsvFile<'_>, Vec<Line>)>) -> Option<Tz> {
    time_zone(site_cell(sheets, "time_zone")?)
}

/// A cell of `site.csv`.
fn site_cell<'a>(sheets: &'a BTreeMap<usize, (CsvFile<'_>, Vec<Line>)>, column: &str) -> Option<&'a str> {
    let (_, lines) = sheets.get(&TABLES.iter().position(|t| t.name == "site")?)?;
    let (head, row) = (lines.first()?, lines.get(1)?);
    let at = head.cells.iter().position(|c| c.eq_ignore_ascii_case(column))?;
    row.cells.get(at).map(String::as_str)
}

/// What the site says that cells are read by.
#[derive(Clone, Copy)]
struct Site<'a> {
    zone: Option<Tz>,
    currency: &'a str,
}

fn drafts_of<'a>(
    table: &'static Table,
    file: &CsvFile<'a>,
    lines: &[Line],
    site: Site<'_>,
    faults: &mut Vec<CsvFault>,
) -> Vec<Draft<'a>> {
    let Some((first, rows)) = lines.split_first() else {
        let remedy = format!("begin with the header {}", headers(table).join(","));
        faults.push(CsvFault::new("no-header", file.name, 1, "the file is empty", remedy));
        return Vec::new();
    };
    let Some(heads) = heads_of(table, file.name, first, faults) else { return Vec::new() };
    let mut drafts = Vec::new();
    for line in rows {
        let mut extra = line.cells.iter().skip(heads.len()).filter(|c| !c.is_empty());
        if let Some(cell) = extra.next() {
            let what = format!("the line has {} cells, the header {}", line.cells.len(), heads.len());
            let remedy = "put text that contains a separator into quotes";
            faults.push(CsvFault::new("too-many-cells", file.name, line.number, what, remedy).at("", cell));
            continue;
        }
        let mut cells = BTreeMap::new();
        for (at, head) in heads.iter().enumerate() {
            let text = line.cells.get(at).map_or("", String::as_str);
            let (name, title, value) = match head {
                Head::Ended => ("ended_at", "ended", ended(text, site.zone)),
                Head::Column(column) => {
                    (column.name, field::header(column), cell_of(table, column, text, site))
                }
            };
            match value {
                Ok(value) => {
                    cells.insert(name, value);
                }
                Err(Refusal(code, what, remedy)) => {
                    faults.push(CsvFault::new(code, file.name, line.number, what, remedy).at(title, text));
                }
            }
        }
        cells.entry("ended_at").or_insert(Value::Null);
        drafts.push(Draft { table, file: file.name, line: line.number, cells, id: None });
    }
    drafts
}

fn ended(text: &str, zone: Option<Tz>) -> Result<Value, Refusal> {
    const ENDED: Column = Column { name: "ended_ms", kind: CellKind::Moment, optional: true, about: "" };
    if text.is_empty() {
        return Ok(Value::Null);
    }
    // Before 1970 is no time at which a row of a yard ended, but a moment all the same.
    match field::parse(&Table { name: "", about: "", columns: &[] }, &ENDED, text, zone) {
        Err(Refusal("out-of-range", ..)) => {
            Err(Refusal("out-of-range", "too early".into(), "give a later time".into()))
        }
        other => other,
    }
}

/// A cell of a row told by itself, as a file would have it.
pub(in crate::exchange) fn read_cell(
    table: &Table,
    column: &Column,
    text: &str,
    zone: Option<Tz>,
    currency: &str,
) -> Result<Value, Refusal> {
    cell_of(table, column, text, Site { zone, currency })
}

/// Looks whether a row told by itself makes sense with the others, and gives its id: as told, or by what tells the
/// rows of its table apart.
pub(in crate::exchange) fn settle(
    table: &'static Table,
    label: &str,
    cells: &mut BTreeMap<&'static str, Value>,
    id: Option<Uuid>,
    target: &Target<'_>,
) -> Result<Uuid, Vec<CsvFault>> {
    let codes = Codes::of(target.existing);
    let mut faults = Vec::new();
    if let Some(Value::Text(key)) = cells.get("step_key") {
        match key_with_ids(key, &codes, |code, what, remedy| CsvFault::new(code, label, 0, what, remedy)) {
            Ok(key) => {
                cells.insert("step_key", Value::Text(key));
            }
            Err(fault) => faults.push(*fault),
        }
    }
    let mut drafts = [Draft { table, file: label, line: 0, cells: cells.clone(), id }];
    if id.is_none() {
        identify(&mut drafts, target.yard_id, &codes, &mut faults);
    }
    sense::check(&drafts, target, &codes, &mut faults);
    let [draft] = drafts;
    match draft.id {
        Some(id) if faults.is_empty() => Ok(id),
        _ => Err(faults),
    }
}

fn cell_of(table: &Table, column: &Column, text: &str, site: Site<'_>) -> Result<Value, Refusal> {
    if text.is_empty() {
        return value_untold(table, column).ok_or_else(|| {
            Refusal("missing-value", "this must be told".into(), format!("fill in {}", field::header(column)))
        });
    }
    if column.kind == CellKind::Refers("attachment") {
        let remedy = "leave it empty and attach the file in ladderday";
        return Err(Refusal("no-attachments", "files don't come by CSV".into(), remedy.into()));
    }
    if column.name == "code" && text.chars().any(char::is_control) {
        let remedy = "write it in one line of plain text";
        return Err(Refusal(
            "bad-code",
            "a code has no line breaks or control characters".into(),
            remedy.into(),
        ));
    }
    if column.kind == CellKind::Money
        && let Some(other) = field::other_currency(text, site.currency)
    {
        let (what, remedy) = field::mixed_currency(&other, site.currency);
        return Err(Refusal("mixed-currency", what, remedy));
    }
    field::parse(table, column, text, site.zone)
}

/// The headers that a table takes.
fn headers(table: &Table) -> Vec<&'static str> {
    table.columns.iter().map(field::header).collect()
}

fn heads_of(table: &'static Table, file: &str, line: &Line, faults: &mut Vec<CsvFault>) -> Option<Vec<Head>> {
    let before = faults.len();
    let mut heads = Vec::new();
    let mut seen = BTreeSet::new();
    for cell in &line.cells {
        let title = cell.to_lowercase().replace([' ', '-'], "_");
        let column = table.columns.iter().find(|c| field::header(c) == title || c.name == title);
        let head = match column {
            Some(column) => Head::Column(column),
            None if title == "ended" || title == "ended_at" => Head::Ended,
            None => {
                let remedy = format!("the columns are: {}, ended", headers(table).join(", "));
                let what = "this column is not known";
                faults.push(CsvFault::new("unknown-column", file, line.number, what, remedy).at(cell, ""));
                continue;
            }
        };
        if !seen.insert(match head {
            Head::Column(column) => column.name,
            Head::Ended => "ended_at",
        }) {
            let what = "this column is there twice";
            faults.push(
                CsvFault::new("column-twice", file, line.number, what, "take one of them out").at(cell, ""),
            );
        }
        heads.push(head);
    }
    for column in table.columns {
        if !seen.contains(column.name) && value_untold(table, column).is_none() {
            let title = field::header(column);
            let what = "this column is missing";
            let remedy = format!("add {title} to the header");
            faults.push(CsvFault::new("missing-column", file, line.number, what, remedy).at(title, ""));
        }
    }
    (faults.len() == before).then_some(heads)
}

/// Gives the rows with a code their ids.
fn name(drafts: &mut [Draft<'_>], yard: Uuid, codes: &mut Codes, faults: &mut Vec<CsvFault>) {
    let mut first: BTreeMap<(&str, String), u64> = BTreeMap::new();
    for draft in drafts {
        let Some(Value::Text(code)) = draft.cells.get("code") else { continue };
        draft.id = codes.add(yard, draft.table.name, code);
        let line = *first.entry((draft.table.name, code.clone())).or_insert(draft.line);
        if draft.id.is_none() {
            let what = format!("line {line} has this code too");
            let fault =
                CsvFault::new("code-twice", draft.file, draft.line, what, "give each row a code of its own");
            faults.push(fault.at("code", code));
        }
    }
}

/// Puts ids in the place of codes.
fn resolve(drafts: &mut [Draft<'_>], codes: &Codes, faults: &mut Vec<CsvFault>) {
    for draft in drafts {
        for column in draft.table.columns {
            let Some(Value::Text(text)) = draft.cells.get(column.name) else { continue };
            let (file, line, title) = (draft.file, draft.line, field::header(column));
            let fault = |code, what: String, remedy: String| {
                CsvFault::new(code, file, line, what, remedy).at(title, text)
            };
            let value = match column.kind {
                CellKind::Refers(to) => match codes.find(to, text) {
                    Ok(id) => Ok(id.hyphenated().to_string()),
                    Err(NoRow::Unknown) => {
                        let remedy = codes.like(to, text).map_or_else(
                            || format!("add it to {to}.csv, or correct the code"),
                            |near| format!("write it as {near}"),
                        );
                        Err(fault("unknown-reference", format!("no {to} has this code"), remedy))
                    }
                    Err(NoRow::Several) => Err(several(fault, to)),
                },
                _ if column.name == "step_key" => key_with_ids(text, codes, fault).map_err(|fault| *fault),
                _ => continue,
            };
            match value {
                Ok(id) => {
                    draft.cells.insert(column.name, Value::Text(id));
                }
                Err(fault) => {
                    faults.push(fault);
                    draft.cells.insert(column.name, Value::Null);
                }
            }
        }
    }
}

/// Gives the rows without code their ids, by what tells them apart.
fn identify(drafts: &mut [Draft<'_>], yard: Uuid, codes: &Codes, faults: &mut Vec<CsvFault>) {
    let mut seen: BTreeMap<(&str, Vec<Value>), (usize, u64)> = BTreeMap::new();
    for draft in drafts.iter_mut().filter(|d| !d.table.has_code()) {
        let columns = crate::domain::natural_key(draft.table.name);
        let key: Vec<Value> =
            columns.iter().map(|c| draft.cells.get(c).cloned().unwrap_or(Value::Null)).collect();
        let (count, line) = seen.entry((draft.table.name, key.clone())).or_insert((0, draft.line));
        let nth = *count;
        *count += 1;
        // A row that ended tells nothing any more: one that holds may tell it again.
        let ended = draft.cells.get("ended_at").is_some_and(|v| *v != Value::Null);
        if nth > 0 && !ended && !identity::may_repeat(draft.table.name) {
            let what = format!("line {line} tells the same thing");
            faults.push(CsvFault::new("row-twice", draft.file, draft.line, what, "take one of them out"));
            continue;
        }
        draft.id = codes.keyed(draft.table.name, &key, nth).or_else(|| {
            let mut parts: Vec<String> =
                columns.iter().zip(&key).map(|(c, v)| part(draft.table, c, v, codes)).collect();
            if nth > 0 {
                parts.push(format!("#{}", nth + 1));
            }
            Some(identity::id_of(yard, draft.table.name, &parts.join("\u{1F}")))
        });
    }
}

/// A part of a natural key as text that is the same on every laptop: codes, not ids.
fn part(table: &Table, column: &str, value: &Value, codes: &Codes) -> String {
    let kind = table.column(column).map(|c| c.kind);
    match (kind, value) {
        (_, Value::Null) => String::new(),
        (_, Value::Int(n)) => n.to_string(),
        (Some(CellKind::Refers(to)), Value::Text(id)) => {
            let name = Uuid::parse_str(id).ok().and_then(|id| codes.name(to, id));
            name.unwrap_or(id).to_owned()
        }
        (_, Value::Text(key)) if column == "step_key" => step_key::with_codes(key, codes),
        (_, Value::Text(text)) => text.clone(),
    }
}
