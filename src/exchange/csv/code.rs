//! Codes to rows and back: those of the yard, and those that a file brings.

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use crate::domain::{RowChange, TABLES, Value, Yard};

use super::identity;

/// Rows that tell the same: those that ended last.
type Told = BTreeSet<(bool, Uuid)>;

/// What the codes of a yard and its files stand for.
#[derive(Default)]
pub(super) struct Codes {
    /// By table and code: rows of the yard, those that hold first.
    known: BTreeMap<(&'static str, String), Vec<(bool, Uuid)>>,
    /// By table and code: rows of the files.
    new: BTreeMap<(&'static str, String), Uuid>,
    names: BTreeMap<(&'static str, Uuid), String>,
    /// By table and natural key: rows of the yard without code, those that hold first.
    keyed: BTreeMap<(&'static str, Vec<Value>), Told>,
}

/// Why a code stands for no row.
pub(super) enum NoRow {
    Unknown,
    /// Two rows of the yard that hold have it.
    Several,
}

impl Codes {
    pub(super) fn of(yard: &Yard) -> Self {
        let mut codes = Self::default();
        for row in yard.rows() {
            let ended = cell(&row, "ended_at") != Value::Null;
            if let Value::Text(code) = cell(&row, "code") {
                codes.names.insert((row.table, row.id), code.clone());
                codes.known.entry((row.table, code)).or_default().push((ended, row.id));
            } else {
                let key = crate::domain::natural_key(row.table).iter().map(|c| cell(&row, c)).collect();
                codes.keyed.entry((row.table, key)).or_default().insert((ended, row.id));
            }
        }
        for rows in codes.known.values_mut() {
            rows.sort_unstable();
        }
        codes
    }

    /// The id for a row of a file: that of the yard's row with this code if one holds, or made from the code.
    /// Nothing where the files have the code already.
    pub(super) fn add(&mut self, yard: Uuid, table: &'static str, code: &str) -> Option<Uuid> {
        let made = identity::id_of(yard, table, code);
        let known = self.known.get(&(table, code.to_owned())).map_or(&[][..], Vec::as_slice);
        let holds = known.iter().filter(|(ended, _)| !ended);
        let id = match holds.clone().find(|(_, id)| *id == made) {
            Some((_, id)) => *id,
            None => holds.map(|(_, id)| *id).next().unwrap_or(made),
        };
        if self.new.insert((table, code.to_owned()), id).is_some() {
            return None;
        }
        self.names.insert((table, id), code.to_owned());
        Some(id)
    }

    pub(super) fn find(&self, table: &'static str, code: &str) -> Result<Uuid, NoRow> {
        let key = (table, code.to_owned());
        if let Some(id) = self.new.get(&key) {
            return Ok(*id);
        }
        let rows = self.known.get(&key).map_or(&[][..], Vec::as_slice);
        match rows {
            [] => Err(NoRow::Unknown),
            [(false, _), (false, _), ..] => Err(NoRow::Several),
            [(_, id), ..] => Ok(*id),
        }
    }

    /// Gives every row a code of its own: of several with the same, the first that holds keeps it, the others get a
    /// number. A file with the same code twice could not be read back.
    pub(super) fn make_unique(&mut self) {
        for ((table, code), rows) in &self.known {
            let mut n = 2;
            for (_, id) in rows.iter().skip(1) {
                let mut own = format!("{code}~{n}");
                while self.known.contains_key(&(table, own.clone())) {
                    n += 1;
                    own = format!("{code}~{n}");
                }
                n += 1;
                self.names.insert((table, *id), own);
            }
        }
    }

    /// The code of a row.
    pub(super) fn name(&self, table: &'static str, id: Uuid) -> Option<&str> {
        self.names.get(&(table, id)).map(String::as_str)
    }

    /// The `nth` row of the yard with this natural key.
    pub(super) fn keyed(&self, table: &'static str, key: &[Value], nth: usize) -> Option<Uuid> {
        self.keyed.get(&(table, key.to_vec()))?.iter().nth(nth).map(|(_, id)| *id)
    }

    /// The codes of a table that come nearest, for a remedy.
    pub(super) fn like(&self, table: &'static str, code: &str) -> Option<String> {
        let wanted = code.to_lowercase();
        let all = self.new.keys().chain(self.known.keys());
        all.filter(|(t, _)| *t == table).find(|(_, c)| c.to_lowercase() == wanted).map(|(_, c)| c.clone())
    }
}

/// A column of a whole row; empty where it is not set.
pub(super) fn cell(row: &RowChange, column: &str) -> Value {
    row.set.iter().rev().find(|(c, _)| *c == column).map_or(Value::Null, |(_, v)| v.clone())
}

/// The declared name of a table.
pub(super) fn table_name(name: &str) -> Option<&'static str> {
    TABLES.iter().find(|t| t.name == name).map(|t| t.name)
}
