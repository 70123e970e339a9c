//! The keys that work here, as a list that is found in by letters.

use super::effect::Effect;
use super::popup::{Flow, Pick, Popup};
use super::state::State;

/// The keys that work here, found in by letters; Enter does what the marked one does. Line by line they are read.
pub(super) fn show_help(state: &mut State) -> Vec<Effect> {
    let help = state.keymap.help(state.mode());
    let over = !state.popups.is_empty();
    let title =
        if over { "Keys in this list".to_owned() } else { format!("Keys on {}", state.screen.name()) };
    if state.lines || over {
        let lines = help.into_iter().map(|(_, keys, help)| (keys, help.to_owned())).collect();
        state.popups.push(Popup::read(title, lines));
        return Vec::new();
    }
    let actions = help.iter().map(|(action, ..)| (*action, None)).collect();
    let wide = help.iter().map(|(_, keys, _)| keys.chars().count()).max().unwrap_or(0);
    let rows =
        help.into_iter().map(|(_, keys, help)| (format!("{keys:<wide$}  {help}"), String::new())).collect();
    let title = format!("{title}: letters find, Enter does it");
    state.open(Pick::letters(title, rows, Flow::Command(actions)))
}
