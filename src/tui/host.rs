//! What the screens need from the program around them.

use crate::answers::told::{self, FormPage};
use crate::answers::view::{Frame, PastRow, ScreenId};
use crate::app::{Ask, Asked, Detail, DetailOf, LookWord, Page, PageWant, Paths, Problem, Question};
use crate::domain::Phase;

/// Deeds that the history shows.
const PAST: usize = 200;

/// Long work that runs beside the screens.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Background {
    /// "improving the plan".
    pub what: String,
    /// Thousandths done, where that is known.
    pub share: Option<u32>,
}

/// The use cases behind the screens.
pub trait Host {
    fn frame(&self) -> Frame;
    /// Computes one screen.
    fn page(&mut self, screen: ScreenId, want: &PageWant) -> Result<Page, Problem>;
    /// Computes all about one row of a page; nothing where it is not there.
    fn detail(&self, of: DetailOf) -> Option<Detail>;
    /// Does and saves a deed; says in one line what was done. On disk when it returns.
    fn perform(&mut self, ask: &Ask) -> Result<String, Problem>;
    /// The latest deeds, newest first.
    fn past(&self) -> Result<Vec<PastRow>, Problem>;
    /// Begins to weigh a change beside the screens; touches no fact.
    fn what_if(&mut self, phase: Option<Phase>, change: &str) -> Result<(), Problem>;
    /// Begins to weigh what would help most to be in time.
    fn what_helps(&mut self, _phase: Option<Phase>) -> Result<(), Problem> {
        Ok(())
    }
    /// Finish and odds as they are and with that change, as lines with a label, once they are there; `wait` waits.
    fn weighed(&mut self, wait: bool) -> Option<Result<Vec<(String, String)>, Problem>>;
    /// Shows one season on every screen, or what the date asks for where that one is shown; says which.
    fn switch_season(&mut self, code: &str) -> String;
    /// Keeps the look for the next start.
    fn keep_look(&mut self, look: LookWord) -> Result<(), Problem>;
    /// Keeps whose steps Walk shows for the next start; empty is all.
    fn keep_whose(&mut self, _name: &str) -> Result<(), Problem> {
        Ok(())
    }
    /// Opens a photo of a fault beside the program; says with what.
    fn open_photo(&mut self, fault: &str, number: usize) -> Result<String, Problem>;
    /// How many pieces packing would move, and into which tote which of them.
    fn packing(&self) -> Result<(usize, Vec<(String, String)>), Problem> {
        Ok((0, Vec::new()))
    }
    /// The long work that is running now.
    fn background(&mut self) -> Option<Background>;
    /// Screens whose page long work has changed since the last call.
    fn poll(&mut self) -> Vec<ScreenId>;
    /// Every kind of fact: its table, what one of it is, how many are told.
    fn kinds(&self) -> Vec<(&'static str, String, usize)> {
        Vec::new()
    }
    /// The rows of a kind: id, name, code.
    fn rows(&self, _kind: &str) -> Vec<(String, String, String)> {
        Vec::new()
    }
    /// The form of a row, or of a new one; nothing where it is not there.
    fn form(&self, _kind: &str, _called: Option<&str>) -> Option<FormPage> {
        None
    }
    /// The question of the start after one, or the first; nothing after the last.
    fn next_question(&self, _after: Option<Question>) -> Option<Asked> {
        None
    }
    /// What is told, assumed and not told, at the end of the start.
    fn read_back(&self) -> Vec<(String, String)> {
        Vec::new()
    }
    /// The first picture stands: begins what could wait for it.
    fn shown(&mut self) {}
    /// Nobody types and every page is there: begins the long work that is due for a phase, or for that of the day.
    fn settled(&mut self, _phase: Option<Phase>) {}
    /// What long work has found wrong with the file since the last call.
    fn found(&mut self) -> Option<Problem> {
        None
    }
    /// Stops the long work that `background` names; says what stays.
    fn stop(&mut self) -> &'static str;
}

