//! Today: will it be ready, what can be done now, what is in the way.
//!
//! Not here: odds and alarms (`app`).

pub mod flow;
pub mod state;
pub mod view;

pub use flow::{Flow, after_deed, answer, ask_files, ask_prop, asks_prop, line_refused, paste_lines};
pub use state::{Marked, TodayState};

use super::{no_use, walk};
use crate::answers::view::{Aim, Alarm, ScreenId};
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
    match action {
        Action::OpenRow => match state.today.line() {
            Some(Marked::Next(next)) => {
                let key = next.key.clone();
                walk::go_to_step(state, key, None)
            }
            Some(Marked::Ready(place)) => {
                let key = place.key.clone();
                walk::go_to_step(state, key, None)
            }
            Some(Marked::Alarm(alarm)) => {
                let alarm = alarm.clone();
                open_alarm(state, alarm)
            }
            None if state.frame.empty => flow::ask_date(state),
            None => state.refuse("Nothing is in the way and nothing is ready; 2 shows the checklist"),
        },
        Action::NextSection => {
            let Some(page) = &state.today.page else { return Vec::new() };
            let first = usize::from(page.next.is_some());
            let ready = first + page.alarms.len();
            state.today.at = if state.today.at < ready && !page.ready.is_empty() { ready } else { 0 };
            Vec::new()
        }
        Action::PrevSection => update(state, Action::NextSection),
        _ => no_use(state, action),
    }
}

/// Goes to the very thing that stands in the way, and says its remedy.
fn open_alarm(state: &mut State, alarm: Alarm) -> Vec<Effect> {
    let screen = alarm.screen;
    let effects = match alarm.aim {
        Aim::Step(key, phase) if screen == ScreenId::Walk => {
            let effects = walk::go_to_step(state, key, phase);
            state.visit = phase.is_some();
            effects
        }
        Aim::Apart(list) => return flow::ask_which(state, list),
        Aim::Phase(phase) => {
            walk::show_phase(state, Some(phase));
            state.visit = true;
            go(state, screen)
        }
        aim => {
            state.aim = Some(aim);
            go(state, screen)
        }
    };
    state.say(alarm.remedy);
    effects
}
