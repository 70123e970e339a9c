//! What an owner told, cell by cell, so that a law can blank, shuffle, rename and shrink it.

use std::collections::{BTreeMap, BTreeSet};

use ladderday::domain::{CellKind, Column, TABLES, Yard};
use ladderday::exchange::csv::CsvFault;

use crate::triples::try_texts;

pub type Row = BTreeMap<&'static str, String>;

#[derive(Debug, Clone, Default, PartialEq)]
pub struct Told(pub BTreeMap<&'static str, Vec<Row>>);

/// The column that a header cell stands for: references drop `_id`.
pub fn column(table: &str, head: &str) -> Option<&'static Column> {
    let table = TABLES.iter().find(|t| t.name == table)?;
    table.column(head).or_else(|| table.column(&format!("{head}_id")))
}

impl Told {
    pub fn add(&mut self, table: &'static str, cells: &[(&'static str, &str)]) {
        let told = cells.iter().filter(|(_, v)| !v.is_empty());
        let row = told.map(|(c, v)| (*c, (*v).to_owned())).collect();
        self.0.entry(table).or_default().push(row);
    }

    /// As files.
    pub fn texts(&self) -> BTreeMap<String, String> {
        let quoted = |cell: &String| {
            if cell.contains([',', '"']) {
                format!("\"{}\"", cell.replace('"', "\"\""))
            } else {
                cell.clone()
            }
        };
        let text = |rows: &Vec<Row>| {
            let heads: BTreeSet<&str> = rows.iter().flat_map(|r| r.keys().copied()).collect();
            let heads: Vec<&str> = heads.into_iter().collect();
            let line = |row: &Row| {
                let cells = heads.iter().map(|h| row.get(h).map(&quoted).unwrap_or_default());
                cells.collect::<Vec<_>>().join(",")
            };
            let lines: Vec<String> = rows.iter().map(line).collect();
            format!("{}\n{}\n", heads.join(","), lines.join("\n"))
        };
        let full = self.0.iter().filter(|(_, rows)| !rows.is_empty());
        full.map(|(table, rows)| ((*table).to_owned(), text(rows))).collect()
    }

    /// # Errors
    /// What a file of it may not say.
    pub fn yard(&self) -> Result<Yard, Vec<CsvFault>> {
        // Sessions ask for steps, steps and what is used up for recipes.
        try_texts(&self.texts(), self.0.contains_key("session") || self.of_stores())
    }

    /// Told by what is owned, and looked at by stock, needs and totes.
    pub fn of_stores(&self) -> bool {
        self.0.contains_key("container") || self.0.contains_key("stock_move")
    }

    /// Every cell that may be left empty.
    pub fn blanks(&self) -> Vec<(&'static str, usize, &'static str)> {
        let cells = self.0.iter().flat_map(|(table, rows)| {
            rows.iter().enumerate().flat_map(move |(at, row)| row.keys().map(move |head| (*table, at, *head)))
        });
        cells.filter(|(table, _, head)| column(table, head).is_some_and(|c| c.optional)).collect()
    }

    pub fn without(&self, (table, at, head): (&'static str, usize, &'static str)) -> Self {
        let mut less = self.clone();
        if let Some(row) = less.0.get_mut(table).and_then(|rows| rows.get_mut(at)) {
            row.remove(head);
        }
        less
    }

    /// Every code by another one, in another order.
    pub fn renamed(&self) -> Self {
        let codes: BTreeSet<&String> = self.0.values().flatten().filter_map(|row| row.get("code")).collect();
        let new: BTreeMap<&String, String> =
            codes.iter().rev().enumerate().map(|(n, code)| (*code, format!("K{n:03}"))).collect();
        let mut told = self.clone();
        for (table, rows) in &mut told.0 {
            for row in rows.iter_mut() {
                for (head, cell) in row.iter_mut() {
                    let refers = column(table, head).is_some_and(|c| matches!(c.kind, CellKind::Refers(_)));
                    if let Some(name) = new.get(cell).filter(|_| *head == "code" || refers) {
                        cell.clone_from(name);
                    }
                }
            }
        }
        told
    }

    /// The smallest yard of which `bad` still says something.
    pub fn smallest(&self, bad: &dyn Fn(&Self) -> bool) -> Self {
        let mut least = self.clone();
        loop {
            let rows = least
                .0
                .iter()
                .filter(|(table, _)| **table != "season")
                .flat_map(|(table, rows)| (0..rows.len()).map(move |at| (*table, at)));
            let fewer = rows.map(|(table, at)| {
                let mut less = least.clone();
                less.0.get_mut(table).unwrap().remove(at);
                less
            });
            let emptier = least.blanks().into_iter().map(|cell| least.without(cell));
            let Some(next) = fewer.chain(emptier).find(|less| less.yard().is_ok() && bad(less)) else {
                return least;
            };
            least = next;
        }
    }

    pub fn show(&self) -> String {
        self.texts().iter().fold(String::new(), |all, (table, text)| all + table + ".csv\n" + text)
    }
}