impl Host for crate::app::App {
    fn frame(&self) -> Frame {
        Self::frame(self)
    }

    fn page(&mut self, screen: ScreenId, want: &PageWant) -> Result<Page, Problem> {
        Self::page(self, screen, want)
    }

    fn detail(&self, of: DetailOf) -> Option<Detail> {
        Self::detail(self, of)
    }

    fn perform(&mut self, ask: &Ask) -> Result<String, Problem> {
        Ok(Self::perform(self, ask)?.said)
    }

    fn past(&self) -> Result<Vec<PastRow>, Problem> {
        Self::past(self, PAST)
    }

    fn what_if(&mut self, phase: Option<Phase>, change: &str) -> Result<(), Problem> {
        self.begin_what_if(phase, change)
    }

    fn packing(&self) -> Result<(usize, Vec<(String, String)>), Problem> {
        Self::packing(self)
    }

    fn what_helps(&mut self, phase: Option<Phase>) -> Result<(), Problem> {
        self.begin_what_helps(phase)
    }

    fn weighed(&mut self, wait: bool) -> Option<Result<Vec<(String, String)>, Problem>> {
        Self::weighed(self, wait)
    }

    fn switch_season(&mut self, code: &str) -> String {
        Self::switch_season(self, code)
    }

    fn keep_look(&mut self, look: LookWord) -> Result<(), Problem> {
        Paths::of_system()?.keep_look(look)
    }

    fn keep_whose(&mut self, name: &str) -> Result<(), Problem> {
        Paths::of_system()?.keep_whose(name)
    }

    fn open_photo(&mut self, fault: &str, number: usize) -> Result<String, Problem> {
        let paths = Paths::of_system()?;
        let with = paths.setup().settings.viewer;
        super::viewer::open(&self.photo_file(fault, number, &paths.photos())?, &with)
    }

    fn background(&mut self) -> Option<Background> {
        let work = |what: &str, share| Background { what: what.to_owned(), share };
        // What was asked for comes before what goes on by itself.
        let weighing = self.weighing().map(|share| work("weighing the change", Some(share)));
        weighing
            .or_else(|| self.improving().map(|share| work("improving the plan", Some(share))))
            .or_else(|| self.is_looking().then(|| work("looking the yard file over", None)))
    }

    fn poll(&mut self) -> Vec<ScreenId> {
        if self.take_improved() {
            vec![ScreenId::Today, ScreenId::Plan, ScreenId::Walk, ScreenId::Yard, ScreenId::Buy]
        } else {
            Vec::new()
        }
    }

    fn kinds(&self) -> Vec<(&'static str, String, usize)> {
        told::kinds(&self.outlook())
    }

    fn rows(&self, kind: &str) -> Vec<(String, String, String)> {
        told::named(&self.outlook(), kind)
    }

    fn form(&self, kind: &str, called: Option<&str>) -> Option<FormPage> {
        told::form(&self.outlook(), kind, called)
    }

    fn next_question(&self, after: Option<Question>) -> Option<Asked> {
        Self::next_question(self, after)
    }

    fn read_back(&self) -> Vec<(String, String)> {
        Self::read_back(self)
    }

    fn shown(&mut self) {
        self.begin_looking();
    }

    fn settled(&mut self, phase: Option<Phase>) {
        // The round of the night takes no sessions: what Plan shows beside it is the takedown.
        let phase = match phase {
            None | Some(Phase::Tonight) => self.outlook().phase_planned(),
            Some(phase) => phase,
        };
        // A yard without a season has nothing to improve, and says so on its page.
        let _ = self.improve_once(phase);
        self.fold_log();
    }

    fn found(&mut self) -> Option<Problem> {
        self.take_looked()
    }

    fn stop(&mut self) -> &'static str {
        if self.stop_weighing() {
            return "Stopped; the change is not weighed";
        }
        if self.improving().is_none() && self.is_looking() {
            self.stop_looking();
            return "Stopped; the yard file is looked over at the next start";
        }
        self.stop_improving();
        "Stopped; the best found so far stays"
    }
}
