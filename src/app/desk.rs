//! The open yard as the desk that deeds are done on, and those deeds that take files, a search or the journal itself.

use std::path::PathBuf;
use std::sync::Arc;

use uuid::Uuid;

use super::app::App;
use super::done::Done;
use super::import::ImportChoices;
use super::planning::THOROUGH;
use crate::answers::Outlook;
use crate::answers::problem::Problem;
use crate::deeds::ask::Ask;
use crate::deeds::{self, Desk};
use crate::domain::{Deed, Yard};
use crate::planner::Plan;
use crate::steps::StepKey;
use crate::store::{Applied, HOME};

impl Desk for App {
    fn outlook(&self) -> Outlook<'_> {
        Self::outlook(self)
    }

    fn whole_yard(&self) -> Result<Yard, Problem> {
        Ok(self.store.load_whole_yard()?)
    }

    fn yard_id(&self) -> Uuid {
        self.store.yard_id()
    }

    fn mark(&self) -> String {
        if self.store.device() == HOME { String::new() } else { self.store.device().to_owned() }
    }

    fn id(&mut self) -> Uuid {
        self.ids.make(self.now())
    }

    fn apply(&mut self, deed: &Deed) -> Result<bool, Problem> {
        Ok(matches!(Self::apply(self, deed)?, Applied::Entry(_)))
    }

    fn remembered(&self, name: &str) -> Option<String> {
        self.store.meta(name).ok().flatten()
    }

    fn remember(&mut self, name: &str, value: &str) -> Result<(), Problem> {
        Ok(self.store.set_meta(name, value)?)
    }

    fn build_plan(&mut self) -> Option<Arc<Plan>> {
        Self::build_plan(self)
    }

    fn keep_walked(&mut self, key: Option<&StepKey>) -> Result<(), Problem> {
        Self::keep_walked(self, key)
    }
}

impl App {
    /// Does a deed and saves it. What comes back is said once it is on disk.
    ///
    /// # Errors
    /// What is refused and why; then nothing was written.
    pub fn perform(&mut self, ask: &Ask) -> Result<Done, Problem> {
        match ask {
            // A plan is searched for first; it is no entry of the journal.
            Ask::KeepPlan { phase } => Ok(Done::only(self.keep_plan(*phase, THOROUGH)?)),
            _ => self.told(|app| app.do_it(ask)),
        }
    }

    fn do_it(&mut self, ask: &Ask) -> Result<String, Problem> {
        if let Some(done) = deeds::perform(self, ask) {
            return done;
        }
        match ask {
            Ask::Paper { sheet, numbers } => self.take_paper(sheet, numbers),
            Ask::Import { paths, columns } => {
                let paths: Vec<PathBuf> = paths.iter().map(PathBuf::from).collect();
                let how = ImportChoices { columns: columns.clone(), ..ImportChoices::default() };
                Ok(self.import_as(&paths, &how)?.said)
            }
            Ask::DecideConflict { code, value } => self.decide_conflict(code, value),
            Ask::AddPhoto { fault, path } => self.add_photo(fault, path),
            Ask::KeepPlan { phase } => self.keep_plan(*phase, THOROUGH),
            Ask::Undo => self.undo(),
            _ => self.redo(),
        }
    }
}
