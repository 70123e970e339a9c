//! What the screens need from the program around them.

use crate::app::view::{Frame, ScreenId};
use crate::app::{Ask, Page, Problem};
use crate::domain::Phase;

/// Which part of a page is wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PageWant {
    /// Which session Walk shows; nothing takes the one that is due.
    pub walk_session: Option<usize>,
    /// Which phase Walk and Plan show; nothing takes the one of the day.
    pub phase: Option<Phase>,
}

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
    /// Does and saves a deed; says in one line what was done. On disk when it returns.
    fn perform(&mut self, ask: &Ask) -> Result<String, Problem>;
    /// Opens a photo of a fault beside the program; says with what.
    fn open_photo(&mut self, fault: &str, number: usize) -> Result<String, Problem>;
    /// The long work that is running now.
    fn background(&mut self) -> Option<Background>;
    /// Screens whose page long work has changed since the last call.
    fn poll(&mut self) -> Vec<ScreenId>;
    /// Stops the long work, keeping what it found so far.
    fn stop(&mut self);
}

impl Host for crate::app::App {
    fn frame(&self) -> Frame {
        Self::frame(self)
    }

    fn page(&mut self, screen: ScreenId, want: &PageWant) -> Result<Page, Problem> {
        let page = Self::page(self, screen, want.walk_session, want.phase)?;
        if matches!(screen, ScreenId::Today | ScreenId::Plan) {
            let phase = want.phase.unwrap_or_else(|| self.phase_now());
            // A yard without a season has nothing to improve, and says so on its page.
            let _ = self.improve_once(phase);
        }
        Ok(page)
    }

    fn perform(&mut self, ask: &Ask) -> Result<String, Problem> {
        Self::perform(self, ask)
    }

    fn open_photo(&mut self, fault: &str, number: usize) -> Result<String, Problem> {
        let folder = crate::app::Paths::of_system()?.photos();
        super::viewer::open(&self.photo_file(fault, number, &folder)?, None)
    }

    fn background(&mut self) -> Option<Background> {
        self.improving().map(|share| Background { what: "improving the plan".to_owned(), share: Some(share) })
    }

    fn poll(&mut self) -> Vec<ScreenId> {
        if self.take_improved() {
            vec![ScreenId::Today, ScreenId::Plan, ScreenId::Walk, ScreenId::Buy]
        } else {
            Vec::new()
        }
    }

    fn stop(&mut self) {
        self.stop_improving();
    }
}
