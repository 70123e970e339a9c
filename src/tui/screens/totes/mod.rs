//! Totes: what is where.
//!
//! Not here: what goes into which tote (`packing`).

pub mod state;
pub mod view;

pub use state::State;

use super::super::state::State as Tui;
use super::no_use;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::popup::{Popup, Reading};

/// An action on Totes.
pub fn update(state: &mut Tui, action: Action) -> Vec<Effect> {
    if state.totes.list.step(action) {
        return Vec::new();
    }
    match (action, state.totes.row()) {
        (Action::OpenRow, Some(row)) => {
            let lines = row.contents.iter().map(|(code, name, now)| (code.clone(), format!("{name}: {now}")));
            let notes = row.notes.iter().map(|n| ("note".to_owned(), n.clone()));
            let title = format!("{}  {}, {}", row.code, row.name, row.stands);
            let lines = lines.chain(notes).collect();
            state.popups.push(Popup::Reading(Reading { title, lines, top: 0 }));
            Vec::new()
        }
        (Action::OpenRow, None) => {
            state.refuse("No tote is told yet; import containers first");
            Vec::new()
        }
        _ => no_use(state, action),
    }
}
