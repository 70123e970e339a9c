//! Text that is pasted.

use crate::domain::is_hidden;

use super::action::Action;
use super::effect::Effect;
use super::keymap::Key;
use super::popup::Popup;
use super::screens::today;
use super::state::State;
use super::update::update;

/// Puts pasted text into the field that is typed into; nothing where none is.
pub(super) fn paste(state: &mut State, text: &str) -> Vec<Effect> {
    // Terminals send the end of a line as a carriage return.
    let lines: Vec<String> =
        text.split(['\n', '\r']).map(readable).filter(|l| !l.trim().is_empty()).collect();
    if lines.len() > 1 && state.popups.last().is_some_and(today::asks_prop) {
        return today::paste_lines(state, lines);
    }
    let text = lines.join(" ");
    let types = state.keymap.action(state.mode(), Key::AnyChar).is_some();
    let field = match state.popups.last_mut() {
        Some(Popup::Pick(pick)) => pick.field.as_mut(),
        Some(Popup::Prompt(prompt)) => Some(&mut prompt.field),
        Some(Popup::Form(form)) => form.lines.get_mut(form.at).map(|l| &mut l.field),
        Some(Popup::Find(field)) => Some(field),
        _ => None,
    };
    // The last letter is typed, so that what follows typing follows once.
    let (Some(last), Some(field), true) = (text.chars().last(), field, types) else { return Vec::new() };
    field.insert(text.strip_suffix(last).unwrap_or_default());
    update(state, Action::TypeChar(last))
}

fn readable(text: &str) -> String {
    text.chars().filter(|c| !is_hidden(*c)).collect()
}
