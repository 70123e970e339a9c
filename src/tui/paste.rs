//! Text that is pasted.

use crate::domain::is_hidden;

use super::action::Action;
use super::effect::Effect;
use super::keymap::Key;
use super::popup::Popup;
use super::state::State;
use super::update::update;

/// Puts pasted text into the field that is typed into; nothing where none is.
pub(super) fn paste(state: &mut State, text: &str) -> Vec<Effect> {
    let text: String = text.chars().filter(|c| !is_hidden(*c)).collect();
    let types = state.keymap.action(state.mode(), Key::AnyChar).is_some();
    let field = match state.popups.last_mut() {
        Some(Popup::Pick(pick)) => pick.field.as_mut(),
        Some(Popup::Prompt(prompt)) => Some(&mut prompt.field),
        Some(Popup::Find(field)) => Some(field),
        _ => None,
    };
    // The last letter is typed, so that what follows typing follows once.
    let (Some(last), Some(field), true) = (text.chars().last(), field, types) else { return Vec::new() };
    field.insert(text.strip_suffix(last).unwrap_or_default());
    update(state, Action::TypeChar(last))
}
