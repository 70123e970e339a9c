//! Pages made ready while nobody types, so that a key finds its screen there.

use super::host::Host;
use super::state::State;
use super::update::loaded;
use crate::answers::view::ScreenId;

/// So long after the last key, milliseconds, it begins.
pub const QUIET_MS: u64 = 150;

/// In which order, from the end: where people go most often first.
const ORDER: [ScreenId; 10] = [
    ScreenId::Seasons,
    ScreenId::Buy,
    ScreenId::Totes,
    ScreenId::Power,
    ScreenId::Kit,
    ScreenId::Yard,
    ScreenId::Faults,
    ScreenId::Plan,
    ScreenId::Today,
    ScreenId::Walk,
];

/// The screens still to be looked after.
#[derive(Debug, Clone)]
pub struct Ahead {
    screens: Vec<ScreenId>,
}

impl Default for Ahead {
    fn default() -> Self {
        Self { screens: ORDER.to_vec() }
    }
}

impl Ahead {
    /// The next screen whose page is not there.
    pub fn next(&mut self, state: &State) -> Option<ScreenId> {
        self.screens.truncate(self.screens.iter().rposition(|s| !state.has_page(*s)).map_or(0, |at| at + 1));
        self.screens.last().copied()
    }

    /// Makes one page ready, so that a key never waits for more than one. A refusal is told once its key asks for it.
    pub fn prepare(&mut self, state: &mut State, host: &mut dyn Host) {
        let Some(screen) = self.next(state) else { return };
        self.screens.pop();
        if let Ok(page) = host.page(screen, &state.want()) {
            loaded(state, page);
        }
    }
}
