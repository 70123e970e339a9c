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
    /// The long work that is running now.
    fn background(&mut self) -> Option<Background>;
    /// Screens whose page long work has changed since the last call.
    fn poll(&mut self) -> Vec<ScreenId>;
    /// Stops the long work, keeping what it found so far.
    fn stop(&mut self);
}
