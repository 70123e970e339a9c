//! Universes and slots as they are proposed, written.

use super::Desk;
use crate::answers::power::numbers::{numbering_words, numbers_to_write};
use crate::answers::problem::Problem;
use crate::domain::Numbering;

/// Writes the proposed numbers, in the way asked for or the season's.
pub(super) fn write_numbers(desk: &mut dyn Desk, way: Option<Numbering>) -> Result<String, Problem> {
    let (way, rows) = numbers_to_write(&desk.outlook(), way)?;
    let leads = rows.iter().filter(|r| r.table == "link").count();
    let what = format!(
        "Numbers written for {leads} leads, {}; their lid cards are to be printed again",
        numbering_words(way)
    );
    desk.write("numbers-write", &what, rows)?;
    Ok(what)
}
