//! Power: circuit, supply, port, prop with their loads; voltage along a string; what was found.
//!
//! Not here: the sums (`calc`), what is drawn as a curve from figures not told (nothing is).

pub mod curve;
pub mod flow;
mod found;
pub mod state;
pub mod view;

pub use flow::{Flow, answer};
pub use state::{Part, PowerState};

use super::no_use;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::listing::{moved, turned};
use crate::tui::popup::Popup;
use crate::tui::state::State;

/// An action on Power.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    if state.power.part == Part::Tree {
        let shown = state.power.shown();
        let here = shown.iter().position(|n| *n == state.power.at).unwrap_or(0);
        if let Some(to) = moved(here, shown.len(), action).and_then(|n| shown.get(n).copied()) {
            state.power.at = to;
            return Vec::new();
        }
        if matches!(action, Action::MoveLeft | Action::MoveRight) {
            if !state.power.fold(action == Action::MoveLeft) {
                state.refuse("← folds what hangs on a row, → opens it; Tab goes to the next part");
            }
            return Vec::new();
        }
    } else if let Some(at) = moved(state.power.at, state.power.rows(), action) {
        state.power.at = at;
        return Vec::new();
    }
    match action {
        Action::NextSection | Action::MoveRight | Action::PrevSection | Action::MoveLeft => {
            let on = matches!(action, Action::NextSection | Action::MoveRight);
            state.power.part = turned(&Part::ALL, state.power.part, on);
            state.power.at = 0;
            Vec::new()
        }
        Action::OpenRow => open(state),
        Action::TryChange => flow::try_change(state),
        Action::ProposeNumbers => flow::propose(state),
        Action::WriteNumbers => flow::write(state),
        _ => no_use(state, action),
    }
}

fn open(state: &mut State) -> Vec<Effect> {
    let Some(page) = &state.power.page else { return Vec::new() };
    match state.power.part {
        Part::Findings => {
            let Some(found) = page.findings.get(state.power.at) else {
                return state.refuse("Nothing was found; Tab shows loads and voltages");
            };
            let mut lines = vec![
                ("at".to_owned(), found.place.clone()),
                ("is".to_owned(), found.measured()),
                ("remedy".to_owned(), found.remedy.clone()),
            ];
            lines.extend(found.caution.iter().map(|c| ("caution".to_owned(), c.clone())));
            lines.extend(page.not_told.iter().map(|text| ("not known".to_owned(), text.clone())));
            state.popups.push(Popup::read(found.what.clone(), lines));
        }
        Part::Tree => open_node(state),
        Part::Voltage => {
            state.refuse("Tab shows the findings with their remedies");
        }
        Part::Numbers => {
            state.refuse("n proposes numbers, k writes what is proposed");
        }
        Part::Tried => {
            state.refuse("w tries something, or goes back to the facts");
        }
    }
    Vec::new()
}

/// The finding at a row of the tree, else the voltage along its prop.
fn open_node(state: &mut State) {
    let Some(page) = &state.power.page else { return };
    let Some(node) = page.nodes.get(state.power.at) else {
        state.refuse("No circuit, box or supply is told; Tab shows all findings");
        return;
    };
    let code = node.lead.as_ref().unwrap_or(&node.code);
    let named = |place: &str| {
        let is_code = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '/');
        place.split(|c| !is_code(c)).any(|word| word == code)
    };
    let found = page.findings.iter().position(|f| !code.is_empty() && named(&f.place));
    let string = page.strings.iter().position(|s| node.kind == "prop" && s.code == *code);
    match (found, string) {
        (Some(at), _) => (state.power.part, state.power.at) = (Part::Findings, at),
        (None, Some(at)) => (state.power.part, state.power.at) = (Part::Voltage, at),
        (None, None) => {
            state.refuse("Nothing was found at this row; Tab shows all findings");
        }
    }
}

/// All rows of all parts as a list to find in: loads, then findings.
pub fn finds(state: &State) -> Vec<(String, String)> {
    let Some(page) = &state.power.page else { return Vec::new() };
    let nodes =
        page.nodes.iter().map(|n| (format!("{}  {}", n.code, n.name), format!("{}  {}", n.kind, n.load)));
    let findings = page.findings.iter().map(|f| (f.what.clone(), format!("finding  {}", f.place)));
    nodes.chain(findings).collect()
}

/// Goes to a row of [`finds`].
pub fn jump(state: &mut State, row: usize) {
    let nodes = state.power.page.as_ref().map_or(0, |p| p.nodes.len());
    (state.power.part, state.power.at) =
        if row < nodes { (Part::Tree, row) } else { (Part::Findings, row - nodes) };
}

/// Code and words of the marked row.
pub fn copied(state: &State) -> Option<(String, String)> {
    let (page, at) = (state.power.page.as_ref()?, state.power.at);
    match state.power.part {
        Part::Findings => page
            .findings
            .get(at)
            .map(|f| (f.code.clone(), format!("{}: {}: {}; {}", f.place, f.what, f.measured(), f.remedy))),
        Part::Tree => {
            page.nodes.get(at).map(|n| (n.code.clone(), format!("{}  {}: {}", n.code, n.name, n.load)))
        }
        Part::Voltage => page.strings.get(at).map(|s| (s.code.clone(), s.name.clone())),
        Part::Numbers => {
            page.numbers.get(at).map(|n| (n.lead.clone(), format!("{}: {} to {}", n.name, n.first, n.last)))
        }
        Part::Tried => tried_copied(page, at),
    }
}

fn tried_copied(page: &crate::answers::view::Power, at: usize) -> Option<(String, String)> {
    state::tried_lines(page).into_iter().nth(at).map(|row| (row.join("  "), row.join("  ")))
}
