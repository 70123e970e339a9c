//! Where one stands in Today.

use crate::answers::view::{Alarm, Next, ReadyPlace, Today};

/// The day and the marked line.
#[derive(Debug, Clone, Default)]
pub struct TodayState {
    pub page: Option<Today>,
    /// The marked line: what is next, then the alarms, then the places that are ready.
    pub at: usize,
    /// Lines that were pasted and are not added yet, and what asked for them.
    pub pasted: Vec<String>,
    pub lines_of: Option<super::Flow>,
}

/// A line of Today.
#[derive(Debug, Clone, Copy)]
pub enum Marked<'a> {
    Next(&'a Next),
    Alarm(&'a Alarm),
    Ready(&'a ReadyPlace),
}

impl TodayState {
    pub fn set(&mut self, page: Today) {
        self.page = Some(page);
        self.at = self.at.min(self.len().saturating_sub(1));
    }

    /// Lines that can be marked.
    pub fn len(&self) -> usize {
        self.page.as_ref().map_or(0, |p| usize::from(p.next.is_some()) + p.alarms.len() + p.ready.len())
    }

    /// What the marked line is.
    pub fn line(&self) -> Option<Marked<'_>> {
        let page = self.page.as_ref()?;
        let at = match (&page.next, self.at) {
            (Some(next), 0) => return Some(Marked::Next(next)),
            (Some(_), at) => at - 1,
            (None, at) => at,
        };
        let alarm = page.alarms.get(at).map(Marked::Alarm);
        alarm.or_else(|| page.ready.get(at - page.alarms.len()).map(Marked::Ready))
    }

    /// The marked line in words, short and long.
    pub fn words(&self) -> Option<(String, String)> {
        Some(match self.line()? {
            Marked::Next(next) => (next.text.clone(), next.text.clone()),
            Marked::Alarm(alarm) => (alarm.what.clone(), format!("{}: {}", alarm.what, alarm.remedy)),
            Marked::Ready(place) => (place.place.clone(), format!("{}: {}", place.place, place.first)),
        })
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}
