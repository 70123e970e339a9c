//! Undo and redo.

use super::refused;
use crate::answers::problem::Problem;
use crate::answers::view::PastRow;
use crate::app::app::App;
use crate::store::Undone;

impl App {
    pub(super) fn undo(&mut self) -> Result<String, Problem> {
        let now = self.now().timestamp_millis();
        let undone = self.store.undo(now)?;
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
        let device = self.store.device();
        let mut undos = 0;
        let rows = self.store.history(most)?.into_iter().map(|d| {
            // As undo itself looks for the next one to take back.
            let open = d.entry.device == device && d.undoes.is_none() && !d.undone;
            undos += usize::from(open);
            PastRow {
                at: self.outlook().say_ms(d.at_ms),
                mark: if d.undone { "taken back" } else { "" },
                undos: open.then_some(undos),
                device: d.entry.device,
                what: d.what,
            }
        });
        Ok(rows.collect())
    }

    fn tell(&mut self, undone: Undone, done: &str, nothing: &str) -> Result<String, Problem> {
        match undone {
            Undone::Done { what, rows, .. } => {
                self.follow(&rows)?;
                Ok(format!("{done}: {what}"))
            }
            Undone::Nothing => Err(refused("nothing-to-undo", nothing)),
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
