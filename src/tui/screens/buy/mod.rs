//! Buy: what next year needs, where from, by when.
//!
//! Not here: needs and baskets (`buying`).

pub mod state;
pub mod view;

pub use state::{Part, State};

use super::super::state::State as Tui;
use super::no_use;
use crate::app::Ask;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::listing::moved;
use crate::tui::popup::{Answer, Flow as Any, Popup, Prompt, Reading};

/// What Buy asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    Title,
    Quantity { title: String },
    NeedBy { title: String, quantity: i64 },
}

/// An action on Buy.
pub fn update(state: &mut Tui, action: Action) -> Vec<Effect> {
    match action {
        Action::NextSection | Action::MoveRight | Action::PrevSection | Action::MoveLeft => {
            let on = matches!(action, Action::NextSection | Action::MoveRight);
            state.buy.part = state.buy.part.turned(on);
            state.buy.top = 0;
            return Vec::new();
        }
        Action::AddNeed => {
            let popup = Prompt::ask("What is needed?", "a name: spare lead 12 ft", Any::Buy(Flow::Title));
            state.popups.push(popup);
            return Vec::new();
        }
        _ => {}
    }
    if state.buy.part != Part::Needs {
        let lines = view::lines(&state.buy).len();
        return match moved(state.buy.top, lines, action) {
            Some(top) => {
                state.buy.top = top;
                Vec::new()
            }
            None => no_use(state, action),
        };
    }
    if state.buy.list.step(action) {
        return Vec::new();
    }
    let need = state.buy.list.marked().and_then(|n| state.buy.page.as_ref()?.needs.get(n).cloned());
    match (action, need) {
        (Action::OpenRow, Some(need)) => {
            let mut lines = vec![
                ("quantity".to_owned(), need.quantity.to_string()),
                ("need by".to_owned(), need.need_by),
                ("order by".to_owned(), need.order_by.unwrap_or_else(|| "not known".to_owned())),
                ("from".to_owned(), need.vendor.unwrap_or_else(|| "no offer told".to_owned())),
            ];
            lines.extend(need.reasons.into_iter().map(|r| ("because".to_owned(), r)));
            state.popups.push(Popup::Reading(Reading { title: need.title, lines, top: 0 }));
            Vec::new()
        }
        (Action::OpenRow, None) => {
            state.refuse("There is no need to open; n adds one");
            Vec::new()
        }
        _ => no_use(state, action),
    }
}

/// Takes an answer to what Buy asked.
pub fn answer(state: &mut Tui, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Title => {
            match answer.text() {
                Some(title) => {
                    let flow = Any::Buy(Flow::Quantity { title });
                    state.popups.push(Prompt::ask("How many?", "a number; nothing means 1", flow));
                }
                None => state.say("No need added"),
            }
            Vec::new()
        }
        Flow::Quantity { title } => {
            let text = answer.text().unwrap_or_else(|| "1".to_owned());
            match text.parse::<i64>() {
                Ok(quantity) if quantity > 0 => {
                    let flow = Any::Buy(Flow::NeedBy { title, quantity });
                    state.popups.push(Prompt::ask(
                        "Needed by when?",
                        "a date like 2026-10-12, or nothing",
                        flow,
                    ));
                }
                _ => {
                    if let Some(Popup::Prompt(mut prompt)) = state.asked.take() {
                        prompt.refusal = Some(format!("\"{text}\": a whole number from 1 on is taken"));
                        state.popups.push(Popup::Prompt(prompt));
                    }
                }
            }
            Vec::new()
        }
        Flow::NeedBy { title, quantity } => {
            vec![Effect::Perform(Ask::AddNeed { title, quantity, need_by: answer.text() })]
        }
    }
}
