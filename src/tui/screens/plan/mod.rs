//! Plan: the timeline by day and person, what has no place in it, and its figures.
//!
//! Not here: the planning itself (`planner`).

mod bars;
pub mod days;
pub mod flow;
pub mod month;
pub mod state;
pub mod view;

pub use flow::{Flow, answer};
pub use state::{Part, PlanState};

use super::{no_use, walk};
use crate::app::Ask;
use crate::domain::Phase;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::listing::{moved, turned};
use crate::tui::popup::Popup;
use crate::tui::state::State;

/// An action on Plan.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    match action {
        Action::NextSection | Action::PrevSection => {
            state.plan.part = turned(&Part::ALL, state.plan.part, action == Action::NextSection);
            state.plan.row = 0;
            return Vec::new();
        }
        Action::ChoosePhase => return walk::choose_phase(state),
        Action::KeepPlan => return keep(state),
        Action::AddSession => return flow::ask_session(state),
        Action::HoldPlacement => return flow::ask_hold(state),
        _ => {}
    }
    if state.plan.part == Part::Month && matches!(action, Action::MoveUp | Action::MoveDown) {
        return turn_session(state, action == Action::MoveDown);
    }
    if !matches!(state.plan.part, Part::Days | Part::Month) {
        let page = state.plan.page.as_ref();
        let rows = match state.plan.part {
            Part::Unplaced => page.map_or(0, |p| p.unplaced.len()),
            _ => page.map_or(0, |p| view::figures(p, usize::from(state.size.0)).len()),
        };
        if let Some(row) = moved(state.plan.row, rows, action) {
            state.plan.row = row;
            return Vec::new();
        }
        if action == Action::OpenRow && state.plan.part == Part::Unplaced {
            return open_unplaced(state);
        }
        return no_use(state, action);
    }
    let count = state.plan.steps().count();
    if let Some(at) = moved(state.plan.at, count, action) {
        state.plan.at = at;
        state.plan.bare = None;
        return Vec::new();
    }
    match action {
        Action::MoveLeft | Action::MoveRight => turn_session(state, action == Action::MoveRight),
        Action::AddForecast
        | Action::MoveSession
        | Action::SessionPeople
        | Action::DropSession
        | Action::EditField
        | Action::WhatIf => match state.plan.session().cloned() {
            Some(session) => flow::ask_of_session(state, action, &session),
            None => match state.plan.page.as_ref().and_then(|p| p.next_session.clone()) {
                Some(next) => {
                    state.refuse(format!("No session is shown here; the next is {next}, p shows its phase"))
                }
                None => state.refuse("There is no session yet; n adds one"),
            },
        },
        Action::OpenRow if state.plan.part == Part::Month => {
            state.plan.part = Part::Days;
            Vec::new()
        }
        Action::OpenRow => {
            let Some((_, step)) = state.plan.step().filter(|_| state.plan.bare.is_none()) else {
                return state.refuse("There is no step here; p chooses another phase");
            };
            let mut lines: Vec<_> = step.why.iter().map(|w| ("why".to_owned(), w.clone())).collect();
            if lines.is_empty() {
                lines.push((
                    "why".to_owned(),
                    "nothing forces it: it stands where it saves way and time".to_owned(),
                ));
            }
            let title = format!("{}: {}", step.title, step.prop);
            state.open(Popup::read(title, lines))
        }
        _ => no_use(state, action),
    }
}

/// Why a step has no place, and what would give it one.
fn open_unplaced(state: &mut State) -> Vec<Effect> {
    let row = state.plan.page.as_ref().and_then(|p| p.unplaced.get(state.plan.row)).cloned();
    let Some(row) = row else { return state.refuse("Every step has its place") };
    let lines = vec![("why".to_owned(), row.why), ("remedy".to_owned(), row.remedy)];
    state.open(Popup::read(row.title, lines))
}

fn keep(state: &mut State) -> Vec<Effect> {
    let word = state.plan.page.as_ref().map(|p| p.phase.clone()).unwrap_or_default();
    if word == Phase::Tonight.as_str() {
        return state.refuse("A round has no plan to keep; p chooses a phase with sessions");
    }
    match walk::PHASES.iter().find(|(_, name, _)| *name == word) {
        Some((phase, ..)) => vec![Effect::Perform(Ask::KeepPlan { phase: *phase })],
        None => state.refuse("There is no plan to keep yet"),
    }
}

/// Goes to the session before or after, one without steps too.
fn turn_session(state: &mut State, on: bool) -> Vec<Effect> {
    let sessions = state.plan.page.as_ref().map(|p| p.sessions.as_slice()).unwrap_or_default();
    let here = state.plan.session().and_then(|s| sessions.iter().position(|x| x.code == s.code)).unwrap_or(0);
    let to = if on { Some(here + 1) } else { here.checked_sub(1) };
    let Some(session) = to.and_then(|at| sessions.get(at)) else {
        return state.refuse(if on { "This is the last session" } else { "This is the first session" });
    };
    let code = session.code.clone();
    let first = state.plan.steps().position(|(s, _)| s.code == code);
    match first {
        Some(at) => {
            state.plan.at = at;
            state.plan.bare = None;
        }
        None => state.plan.bare = Some(code),
    }
    Vec::new()
}

/// A deed is on disk: finish and odds before it stay beside those after it.
pub fn after_deed(state: &mut State, ask: &Ask) {
    let moves = matches!(
        ask,
        Ask::AddSession { .. }
            | Ask::MoveSession { .. }
            | Ask::SessionPeople { .. }
            | Ask::DropSession { .. }
            | Ask::Forecast { .. }
            | Ask::HoldPlacement { .. }
            | Ask::Undo
            | Ask::Redo
    );
    state.plan.before = match &state.plan.page {
        Some(page) if moves => {
            // Deeds in quick succession: the odds known last stand for those not computed in between.
            let last = state.plan.before.take().and_then(|(_, odds)| odds);
            Some((page.finish.clone(), page.odds.clone().or(last)))
        }
        _ => None,
    };
}

/// The steps as a list to find in.
pub fn finds(state: &State) -> Vec<(String, String)> {
    state
        .plan
        .steps()
        .map(|(session, step)| {
            (format!("{}: {}", step.prop, step.deed), format!("{}  {}", session.day, step.place))
        })
        .collect()
}
