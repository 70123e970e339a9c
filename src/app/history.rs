//! Undo and redo.

use super::app::App;
use crate::answers::problem::Problem;
use crate::answers::view::PastRow;
use crate::deeds::refused;
use crate::store::{Undone, mark_of};

impl App {
    pub(super) fn undo(&mut self) -> Result<String, Problem> {
        let now = self.now().timestamp_millis();
        // Asked again with nothing done in between, it goes over the border.
        let last = self.store.last_deed()?.map(|d| d.entry);
        let again = last.is_some() && self.asked.take() == last;
        let undone = if again { self.store.undo_past(now)? } else { self.store.undo(now)? };
        if matches!(undone, Undone::Border { .. }) {
            self.asked = last;
        }
        self.tell(undone, "Undone", "nothing to undo")
    }

    pub(super) fn redo(&mut self) -> Result<String, Problem> {
        let now = self.now().timestamp_millis();
        let undone = self.store.redo(now)?;
        self.tell(undone, "Done again", "nothing to do again")
    }

    /// The latest deeds, newest first.
    ///
    /// # Errors
    /// What the store says.
    pub fn past(&self, most: usize) -> Result<Vec<PastRow>, Problem> {
        let writer = self.store.writer();
        let mut undos = 0;
        let rows = self.store.history(most)?.into_iter().map(|d| {
            // As undo itself looks for the next one to take back.
            let open = d.entry.device == writer && d.undoes.is_none() && !d.undone;
            undos += usize::from(open);
            PastRow {
                at: self.outlook().say_ms(d.at_ms),
                mark: if d.undone { "taken back" } else { "" },
                undos: open.then_some(undos),
                device: mark_of(&d.entry.device).to_owned(),
                what: d.what,
            }
        });
        Ok(rows.collect())
    }

    fn tell(&mut self, undone: Undone, done: &str, nothing: &str) -> Result<String, Problem> {
        match undone {
            Undone::Done { what, rows, entry } => {
                self.follow(&rows)?;
                self.written.entry(Some(&entry));
                Ok(format!("{done}: {what}"))
            }
            Undone::Nothing => Err(refused("nothing-to-undo", nothing)),
            Undone::Border { what, goes } => Err(refused(
                "undo-border",
                format!("undo stops before \"{what}\": it would take back {goes}"),
            )
            .hint("undo once more to do it; as a command: ladderday undo --yes")),
            Undone::Overtaken { what, later, later_at_ms } => Err(refused(
                "undo-overtaken",
                format!(
                    "\"{what}\" can't be taken back: \"{later}\" of {} builds on it",
                    self.outlook().say_ms(later_at_ms)
                ),
            )
            .hint("take that back first")),
        }
    }
}
