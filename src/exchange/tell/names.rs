//! Tables, columns and rows by what people call them, and the nearest where a word is none.

use uuid::Uuid;

use crate::answers::told::{apart, bare};
use crate::domain::{Column, RowChange, TABLES, Table, Value, Yard};
use crate::exchange::csv::{CsvFault, field};
use crate::exchange::sheet::{letters, plain};

/// Other words for a table.
const ALSO: &[(&str, &str)] = &[
    ("prop", "placement"),
    ("tote", "container"),
    ("bin", "container"),
    ("helper", "person"),
    ("people", "person"),
    ("yard", "site"),
    ("breaker", "circuit"),
    ("socket", "outlet"),
    ("kind", "product"),
    ("shop", "vendor"),
    ("price", "offer"),
];
/// Other words for a column.
const COLUMNS_ALSO: &[(&str, &str)] = &[
    ("where", "place_id"),
    ("location", "place_id"),
    ("how", "method_id"),
    ("how_mounted", "method_id"),
    ("mounted", "method_id"),
    ("how_many", "count"),
    ("qty", "count"),
    ("carried_by", "carried_by_id"),
    ("in", "parent_id"),
    ("home", "home_id"),
];
fn word(text: &str) -> String {
    text.trim().to_lowercase().replace([' ', '-'], "_")
}

/// The table that is meant.
///
/// # Errors
/// `unknown-kind` with the nearest.
pub fn table_called(kind: &str) -> Result<&'static Table, Box<CsvFault>> {
    let told = word(kind);
    let one = told.strip_suffix('s').unwrap_or(&told);
    let also = |w: &str| ALSO.iter().find(|(other, _)| *other == w).map(|(_, name)| *name);
    let wanted = also(&told).or_else(|| also(one)).unwrap_or(one);
    let known = || TABLES.iter().filter(|t| t.name != "attachment");
    known().find(|t| t.name == told || t.name == wanted).ok_or_else(|| {
        let near = near(&told, known().map(|t| t.name), 3).join(", ");
        let remedy = format!("nearest are: {near}; told lists all");
        Box::new(CsvFault::new("unknown-kind", kind, 0, "no table has this name", remedy))
    })
}

/// The column that is meant, and whether it is called by its own name, unit and all.
pub(super) fn column(table: &'static Table, title: &str) -> Result<(&'static Column, bool), Box<CsvFault>> {
    let told = word(title);
    let whole = |c: &&Column| c.name == told || field::header(c) == told;
    if let Some(column) = table.columns.iter().find(whole) {
        return Ok((column, bare(column.name) != column.name));
    }
    let also = COLUMNS_ALSO.iter().find(|(other, _)| *other == told).map(|(_, name)| *name);
    let short = |c: &&Column| bare(c.name) == told || Some(c.name) == also;
    table.columns.iter().find(short).map(|c| (c, false)).ok_or_else(|| {
        let all: Vec<&str> = table.columns.iter().map(|c| bare(c.name)).collect();
        let near = near(&told, all.iter().copied(), 3).join(", ");
        let remedy = format!("nearest are: {near}; a {} has: {}", table.name, all.join(", "));
        Box::new(
            CsvFault::new("unknown-column", table.name, 0, "this column is not known", remedy).at(title, ""),
        )
    })
}

/// A row as it can be named.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub(super) id: Uuid,
    /// Of a table without codes, what tells its rows apart.
    pub(super) code: String,
    pub(super) name: String,
    pub(super) ended: bool,
    season: Value,
    pub(super) set: Vec<(&'static str, Value)>,
}

pub(super) fn cell(set: &[(&'static str, Value)], column: &str) -> Value {
    set.iter().find(|(c, _)| *c == column).map_or(Value::Null, |(_, v)| v.clone())
}

fn text(set: &[(&'static str, Value)], column: &str) -> Option<String> {
    match cell(set, column) {
        Value::Text(text) => Some(text),
        _ => None,
    }
}

/// All rows of a table, those that hold first.
pub(super) fn rows(table: &'static Table, yard: &Yard) -> Vec<Row> {
    let changes = yard.rows_of(table.name);
    let mut rows: Vec<Row> = changes
        .into_iter()
        .map(|RowChange { id, set, .. }| Row {
            id,
            code: text(&set, "code").unwrap_or_else(|| apart(table, &set, yard)),
            name: text(&set, "name").or_else(|| text(&set, "title")).unwrap_or_default(),
            ended: cell(&set, "ended_at") != Value::Null,
            season: cell(&set, "season_id"),
            set,
        })
        .collect();
    rows.sort_by_key(|r| r.ended);
    rows
}

/// The same for a row just made.
pub(super) fn composed(table: &Table, id: Uuid, changes: &[super::Change], yard: &Yard) -> String {
    let set: Vec<(&'static str, Value)> = changes.iter().map(|c| (c.column.name, c.after.clone())).collect();
    let name = apart(table, &set, yard);
    if name.is_empty() { id.to_string() } else { name }
}

/// The row that a text names: its code, else its name; of the coming season where several seasons have one. One that
/// holds goes before one that ended, which only its code brings back. Nothing where it names none.
///
/// # Errors
/// `several` where it names more than one.
pub(super) fn find<'a>(
    table: &Table,
    rows: &'a [Row],
    text: &str,
    season: Option<Uuid>,
) -> Result<Option<&'a Row>, Box<CsvFault>> {
    let season = season.map(|id| Value::Text(id.hyphenated().to_string()));
    let holding = || rows.iter().filter(|r| !r.ended);
    let one = |found: Vec<&'a Row>| -> Result<Option<&'a Row>, Box<CsvFault>> {
        match found.as_slice() {
            [] => Ok(None),
            [row] => Ok(Some(row)),
            several => {
                let here: Vec<&&Row> =
                    several.iter().filter(|r| Some(&r.season) == season.as_ref()).collect();
                if let [row] = here.as_slice() {
                    return Ok(Some(row));
                }
                let codes: Vec<&str> = several.iter().map(|r| r.code.as_str()).collect();
                let what = format!("{} of this name", several.len());
                let remedy = format!("say which by its code: {}", codes.join(", "));
                Err(Box::new(CsvFault::new("several", table.name, 0, what, remedy).at("", text)))
            }
        }
    };
    let id = Uuid::parse_str(text).ok();
    if let Some(row) = holding().find(|r| r.code == text || Some(r.id) == id) {
        return Ok(Some(row));
    }
    let by_code = one(holding().filter(|r| plain(&r.code) == plain(text)).collect())?;
    if by_code.is_some() {
        return Ok(by_code);
    }
    let by_name = one(holding().filter(|r| !r.name.is_empty() && plain(&r.name) == plain(text)).collect())?;
    Ok(by_name.or_else(|| rows.iter().find(|r| r.code == text)))
}

/// The words that come nearest to one, the best first.
pub fn near<'a>(text: &str, all: impl Iterator<Item = &'a str>, most: usize) -> Vec<String> {
    let wanted = plain(text);
    let score = |word: &str| {
        let word = plain(word);
        let within = !word.is_empty() && (word.contains(&wanted) || wanted.contains(&word));
        let first = word.chars().next() == wanted.chars().next();
        letters(&word, &wanted) + if within { 0.5 } else { 0.0 } + if first { 0.1 } else { 0.0 }
    };
    let mut list: Vec<(f64, &str)> = all.filter(|w| !w.is_empty()).map(|w| (score(w), w)).collect();
    list.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    list.dedup_by(|a, b| a.1 == b.1);
    list.into_iter().take(most).map(|(_, w)| w.to_owned()).collect()
}
