//! A field of a fact changed in place, as typed.

use uuid::Uuid;

use super::refused;
use crate::answers::kit::detail::{editable, kit_detail};
use crate::answers::kit::page::kit_page;
use crate::answers::problem::Problem;
use crate::app::app::App;
use crate::app::ask::Ask;
use crate::domain::{CellKind, Deed, RowChange, TABLES, Value};
use crate::exchange::csv::read_typed;

impl App {
    pub(super) fn edit(
        &mut self,
        table: &str,
        id: Uuid,
        column: &str,
        text: &str,
    ) -> Result<String, Problem> {
        let known = TABLES.iter().find(|t| t.name == table).and_then(|t| t.column(column).map(|c| (t, c)));
        let Some((table, column)) = known.filter(|(t, c)| editable(t).contains(&c.name)) else {
            return Err(refused("not-editable", format!("{table}.{column} is not changed here"))
                .hint("import it from a CSV file"));
        };
        let text = text.trim();
        let value = match (text.is_empty(), column.optional, column.kind) {
            (true, true, _) => Value::Null,
            (true, false, CellKind::Text | CellKind::Words) => Value::Text(String::new()),
            (true, false, _) => {
                return Err(refused("empty-field", format!("{} can't be empty", column.name)));
            }
            (false, _, CellKind::Refers(to)) => self.refer(to, text)?,
            (false, _, _) => self.typed(table, column, text)?,
        };
        self.not_scrapped(table.name, id, column.name, &value)?;
        let said = format!("Changed {} of {}: {text}", column.name.replace('_', " "), table.name);
        let row = RowChange::new(table.name, id, vec![(column.name, value)]);
        self.apply(&Deed {
            verb: "edit",
            what: said.clone(),
            at_ms: self.now().timestamp_millis(),
            rows: vec![row],
        })?;
        Ok(said)
    }

    /// The edit of a field that is named as Kit shows it, for a row found by its code.
    ///
    /// # Errors
    /// `no-row`; `no-field` names the fields there are.
    pub fn edit_of(&self, code: &str, field: &str, text: &str) -> Result<Ask, Problem> {
        let kit = kit_page(&self.outlook());
        let row = kit.rows.iter().find(|r| r.code.eq_ignore_ascii_case(code)).ok_or_else(|| {
            refused("no-row", format!("nothing has the code {code:?}")).hint("ladderday kit list")
        })?;
        let fields = kit_detail(&self.outlook(), row.kind, row.id, &[]).unwrap_or_default().fields;
        let plain = |t: &str| t.to_lowercase().replace(['_', '-'], " ");
        let found = fields.iter().find(|f| plain(f.column) == plain(field)).ok_or_else(|| {
            let known: Vec<String> = fields.iter().map(|f| f.column.replace('_', " ")).collect();
            refused("no-field", format!("{code} has no field {field:?} to change"))
                .hint(format!("fields: {}", known.join(", ")))
        })?;
        Ok(Ask::Edit {
            table: row.kind.word(),
            id: row.id,
            column: found.column.to_owned(),
            text: text.to_owned(),
        })
    }

    /// A piece that a fault scrapped is not good again by a word: the fact that contradicts is named.
    fn not_scrapped(&self, table: &str, id: Uuid, column: &str, value: &Value) -> Result<(), Problem> {
        let good = *value == Value::Text("good".to_owned());
        if (table, column, good) != ("piece", "condition", true) {
            return Ok(());
        }
        let facts = self.outlook().facts();
        let by = self.current.yard.faults.iter().find(|f| {
            f.piece_id.is_some_and(|p| p.0 == id)
                && facts.fault_stands(f.id) == Some(crate::domain::RepairDeed::Scrapped)
        });
        by.map_or(Ok(()), |f| {
            Err(refused("scrapped-piece", format!("{} scrapped this piece", f.code))
                .hint(format!("ladderday fault reopen {} first", f.code)))
        })
    }

    /// What is typed without a unit is in the site's units here, not in the column's.
    fn typed(
        &self,
        table: &crate::domain::Table,
        column: &crate::domain::Column,
        text: &str,
    ) -> Result<Value, Problem> {
        use crate::units as u;
        let units = self.outlook().units();
        let quantity = |r: Result<i64, u::UnitError>| r.map_err(|e| refused("bad-value", e.to_string()));
        let n = match column.kind {
            CellKind::Length => quantity(u::Length::parse(text, units).map(u::Length::mm))?,
            CellKind::Voltage => quantity(u::Voltage::parse(text, units).map(u::Voltage::mv))?,
            CellKind::Current => quantity(u::Current::parse(text, units).map(u::Current::ma))?,
            CellKind::Mass => quantity(u::Mass::parse(text, units).map(u::Mass::g))?,
            _ => {
                return read_typed(table, column, text, Some(self.zone()))
                    .map_err(|(what, remedy)| refused("bad-value", what).hint(remedy));
            }
        };
        read_typed(table, column, &n.to_string(), Some(self.zone()))
            .map_err(|(what, remedy)| refused("bad-value", what).hint(remedy))
    }

    fn refer(&self, table: &str, code: &str) -> Result<Value, Problem> {
        let y = &self.current.yard;
        let same = |c: &str| c.eq_ignore_ascii_case(code);
        let id = match table {
            "place" => y.places.iter().find(|x| same(&x.code)).map(|x| x.id.0),
            "container" => y.containers.iter().find(|x| same(&x.code)).map(|x| x.id.0),
            "method" => y.methods.iter().find(|x| same(&x.code)).map(|x| x.id.0),
            "product" => y.products.iter().find(|x| same(&x.code)).map(|x| x.id.0),
            _ => None,
        };
        id.map(|id| Value::Text(id.to_string())).ok_or_else(|| {
            refused("no-row", format!("there is no {table} {code:?}")).hint("type its code as Kit shows it")
        })
    }
}
