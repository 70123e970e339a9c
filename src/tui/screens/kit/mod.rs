//! Kit: all that is owned; find anything, read its page, change it.
//!
//! Not here: the form of a row (`tui::form`).

pub mod state;
pub mod view;

pub use state::KitState;

use super::no_use;
use crate::answers::view::KitKind;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::form;
use crate::tui::popup::{Answer, Flow as Any, Pick, Popup};
use crate::tui::state::State;

/// The kinds in the order of their digits.
const KINDS: [KitKind; 7] = [
    KitKind::Piece,
    KitKind::Stock,
    KitKind::Product,
    KitKind::Placement,
    KitKind::Place,
    KitKind::Container,
    KitKind::Person,
];

/// What Kit asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    Kind,
}

/// An action on Kit.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    match action {
        Action::SortRows => {
            state.kit.sort = state.kit.sort.next();
            state.kit.folded.clear();
            state.kit.refill();
            return state.say(format!("Sorted by {}", state.kit.sort.word()));
        }
        Action::GroupRows => {
            state.kit.group = state.kit.group.next();
            state.kit.folded.clear();
            state.kit.refill();
            return state.say(format!("Grouped by {}", state.kit.group.word()));
        }
        Action::FilterKind => {
            let many = |kind| state.kit.count(kind);
            let mut rows = vec![("all".to_owned(), many(None).to_string())];
            rows.extend(KINDS.map(|kind| (kind.said().1.to_owned(), many(Some(kind)).to_string())));
            return state.open(Pick::digits("Show which kind?", rows, Any::Kit(Flow::Kind)));
        }
        _ => {}
    }
    if state.kit.list.step(action) {
        return Vec::new();
    }
    let Some(row) = state.kit.row().cloned() else {
        let empty = state.kit.page.as_ref().is_none_or(|p| p.rows.is_empty());
        return state.refuse(if empty {
            "Nothing is owned yet; a adds a prop, i on Today brings in a file"
        } else {
            "Nothing matches; Esc shows all"
        });
    };
    let folded = state.kit.heads().head(&row).is_some_and(|h| state.kit.folded.contains(h));
    let detail = state.kit.detail().cloned().unwrap_or_default();
    match action {
        Action::MoveLeft | Action::MoveRight => {
            if !state.kit.fold(action == Action::MoveLeft) {
                state.refuse("g groups the rows; ← folds a group away, → opens it");
            }
            Vec::new()
        }
        Action::OpenRow if folded => {
            state.kit.fold(false);
            Vec::new()
        }
        Action::OpenRow => {
            let title = format!("{}  {}", row.code, row.name);
            state.open(Popup::read(title, detail.lines))
        }
        Action::EditField => form::of(row.kind.word(), row.id),
        _ => no_use(state, action),
    }
}

/// Takes an answer to what Kit asked.
pub fn answer(state: &mut State, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Kind => {
            let kind = answer.row().and_then(|row| row.checked_sub(1)).and_then(|n| KINDS.get(n).copied());
            state.kit.kind = kind;
            state.kit.refill();
            state.say(
                kind.map_or_else(
                    || "All kinds show".to_owned(),
                    |k| format!("Shown are only {}", k.said().1),
                ),
            )
        }
    }
}
