//! What a first-timer is asked: the date, then a line a prop, or a file to bring in.

use crate::answers::view::{ScreenId, ToldApart};
use crate::app::{Ask, Question};
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::popup::{Answer, Flow as Any, Pick, Popup, Prompt};
use crate::tui::state::State;
use crate::tui::update::go;

/// What is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    Date,
    Prop,
    Files,
    /// A question of the start.
    Start(Question),
    /// Which of these to decide.
    Which(Vec<ToldApart>),
    /// Which of its values is right.
    Decide(ToldApart),
}

/// What a prop's line takes.
const PROP: &str = "a line as it comes: 8 boat cut-outs, 50 pixels, 5 V, path left, zip-tied; all but the name may be \
                    left out, many lines may be pasted";

/// Begins with the questions of the start; with a season there already, Seasons asks for all of the next one.
pub fn ask_date(state: &mut State) -> Vec<Effect> {
    if state.frame.empty || state.frame.season.is_empty() {
        return vec![Effect::Start(None)];
    }
    let mut effects = go(state, ScreenId::Seasons);
    effects.push(Effect::Run(Action::NewSeason));
    effects
}

/// Asks for one prop; after it for the next, until an empty line.
pub fn ask_prop(state: &mut State) -> Vec<Effect> {
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
pub fn ask_files(state: &mut State) -> Vec<Effect> {
    push(
        state,
        "Bring in which file or folder?",
        "a path: /media/stick/props.csv; then, where a title is not understood: ; Zeug=name; Ort=where",
        Flow::Files,
    )
}

/// Asks which of the things that copies told apart is to be decided; where there is one, which value is right.
pub fn ask_which(state: &mut State, mut list: Vec<ToldApart>) -> Vec<Effect> {
    if list.len() == 1 {
        return list.pop().map_or_else(Vec::new, |one| ask_value(state, one));
    }
    let rows = list.iter().map(|t| (t.what.clone(), format!("{} values", t.values.len()))).collect();
    state.open(Pick::digits("Told differently: which to decide", rows, Any::Today(Flow::Which(list))))
}

fn ask_value(state: &mut State, one: ToldApart) -> Vec<Effect> {
    let shown = |text: &str| if text.is_empty() { "nothing".to_owned() } else { text.to_owned() };
    let rows = one.values.iter().map(|(value, who)| (shown(value), who.clone())).collect();
    state.open(Pick::digits(format!("Right is, {}", one.what), rows, Any::Today(Flow::Decide(one))))
}

/// Takes an answer.
pub fn answer(state: &mut State, flow: Flow, answer: Answer) -> Vec<Effect> {
    match (&flow, answer.row()) {
        (Flow::Which(list), Some(row)) => {
            return list.get(row).map_or_else(Vec::new, |one| ask_value(state, one.clone()));
        }
        (Flow::Decide(one), Some(row)) => {
            let decide = one
                .values
                .get(row)
                .map(|(value, _)| Ask::DecideConflict { code: one.code.clone(), value: value.clone() });
            return decide.map(Effect::Perform).into_iter().collect();
        }
        _ => {}
    }
    let text = answer.text();
    if asks(&flow) && !state.today.pasted.is_empty() {
        // The first line of what was pasted stands in the field: corrected, or left out.
        match text {
            Some(text) => {
                if let Some(line) = state.today.pasted.first_mut() {
                    *line = text;
                }
            }
            None => {
                state.today.pasted.remove(0);
            }
        }
        return add_lines(state, &flow);
    }
    let Some(text) = text else {
        if let Flow::Start(question) = flow {
            return vec![Effect::Start(Some(question))];
        }
        return state.say(match flow {
            Flow::Prop => "No more props added; 2 walks the checklist",
            Flow::Date => "No date told",
            _ => "Nothing brought in",
        });
    };
    let ask = match flow {
        Flow::Date => Ask::NewSeason { code: String::new(), name: String::new(), lights_on: Some(text) },
        Flow::Prop => Ask::AddProp { line: text },
        Flow::Files => {
            let mut parts = text.split(';').map(|p| p.trim().to_owned());
            Ask::Import { paths: parts.next().into_iter().collect(), columns: parts.collect() }
        }
        Flow::Start(question) => {
            return vec![
                Effect::Perform(Ask::Start { question, text }),
                Effect::Start(Some(again(question))),
            ];
        }
        // Picked, never typed.
        Flow::Which(_) | Flow::Decide(_) => return Vec::new(),
    };
    vec![Effect::Perform(ask)]
}

/// A prop is asked for again after a prop: it follows the ladders.
const fn again(question: Question) -> Question {
    match question {
        Question::Prop => Question::Ladders,
        other => other,
    }
}

/// Whether a flow asks for props.
const fn asks(flow: &Flow) -> bool {
    matches!(flow, Flow::Prop | Flow::Start(Question::Prop))
}

/// Whether a prop is being asked for.
pub fn asks_prop(popup: &Popup) -> bool {
    matches!(popup, Popup::Prompt(p) if matches!(&p.flow, Any::Today(flow) if asks(flow)))
}

/// Lines pasted where a prop is asked for: each is one.
pub fn paste_lines(state: &mut State, lines: Vec<String>) -> Vec<Effect> {
    let Some(Popup::Prompt(prompt)) = state.popups.pop() else { return Vec::new() };
    let Any::Today(flow) = prompt.flow else { return Vec::new() };
    state.today.pasted = lines;
    add_lines(state, &flow)
}

fn add_lines(state: &mut State, flow: &Flow) -> Vec<Effect> {
    state.asked = None;
    state.today.lines_of = Some(flow.clone());
    let lines = state.today.pasted.iter().cloned();
    let guided = matches!(flow, Flow::Start(_));
    let mut effects: Vec<Effect> = lines
        .map(|line| match flow {
            Flow::Start(question) => Ask::Start { question: *question, text: line },
            _ => Ask::AddProp { line },
        })
        .map(Effect::Perform)
        .collect();
    if guided {
        effects.push(Effect::Start(Some(Question::Ladders)));
    } else if effects.is_empty() {
        state.say("No more props added; 2 walks the checklist");
    }
    effects
}

/// After the date the first prop is asked for, after a prop the next one.
pub fn after_deed(state: &mut State, ask: &Ask) {
    let line = matches!(ask, Ask::AddProp { .. } | Ask::Start { question: Question::Prop, .. });
    if line && !state.today.pasted.is_empty() {
        state.today.pasted.remove(0);
        if !state.today.pasted.is_empty() {
            return;
        }
    }
    let next = match ask {
        Ask::AddProp { .. } => "Next prop; an empty line ends",
        Ask::NewSeason { .. } if state.frame.empty => "The first prop; an empty line ends",
        _ => return,
    };
    state.popups.push(Prompt::ask(next, PROP, Any::Today(Flow::Prop)));
}

/// A pasted line was refused: it is asked for again, with all that follow it; false where none was.
pub fn line_refused(state: &mut State, why: &str) -> bool {
    let (Some(line), Some(flow)) = (state.today.pasted.first().cloned(), state.today.lines_of.clone()) else {
        return false;
    };
    let left = state.today.pasted.len();
    let title = format!("This line is not taken ({left} left); an empty line leaves it out");
    let mut popup = Prompt::with(title, PROP, &line, Any::Today(flow));
    if let Popup::Prompt(prompt) = &mut popup {
        prompt.refusal = Some(why.to_owned());
    }
    state.popups.push(popup);
    true
}

fn push(state: &mut State, title: &str, takes: &str, flow: Flow) -> Vec<Effect> {
    state.open(Prompt::ask(title, takes, Any::Today(flow)))
}
