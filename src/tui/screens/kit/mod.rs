//! Kit: all that is owned; find anything, read its page, change a field.
//!
//! Not here: what a field takes (`app`).

pub mod state;
pub mod view;

pub use state::State;

use super::super::state::State as Tui;
use super::no_use;
use crate::app::Ask;
use crate::app::view::KitKind;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::popup::{Answer, Flow as Any, Pick, Popup, Prompt, Reading};

/// What Kit asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    Which { table: &'static str, id: uuid::Uuid },
    Field { table: &'static str, id: uuid::Uuid, column: String },
}

/// An action on Kit.
pub fn update(state: &mut Tui, action: Action) -> Vec<Effect> {
    if state.kit.list.step(action) {
        return Vec::new();
    }
    let Some(row) = state.kit.row().cloned() else {
        let empty = state.kit.page.as_ref().is_none_or(|p| p.rows.is_empty());
        state.refuse(if empty {
            "Nothing is owned yet; import a file first"
        } else {
            "Nothing matches; Esc shows all"
        });
        return Vec::new();
    };
    match action {
        Action::OpenRow => {
            let title = format!("{}  {}", row.code, row.name);
            state.popups.push(Popup::Reading(Reading { title, lines: row.page, top: 0 }));
            Vec::new()
        }
        Action::EditField if row.fields.is_empty() => {
            state.refuse(format!("{} has no field that can be changed here", row.code));
            Vec::new()
        }
        Action::EditField => {
            let rows = row.fields.iter().map(|f| (f.column.replace('_', " "), f.text.clone())).collect();
            let flow = Any::Kit(Flow::Which { table: table(row.kind), id: row.id });
            state.popups.push(Pick::digits(format!("Change which field of {}?", row.code), rows, flow));
            Vec::new()
        }
        _ => no_use(state, action),
    }
}

/// Takes an answer to what Kit asked.
pub fn answer(state: &mut Tui, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Which { table, id } => {
            let row = state.kit.page.as_ref().and_then(|p| p.rows.iter().find(|r| r.id == id));
            let field = answer.row().and_then(|at| row?.fields.get(at).cloned());
            if let Some(field) = field {
                let title = field.column.replace('_', " ");
                let flow = Any::Kit(Flow::Field { table, id, column: field.column.to_owned() });
                state.popups.push(Prompt::with(title, field.takes, &field.text, flow));
            }
            Vec::new()
        }
        Flow::Field { table, id, column } => {
            let text = match answer {
                Answer::Text(text) => text.trim().to_owned(),
                Answer::Row(_) => return Vec::new(),
            };
            vec![Effect::Perform(Ask::Edit { table, id, column, text })]
        }
    }
}

/// The table of a kind, as the facts name it.
const fn table(kind: KitKind) -> &'static str {
    kind.word()
}
