//! A field of a row that Kit shows, named as Kit names it.

use uuid::Uuid;

use super::Desk;
use super::ask::Ask;
use super::refused;
use crate::answers::kit::page::kit_page;
use crate::answers::problem::Problem;
use crate::answers::told::{FormField, form};
use crate::domain::Value;
use crate::exchange::sheet::column_called;

/// The edit of a field that is named as Kit shows it, for a row found by its code.
///
/// # Errors
/// `no-row`; `no-field` names the fields there are.
pub fn edit_of(desk: &dyn Desk, code: &str, field: &str, text: &str) -> Result<Ask, Problem> {
    let kit = kit_page(&desk.outlook());
    let row = kit.rows.iter().find(|r| r.code.eq_ignore_ascii_case(code)).ok_or_else(|| {
        refused("no-row", format!("nothing has the code {code:?}")).hint("ladderday kit list")
    })?;
    let fields =
        form(&desk.outlook(), row.kind.word(), Some(&row.id.to_string())).map_or_else(Vec::new, |f| f.fields);
    let plain = |t: &str| t.to_lowercase().replace(['_', '-'], " ");
    let asked = plain(field);
    // By the words of the form, of files, of the tables, and of lists: "where", "how mounted".
    let called =
        |f: &&FormField| [f.label.as_str(), f.header, f.column].into_iter().any(|t| plain(t) == asked);
    let listed = || column_called(field).and_then(|c| fields.iter().find(|f| f.column == c));
    let found = fields.iter().find(called).or_else(listed).ok_or_else(|| {
        let known: Vec<String> = fields.iter().map(|f| f.label.clone()).collect();
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
pub(super) fn not_scrapped(
    desk: &dyn Desk,
    table: &str,
    id: Uuid,
    column: &str,
    value: &Value,
) -> Result<(), Problem> {
    let good = *value == Value::Text("good".to_owned());
    if (table, column, good) != ("piece", "condition", true) {
        return Ok(());
    }
    let facts = desk.outlook().facts();
    let by = desk.yard().faults.iter().find(|f| {
        f.piece_id.is_some_and(|p| p.0 == id)
            && facts.fault_stands(f.id) == Some(crate::domain::RepairDeed::Scrapped)
    });
    by.map_or(Ok(()), |f| {
        Err(refused("scrapped-piece", format!("{} scrapped this piece", f.code))
            .hint(format!("ladderday fault reopen {} first", f.code)))
    })
}
