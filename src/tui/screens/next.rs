//! What is next of all, for a screen that asks for nothing itself.
//!
//! Not here: what each screen asks for first (its own view).

use crate::answers::view::ScreenId;
use crate::tui::state::State;

/// What is next wherever it is, with the key or the screen that does it: the first row of Today.
pub(super) fn of_all(state: &State) -> String {
    if state.frame.empty {
        return "n: begin with the date of lights on; then a line a prop".to_owned();
    }
    let Some(page) = state.today.page.as_ref().filter(|_| state.has_page(ScreenId::Today)) else {
        return "1 Today: what is to be done first".to_owned();
    };
    match (&page.next, page.alarms.first(), page.ready.first()) {
        (Some(next), ..) => format!("2 Walk: {}", next.text),
        (None, Some(alarm), _) => format!("1 Today: {}", alarm.what),
        (None, None, Some(place)) => format!("2 Walk: {}: {}", place.place, place.first),
        (None, None, None) => "1 Today: nothing is to be done now".to_owned(),
    }
}
