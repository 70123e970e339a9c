//! A row that no longer holds: what is a part of it ends with it, what goes by it must be told otherwise first.

use std::collections::BTreeSet;

use uuid::Uuid;

use super::names::{find, near, rows};
use super::{Telling, table_called};
use crate::domain::{CellKind, RowChange, TABLES, Table, Value};
use crate::exchange::csv::CsvFault;

/// Columns by which a row is a part of another.
const PARTS: &[(&str, &str)] = &[
    ("placement_piece", "placement_id"),
    ("placement_piece", "piece_id"),
    ("session_person", "session_id"),
    ("session_person", "person_id"),
    ("product_end", "product_id"),
    ("fall_line", "upper_place_id"),
    ("fall_line", "lower_place_id"),
    ("recipe_step", "method_id"),
    ("recipe_use", "recipe_step_id"),
    ("recipe_run", "recipe_step_id"),
    ("recipe_use", "product_id"),
    ("stand", "placement_id"),
    ("stand", "mount_id"),
    ("guy", "stand_id"),
    ("link", "to_placement_id"),
    ("desk_task", "placement_id"),
    ("shipping_tier", "vendor_id"),
    ("offer", "vendor_id"),
];
/// What happened stays as it was, whoever it names.
const RECORD: &[&str] = &[
    "tick",
    "time_correction",
    "fault",
    "repair_entry",
    "stock_move",
    "piece_look",
    "meter_reading",
    "dark_time",
    "season_difference",
    "need",
    "purchase_order",
    "order_line",
];
/// So many of what stands in the way are named.
const NAMED: usize = 3;

/// What ends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ended {
    pub table: &'static Table,
    /// As people name it.
    pub code: String,
    pub name: String,
    pub rows: Vec<RowChange>,
    /// Of each other table, how many rows end with it.
    pub with: Vec<(&'static str, usize)>,
}

/// Ends the row that `called` names.
///
/// # Errors
/// `no-row` with the nearest; `in-use` with what goes by it.
pub fn end(kind: &str, called: &str, on: &Telling<'_>) -> Result<Ended, Vec<CsvFault>> {
    let table = table_called(kind).map_err(|fault| vec![*fault])?;
    let there = rows(table, on.existing);
    let fault = |code, what: String, remedy: String| {
        vec![CsvFault::new(code, &format!("{} {called}", table.name), 0, what, remedy)]
    };
    if table.name == "site" {
        return Err(fault(
            "stays",
            "a yard has one site, and keeps it".into(),
            "tell site changes it".into(),
        ));
    }
    let found = find(table, &there, called.trim(), on.season).map_err(|fault| vec![*fault])?;
    let Some(row) = found.filter(|r| !r.ended) else {
        let what = if found.is_some() { "it has ended already" } else { "there is no such row" };
        let words = there.iter().filter(|r| !r.ended).flat_map(|r| [r.code.as_str(), r.name.as_str()]);
        let near = near(called, words, 3).join(", ");
        return Err(fault(
            "no-row",
            what.into(),
            format!("nearest are: {near}; told {} lists all", table.name),
        ));
    };
    let mut ends = vec![(table.name, row.id)];
    let mut seen: BTreeSet<Uuid> = BTreeSet::from([row.id]);
    let mut in_use = Vec::new();
    let mut at = 0;
    while let Some((of, id)) = ends.get(at).copied() {
        at += 1;
        for (by, column, user) in users(of, id, on) {
            if PARTS.contains(&(by.name, column)) {
                if seen.insert(user.id) {
                    ends.push((by.name, user.id));
                }
            } else {
                in_use.push((by, user));
            }
        }
    }
    in_use.retain(|(_, user)| !seen.contains(&user.id));
    if !in_use.is_empty() {
        let named = in_use.iter().take(NAMED).map(|(by, user)| format!("{} {}", by.name, user.code));
        let more = in_use.len().saturating_sub(NAMED);
        let more = if more == 0 { String::new() } else { format!(" and {more} more") };
        let what = format!("{}{more} go by it", named.collect::<Vec<_>>().join(", "));
        return Err(fault(
            "in-use",
            what,
            "tell them otherwise or end them first; a season that was keeps its facts".into(),
        ));
    }
    let mut with: Vec<(&'static str, usize)> = Vec::new();
    for (name, _) in ends.iter().skip(1) {
        match with.iter_mut().find(|(t, _)| t == name) {
            Some((_, n)) => *n += 1,
            None => with.push((name, 1)),
        }
    }
    let rows = ends.iter().map(|(table, id)| RowChange::end(table, *id, on.now_ms)).collect();
    Ok(Ended { table, code: row.code.clone(), name: row.name.clone(), rows, with })
}

/// The rows that hold and refer to one, with the column in which they do.
fn users(of: &str, id: Uuid, on: &Telling<'_>) -> Vec<(&'static Table, &'static str, super::names::Row)> {
    let wanted = Value::Text(id.hyphenated().to_string());
    let mut users = Vec::new();
    for table in TABLES.iter().filter(|t| !RECORD.contains(&t.name) && t.name != "attachment") {
        let columns: Vec<&'static str> = table
            .columns
            .iter()
            .filter(|c| matches!(c.kind, CellKind::Refers(to) if to == of))
            .map(|c| c.name)
            .collect();
        if columns.is_empty() {
            continue;
        }
        for row in rows(table, on.existing).into_iter().filter(|r| !r.ended) {
            let by = columns.iter().find(|c| super::names::cell(&row.set, c) == wanted).copied();
            users.extend(by.map(|column| (table, column, row)));
        }
    }
    users
}
