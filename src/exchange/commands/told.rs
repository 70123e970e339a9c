//! `told`, `told KIND`: the facts that hold, as rows of their tables.

use std::fmt::Write as _;

use serde_json::Value as Json;
use uuid::Uuid;

use crate::answers::Outlook;
use crate::answers::told::{ToldRow, label, words};
use crate::domain::{CellKind, Column, Moment, TABLES, Table, Value};
use crate::exchange::csv::{field, show_moment};
use crate::exchange::json::{Columns, KindDoc, ToldFactDoc, ToldKindsDoc, ToldRowsDoc};

/// Every kind, with how many of it are told.
fn kinds<'a>(outlook: &'a Outlook<'a>) -> impl Iterator<Item = (&'static Table, usize)> + 'a {
    let known = TABLES.iter().filter(|t| t.name != "attachment");
    known.map(|t| (t, outlook.yard.rows_of(t.name).len()))
}

pub(crate) fn kinds_document(outlook: &Outlook) -> ToldKindsDoc {
    let doc = |(table, told): (&Table, usize)| KindDoc { kind: table.name.to_owned(), told };
    ToldKindsDoc { kinds: kinds(outlook).map(doc).collect() }
}

pub(crate) fn kinds_text(outlook: &Outlook) -> String {
    let mut out = String::new();
    for (table, told) in kinds(outlook) {
        let columns: Vec<&str> = table.columns.iter().map(field::header).collect();
        let _ = writeln!(out, "{:5}  {}: {}", told, table.name, columns.join(" "));
    }
    out
}

pub(crate) fn document(outlook: &Outlook, table: &Table, rows: Vec<ToldRow>) -> ToldRowsDoc {
    let doc = |row: ToldRow| ToldFactDoc {
        code: row.code,
        columns: row
            .cells
            .iter()
            .map(|(c, v)| (field::header(c).to_owned(), json(outlook, c, v)))
            .collect::<Columns>(),
    };
    ToldRowsDoc { kind: table.name.to_owned(), rows: rows.into_iter().map(doc).collect() }
}

/// A value as documents have it: figures in the column's unit, codes for what is referred to.
fn json(outlook: &Outlook, column: &Column, value: &Value) -> Json {
    match (column.kind, value) {
        (_, Value::Null) => Json::Null,
        (CellKind::YesNo, Value::Int(n)) => Json::Bool(*n != 0),
        (CellKind::Moment, Value::Int(n)) => Json::String(show_moment(Moment(*n), Some(outlook.zone()))),
        (_, Value::Int(n)) => Json::from(*n),
        (CellKind::Refers(to), Value::Text(id)) => {
            let name = Uuid::parse_str(id).ok().and_then(|id| outlook.yard.names(&[(to, id)]).remove(&id));
            Json::String(name.unwrap_or_else(|| id.clone()))
        }
        (_, Value::Text(t)) => Json::String(t.clone()),
    }
}

pub(crate) fn text(outlook: &Outlook, table: &Table, rows: &[ToldRow]) -> String {
    if rows.is_empty() {
        return format!("no {} is told yet\n", table.name.replace('_', " "));
    }
    let mut out = String::new();
    for row in rows {
        let told = row.cells.iter().filter(|(c, _)| c.name != "code").filter_map(|(c, v)| {
            let text = words(outlook, c.kind, v);
            (!text.is_empty() && text != "no").then(|| format!("{} {text}", label(c.name)))
        });
        let _ = writeln!(out, "{}  {}", row.code, told.collect::<Vec<_>>().join(", "));
    }
    out
}
