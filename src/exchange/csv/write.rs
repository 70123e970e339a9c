//! Writes a yard as a folder of tables that [`super::read_folder`] reads back.

use uuid::Uuid;

use crate::domain::{CellKind, Column, RowChange, TABLES, Value, Yard, time_zone};

use super::clean::{clean, neutralise};
use super::code::{self, Codes};
use super::{field, step_key};

/// Writes every table that has rows as `(file name, text)`, in the order of `TABLES`. Attachments are left out.
///
/// Text is cleaned of control, bidirectional and zero-width characters; what a spreadsheet would take for a formula
/// gets a `'` in front. Rows that ended are written where `yard` holds them, with a column `ended`. What is read back
/// into another file is written the same again: rows stand in the order of their text, and each code is of one row.
pub fn write_folder(yard: &Yard) -> Vec<(String, String)> {
    let rows = yard.rows();
    let mut codes = Codes::of(yard);
    codes.make_unique();
    let zone =
        yard.sites.iter().find(|s| s.ended_at.is_none()).and_then(|s| time_zone(s.time_zone.as_deref()?));
    let show = |column: &Column, value: &Value| -> String {
        let text = match (column.kind, value) {
            (CellKind::Refers(to), Value::Text(id)) => Uuid::parse_str(id)
                .ok()
                .and_then(|id| codes.name(to, id))
                .map_or_else(|| id.clone(), str::to_owned),
            (_, Value::Text(key)) if column.name == "step_key" => step_key::with_codes(key, &codes),
            _ => field::show(column, value, zone),
        };
        if matches!(value, Value::Int(_)) { text } else { neutralise(clean(&text).trim()) }
    };
    let mut files = Vec::new();
    for table in TABLES.iter().filter(|t| t.name != "attachment") {
        let rows: Vec<&RowChange> = rows.iter().filter(|r| r.table == table.name).collect();
        if rows.is_empty() {
            continue;
        }
        let columns: Vec<_> =
            table.columns.iter().filter(|c| c.kind != CellKind::Refers("attachment")).collect();
        let ended = rows.iter().any(|r| code::cell(r, "ended_at") != Value::Null);
        let mut head: Vec<String> = columns.iter().map(|c| field::header(c).to_owned()).collect();
        if ended {
            head.push("ended".to_owned());
        }
        let mut lines = Vec::new();
        for row in rows {
            let own = || Some(Value::Text(codes.name(table.name, row.id)?.to_owned()));
            let cell = |c: &Column| match c.name {
                "code" => own().unwrap_or_else(|| code::cell(row, c.name)),
                name => code::cell(row, name),
            };
            let mut line: Vec<String> = columns.iter().map(|c| show(c, &cell(c))).collect();
            if ended {
                line.push(match code::cell(row, "ended_at") {
                    Value::Int(ms) => field::show_moment(crate::domain::Moment(ms), zone),
                    _ => String::new(),
                });
            }
            lines.push(line);
        }
        // By code, else by time; ids are others in another file.
        let first = columns.iter().position(|c| c.name == "code" || c.name == "at_ms").unwrap_or(0);
        lines.sort_by(|a: &Vec<String>, b| a.get(first).cmp(&b.get(first)).then_with(|| a.cmp(b)));
        lines.insert(0, head);
        if let Some(text) = text_of(&lines) {
            files.push((format!("{}.csv", table.name), text));
        }
    }
    files
}

/// Lines as CSV (RFC 4180, with plain line feeds). Writing to memory does not fail.
fn text_of(lines: &[Vec<String>]) -> Option<String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for line in lines {
        writer.write_record(line).ok()?;
    }
    String::from_utf8(writer.into_inner().ok()?).ok()
}
