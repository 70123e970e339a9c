//! Kit: all that is owned; find anything, read its page, change it.
//!
//! Not here: the form of a row (`tui::form`).

pub mod state;
pub mod view;

pub use state::State;

use super::super::state::State as Tui;
use super::no_use;
use crate::answers::view::KitKind;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::form;
use crate::tui::popup::{Answer, Flow as Any, Pick, Popup, Reading};

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
pub fn update(state: &mut Tui, action: Action) -> Vec<Effect> {
    match action {
        Action::SortRows => {
            state.kit.sort = state.kit.sort.next();
            state.kit.folded.clear();
            state.kit.refill();
            state.say(format!("Sorted by {}", state.kit.sort.word()));
            return Vec::new();
        }
        Action::GroupRows => {
            state.kit.group = state.kit.group.next();
            state.kit.folded.clear();
            state.kit.refill();
            state.say(format!("Grouped by {}", state.kit.group.word()));
            return Vec::new();
        }
        Action::FilterKind => {
            let many = |kind| state.kit.count(kind);
            let mut rows = vec![("all".to_owned(), many(None).to_string())];
            rows.extend(KINDS.map(|kind| (kind.word().to_owned(), many(Some(kind)).to_string())));
            state.popups.push(Pick::digits("Show which kind?", rows, Any::Kit(Flow::Kind)));
            return Vec::new();
        }
        _ => {}
    }
    if state.kit.list.step(action) {
        return Vec::new();
    }
    let Some(row) = state.kit.row().cloned() else {
        let empty = state.kit.page.as_ref().is_none_or(|p| p.rows.is_empty());
        state.refuse(if empty {
            "Nothing is owned yet; a adds a prop, i on Today brings in a file"
        } else {
            "Nothing matches; Esc shows all"
        });
        return Vec::new();
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
            state.popups.push(Popup::Reading(Reading { title, lines: detail.lines, top: 0 }));
            Vec::new()
        }
        Action::EditField => form::of(row.kind.word(), row.id),
        _ => no_use(state, action),
    }
}

/// Takes an answer to what Kit asked.
pub fn answer(state: &mut Tui, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Kind => {
            let kind = answer.row().and_then(|row| row.checked_sub(1)).and_then(|n| KINDS.get(n).copied());
            state.kit.kind = kind;
            state.kit.refill();
            state.say(
                kind.map_or_else(|| "All kinds show".to_owned(), |k| format!("Only {} rows show", k.word())),
            );
            Vec::new()
        }
    }
}
