//! Which piece of several it is, asked once the fault is kept.

use super::{Flow, any};
use crate::app::Ask;
use crate::tui::popup::Pick;
use crate::tui::state::State;

/// Of a placement of several pieces it is asked which one, once the fault is kept; in the dark that may stay open.
pub(super) fn ask_which(state: &mut State, fault: String, target: &str) -> bool {
    let Some(pieces) = state.faults.page.as_ref().and_then(|p| p.pieces.get(target)).cloned() else {
        return false;
    };
    let flow =
        any(Flow::Which { fault: fault.clone(), pieces: pieces.iter().map(|p| p.0.clone()).collect() });
    let open = ("Not known which".to_owned(), "Enter; x on the fault tells it later".to_owned());
    let rows = std::iter::once(open).chain(pieces).collect();
    state.popups.push(Pick::letters(format!("{fault} is logged. Which one?"), rows, flow));
    true
}

/// A fault just logged is the marked one, whatever was marked before.
pub fn after_deed(state: &mut State, ask: &Ask, said: &str) {
    let code = said.strip_prefix("Logged ").and_then(|s| s.split(':').next());
    if let (Ask::LogFault(new), Some(code)) = (ask, code) {
        state.faults.want = Some(code.to_owned());
        state.faults.bench = false;
        ask_which(state, code.to_owned(), &new.target);
    }
}
