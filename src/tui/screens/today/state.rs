//! Where one stands in Today.

use crate::answers::view::Today;

/// The day and the marked line.
#[derive(Debug, Clone, Default)]
pub struct TodayState {
    pub page: Option<Today>,
    /// The marked line: the alarms first, then the places that are ready.
    pub at: usize,
    /// Lines that were pasted and are not added yet, and what asked for them.
    pub pasted: Vec<String>,
    pub lines_of: Option<super::Flow>,
}

impl TodayState {
    pub fn set(&mut self, page: Today) {
        self.page = Some(page);
        self.at = self.at.min(self.len().saturating_sub(1));
    }

    /// Lines that can be marked.
    pub fn len(&self) -> usize {
        self.page.as_ref().map_or(0, |p| p.alarms.len() + p.ready.len())
    }

    /// The marked line in words, short and long.
    pub fn words(&self) -> Option<(String, String)> {
        let page = self.page.as_ref()?;
        if let Some(alarm) = page.alarms.get(self.at) {
            return Some((alarm.what.clone(), format!("{}: {}", alarm.what, alarm.remedy)));
        }
        let place = page.ready.get(self.at - page.alarms.len())?;
        Some((place.place.clone(), format!("{}: {}", place.place, place.first.join(", "))))
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}
