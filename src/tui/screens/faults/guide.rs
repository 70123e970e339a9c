//! The guide by symptom: one thing to try after another, back and forth, until it is found.

use super::{Flow, any};
use crate::answers::view::GuideStep;
use crate::app::Ask;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::popup::Pick;
use crate::tui::state::State;

/// Asks what one thing to try showed; the next follows by itself until it is found, or all was tried.
pub fn ask(state: &mut State, fault: String, about: String, steps: Vec<GuideStep>, at: usize) -> Vec<Effect> {
    let Some(step) = steps.get(at) else {
        if steps.is_empty() {
            state.refuse("There is nothing to try for this symptom; look at it on the bench");
        } else {
            state.say(format!("{fault}: all of the guide was tried; g begins it again"));
        }
        return Vec::new();
    };
    let mut rows: Vec<_> =
        step.results.iter().map(|[_, seen, means]| (seen.clone(), means.clone())).collect();
    rows.push(("Not tried".to_owned(), "nothing is written; the next one".to_owned()));
    rows.push(("Found: it is mended".to_owned(), "asks what it was".to_owned()));
    if at > 0 {
        rows.push(("Back".to_owned(), "to the one before".to_owned()));
    }
    let answered = step.answer.as_ref().map_or_else(String::new, |a| format!(" Before: {a}."));
    let title = format!("{fault} {about}, {} of {}: {}{answered}", at + 1, steps.len(), step.what);
    state.open(Pick::digits(title, rows, any(Flow::Guide { fault, about, steps, at })))
}

/// Takes what one thing to try showed, and goes on.
pub fn answered(
    state: &mut State,
    fault: String,
    about: String,
    steps: Vec<GuideStep>,
    at: usize,
    row: Option<usize>,
) -> Vec<Effect> {
    let Some((step, row)) = steps.get(at).cloned().zip(row) else { return Vec::new() };
    let n = step.results.len();
    if let Some([result, ..]) = step.results.get(row).cloned() {
        ask(state, fault.clone(), about, steps, at + 1);
        return vec![Effect::Perform(Ask::AnswerGuide {
            fault,
            tried: step.code,
            result,
            note: String::new(),
        })];
    }
    match row - n {
        0 => ask(state, fault, about, steps, at + 1),
        1 => vec![Effect::Run(Action::MendFault)],
        _ => ask(state, fault, about, steps, at.saturating_sub(1)),
    }
}
