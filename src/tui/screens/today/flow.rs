//! What a first-timer is asked: the date, then a line a prop, or a file to bring in.

use crate::answers::view::ScreenId;
use crate::app::Ask;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::popup::{Answer, Flow as Any, Popup, Prompt};
use crate::tui::state::State as Tui;
use crate::tui::update::go;

/// What is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    Date,
    Prop,
    Files,
}

/// What a prop's line takes.
const PROP: &str = "name, how many, where, how mounted; as: Bridge arches, 6, drive edge, timber base. The last ones \
                    may be left out";

/// Asks for the day of lights on; with a season there already, Seasons asks for all of the next one.
pub fn ask_date(state: &mut Tui) -> Vec<Effect> {
    if state.frame.empty || state.frame.season.is_empty() {
        return push(
            state,
            "When do the lights go on?",
            "a date, or date and time: 2026-11-27 17:00",
            Flow::Date,
        );
    }
    let mut effects = go(state, ScreenId::Seasons);
    effects.push(Effect::Run(Action::NewSeason));
    effects
}

/// Asks for one prop; after it for the next, until an empty line.
pub fn ask_prop(state: &mut Tui) -> Vec<Effect> {
    if state.frame.season.is_empty() {
        return push(
            state,
            "First: when do the lights go on?",
            "a date, or date and time: 2026-11-27 17:00",
            Flow::Date,
        );
    }
    push(state, "A prop", PROP, Flow::Prop)
}

/// Asks for what is to be brought in.
pub fn ask_files(state: &mut Tui) -> Vec<Effect> {
    push(state, "Bring in which file or folder?", "a path: /media/stick/props.csv", Flow::Files)
}

/// Takes an answer.
pub fn answer(state: &mut Tui, flow: Flow, answer: Answer) -> Vec<Effect> {
    let Some(text) = answer.text() else {
        state.say(match flow {
            Flow::Prop => "No more props added; 2 walks the checklist",
            Flow::Date => "No date told",
            Flow::Files => "Nothing brought in",
        });
        return Vec::new();
    };
    vec![Effect::Perform(match flow {
        Flow::Date => Ask::NewSeason { code: String::new(), name: String::new(), lights_on: Some(text) },
        Flow::Prop => Ask::AddProp { line: text },
        Flow::Files => Ask::Import { paths: vec![text] },
    })]
}

/// After the date the first prop is asked for, after a prop the next one.
pub fn after_deed(state: &mut Tui, ask: &Ask) {
    let next = match ask {
        Ask::AddProp { .. } => "Next prop; an empty line ends",
        Ask::NewSeason { .. } if state.frame.empty => "The first prop; an empty line ends",
        _ => return,
    };
    state.popups.push(Prompt::ask(next, PROP, Any::Today(Flow::Prop)));
}

fn push(state: &mut Tui, title: &str, takes: &str, flow: Flow) -> Vec<Effect> {
    state.popups.push(Prompt::ask(title, takes, Any::Today(flow)));
    Vec::new()
}

/// Whether a prop is being asked for.
pub fn asks_prop(popup: &Popup) -> bool {
    matches!(popup, Popup::Prompt(p) if p.flow == Any::Today(Flow::Prop))
}
