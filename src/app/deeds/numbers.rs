//! Universes and slots as they are proposed, written.

use crate::answers::power::numbers::{numbering_words, numbers_to_write};
use crate::answers::problem::Problem;
use crate::app::app::App;
use crate::domain::{Deed, Numbering};

impl App {
    /// Writes the proposed numbers, in the way asked for or the season's.
    pub(super) fn write_numbers(&mut self, way: Option<Numbering>) -> Result<String, Problem> {
        let (way, rows) = numbers_to_write(&self.outlook(), way)?;
        let leads = rows.iter().filter(|r| r.table == "link").count();
        let what = format!(
            "Numbers written for {leads} leads, {}; their lid cards are to be printed again",
            numbering_words(way)
        );
        let at_ms = self.now().timestamp_millis();
        self.apply(&Deed { verb: "numbers-write", what: what.clone(), at_ms, rows })?;
        Ok(what)
    }
}
