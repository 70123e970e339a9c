//! Totes: what is where; put in, taken out, counted.
//!
//! Not here: what goes into which tote (`packing`).

pub mod state;
pub mod view;

pub use state::TotesState;

use super::no_use;
use crate::app::{Ask, lot_of};
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::form;
use crate::tui::popup::{Answer, Flow as Any, Pick, Popup, Prompt};
use crate::tui::state::State;
use crate::tui::widgets::text::counted;

/// What Totes asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    /// Labels, one after another, into a tote by its code.
    Put {
        tote: String,
    },
    Take,
    Count {
        tote: String,
    },
    Pack,
}

/// An action on Totes.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    if state.totes.list.step(action) {
        return Vec::new();
    }
    let code = state.totes.row().map(|r| r.code.clone());
    match (action, code) {
        (Action::OpenRow, Some(_)) => {
            if let Some(row) = state.totes.row() {
                let lines =
                    row.contents.iter().map(|(code, name, now)| (code.clone(), format!("{name}: {now}")));
                let notes = row.notes.iter().map(|n| ("note".to_owned(), n.clone()));
                let title = format!("{}  {}, {}", row.code, row.name, row.stands);
                let lines = lines.chain(notes).collect();
                state.popups.push(Popup::read(title, lines));
            }
        }
        (Action::ShowMap, Some(_)) => state.totes.map = !state.totes.map,
        (Action::EditField, Some(tote)) => return form::of("container", tote),
        (Action::PutPiece, Some(tote)) => ask_put(state, tote),
        (Action::TakePiece, _) => {
            let takes = format!("labels, one or several: {}", labels(state, 2).join(" "));
            state.popups.push(Prompt::ask("Take out which pieces?", takes, Any::Totes(Flow::Take)));
        }
        (Action::CountTote, Some(tote)) => {
            let title = format!("Count {tote}: what is missing?");
            let own = labels(state, 1).join(" ");
            let takes = format!(
                "nothing, where all are there; {own}, where that is missing; +{own}, where it is found beside; TIES=40, so \
                 many of a lot; only +{own}, where a part is counted"
            );
            state.popups.push(Prompt::ask(title, takes, Any::Totes(Flow::Count { tote })));
        }
        (Action::WritePack, _) => {
            return vec![Effect::ShowPacking];
        }
        (
            Action::OpenRow | Action::ShowMap | Action::PutPiece | Action::CountTote | Action::EditField,
            None,
        ) => {
            state.refuse("No tote is told yet; + tells one");
        }
        _ => return no_use(state, action),
    }
    Vec::new()
}

/// Shows what packing would move, and asks whether it is taken.
pub fn show_packing(state: &mut State, (moves, into): (usize, Vec<(String, String)>)) {
    if moves == 0 {
        state.say("Every piece lives where packing would put it");
        return;
    }
    let take = ("Take it".to_owned(), "every piece gets its tote; u takes it back".to_owned());
    let leave = ("Leave it".to_owned(), "nothing changes".to_owned());
    let rows = [take, leave].into_iter().chain(into).collect();
    let title = format!(
        "Totes by room, weight, place and first use: {} would move",
        counted(moves, "piece", "pieces")
    );
    state.popups.push(Pick::digits(title, rows, Any::Totes(Flow::Pack)));
}

/// Labels of what lives in the marked tote, else of anything, to show how they are told.
fn labels(state: &State, many: usize) -> Vec<String> {
    let rows = state.totes.row().into_iter().chain(state.totes.page.iter().flat_map(|p| &p.rows));
    let own: Vec<String> = rows.flat_map(|r| &r.contents).take(many).map(|c| c.0.clone()).collect();
    if own.is_empty() { vec!["LABEL".to_owned()] } else { own }
}

fn ask_put(state: &mut State, tote: String) {
    let title = format!("Into {tote}: which piece?");
    let takes = "type or scan its label; a tote's label changes the tote; nothing ends";
    state.popups.push(Prompt::ask(title, takes, Any::Totes(Flow::Put { tote })));
}

/// Takes an answer to what Totes asked.
pub fn answer(state: &mut State, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Put { tote } => {
            let Some(text) = answer.text() else {
                state.totes.scanning = None;
                return Vec::new();
            };
            let rows = state.totes.page.iter().flat_map(|p| &p.rows);
            if let Some(other) = rows.map(|r| &r.code).find(|c| c.eq_ignore_ascii_case(&text)).cloned() {
                ask_put(state, other);
                return Vec::new();
            }
            state.totes.scanning = Some(tote.clone());
            vec![Effect::Perform(Ask::PutInto { tote, pieces: words(&text) })]
        }
        Flow::Take => match answer.text() {
            Some(text) => vec![Effect::Perform(Ask::TakeOut { pieces: words(&text) })],
            None => Vec::new(),
        },
        Flow::Count { tote } => {
            let mut all = words(&answer.text().unwrap_or_default());
            let part = all.first().is_some_and(|w| w.eq_ignore_ascii_case("only"));
            all.drain(..usize::from(part));
            let lots = all.iter().filter_map(|w| lot_of(w)).collect();
            all.retain(|w| lot_of(w).is_none());
            let (found, missing): (Vec<String>, Vec<String>) =
                all.into_iter().partition(|w| w.starts_with('+'));
            let found = found.iter().map(|w| w.trim_start_matches('+').to_owned()).collect();
            vec![Effect::Perform(Ask::CountTote { tote, missing, found, part, lots })]
        }
        Flow::Pack if answer.row() == Some(0) => vec![Effect::Perform(Ask::WritePack)],
        Flow::Pack => state.say("Nothing was moved"),
    }
}

/// Asks for the next label while labels are scanned.
pub fn after_deed(state: &mut State, ask: &Ask) {
    if let (Ask::PutInto { .. }, Some(tote)) = (ask, state.totes.scanning.take()) {
        ask_put(state, tote);
    }
}

fn words(text: &str) -> Vec<String> {
    text.split([' ', ',', ';']).filter(|w| !w.is_empty()).map(str::to_owned).collect()
}
