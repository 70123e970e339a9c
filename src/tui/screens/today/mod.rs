//! Today: will it be ready, what can be done now, what is in the way.
//!
//! Not here: odds and alarms (`app`).

pub mod flow;
pub mod state;
pub mod view;

pub use flow::{Flow, after_deed, answer, ask_files, ask_prop, asks_prop, line_refused, paste_lines};
pub use state::TodayState;

use super::{no_use, walk};
use crate::answers::view::{Aim, ScreenId};
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::listing::moved;
use crate::tui::state::State;
use crate::tui::update::go;

/// An action on Today.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    if let Some(at) = moved(state.today.at, state.today.len(), action) {
        state.today.at = at;
        return Vec::new();
    }
    if action == Action::NewSeason {
        return flow::ask_date(state);
    }
    let Some(page) = &state.today.page else { return Vec::new() };
    match action {
        Action::OpenRow => {
            let at = state.today.at;
            let alarms = page.alarms.len();
            if let Some(alarm) = page.alarms.get(at) {
                let (screen, aim, remedy) = (alarm.screen, alarm.aim.clone(), alarm.remedy.clone());
                let effects = match aim {
                    Aim::Step(key) if screen == ScreenId::Walk => walk::go_to_step(state, key),
                    Aim::Apart(list) => return flow::ask_which(state, list),
                    Aim::Phase(phase) => {
                        walk::show_phase(state, Some(phase));
                        go(state, screen)
                    }
                    aim => {
                        state.aim = Some(aim);
                        go(state, screen)
                    }
                };
                state.say(remedy);
                return effects;
            }
            if let Some(place) = at.checked_sub(alarms).and_then(|n| page.ready.get(n)) {
                let key = place.key.clone();
                return walk::go_to_step(state, key);
            }
            if state.frame.empty {
                return flow::ask_date(state);
            }
            state.refuse("Nothing is in the way and nothing is ready; 2 shows the checklist")
        }
        Action::NextSection => {
            let alarms = page.alarms.len();
            let ready = !page.ready.is_empty();
            state.today.at = if state.today.at < alarms && ready { alarms } else { 0 };
            Vec::new()
        }
        Action::PrevSection => update(state, Action::NextSection),
        _ => no_use(state, action),
    }
}
