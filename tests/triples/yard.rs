//! A yard straight from rows, without a file: what the tables tell, and nothing else.

use std::collections::BTreeMap;

use ladderday::answers::Outlook;
use ladderday::answers::power::{CheckKind, Checked, WhatIf, check};
use ladderday::answers::remembered::Remembered;
use ladderday::app::DEMO;
use ladderday::domain::limit::value_untold;
use ladderday::domain::{CellFault, Cells, Fact, FactSource, RowChange, Value, Yard};
use ladderday::exchange::csv::{CsvFault, CsvFile, Target, read_folder};
use uuid::Uuid;

/// The shipped recipes, told where steps are wanted.
const RECIPES: [&str; 3] = ["caution.csv", "method.csv", "recipe_step.csv"];

struct Row<'a>(&'a RowChange, &'static ladderday::domain::Table);

impl Cells for Row<'_> {
    fn cell(&self, column: &'static str) -> Result<Value, CellFault> {
        if column == "id" {
            return Ok(Value::Text(self.0.id.to_string()));
        }
        let told = self.0.set.iter().find(|(name, _)| *name == column).map(|(_, value)| value.clone());
        let untold = || value_untold(self.1, self.1.column(column)?);
        Ok(told.or_else(untold).unwrap_or(Value::Null))
    }
}

struct Rows<'a>(BTreeMap<&'static str, Vec<&'a RowChange>>);

impl FactSource for Rows<'_> {
    type Fault = CellFault;

    fn facts<F: Fact>(&mut self) -> Result<Vec<F>, CellFault> {
        let mine = self.0.get(F::TABLE.name).into_iter().flatten();
        mine.map(|row| F::read(&Row(row, &F::TABLE))).collect()
    }

    fn fact<F: Fact>(&mut self, _: Uuid) -> Result<Option<F>, CellFault> {
        Ok(None)
    }
}

/// In the order of codes, as a yard file gives them.
fn of_rows(rows: &[RowChange]) -> Yard {
    let mut by: BTreeMap<&'static str, Vec<&RowChange>> = BTreeMap::new();
    for row in rows {
        by.entry(row.table).or_default().push(row);
    }
    let code = |row: &RowChange| row.set.iter().find(|(c, _)| *c == "code").map(|(_, v)| v.clone());
    for rows in by.values_mut() {
        rows.sort_by_key(|row| (code(row), row.id));
    }
    Yard::gather(&mut Rows(by)).unwrap()
}

/// Tables by name, each the text of its file; with the shipped recipes or without.
pub fn of_texts(tables: &BTreeMap<String, String>, recipes: bool) -> Yard {
    try_texts(tables, recipes).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

/// # Errors
/// What a file may not say.
pub fn try_texts(tables: &BTreeMap<String, String>, recipes: bool) -> Result<Yard, Vec<CsvFault>> {
    let shipped = DEMO.iter().filter(|(name, _)| recipes && RECIPES.contains(name));
    let mut files: BTreeMap<String, String> =
        shipped.map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect();
    files.extend(tables.iter().map(|(name, text)| (format!("{name}.csv"), text.clone())));
    let files: Vec<CsvFile> =
        files.iter().map(|(name, text)| CsvFile { name, bytes: text.as_bytes() }).collect();
    let target = Target { yard_id: Uuid::nil(), existing: &Yard::default() };
    read_folder(&files, &target).map(|rows| of_rows(&rows))
}

pub fn checked(yard: &Yard, kinds: &[CheckKind]) -> Checked {
    checked_at(yard, kinds, "2026-09-01T12:00")
}

pub fn checked_at(yard: &Yard, kinds: &[CheckKind], now: &str) -> Checked {
    let now = chrono::DateTime::parse_from_rfc3339(&format!("{now}:00Z")).unwrap().to_utc();
    let remembered = Remembered::default();
    check(&Outlook::at(yard, &remembered, now), kinds, &WhatIf::default()).unwrap()
}
