//! Plan: the timeline by day and person, what has no place in it, and its figures.
//!
//! Not here: the planning itself (`planner`).

pub mod state;
pub mod view;

pub use state::{Part, State};

use super::super::state::State as Tui;
use super::{no_use, walk};
use crate::app::Ask;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::listing::moved;
use crate::tui::popup::{Answer, Flow as Any, Pick, Popup, Prompt, Reading};

/// What Plan asks for, with what was answered before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    Forecast { session: String },
    Starts,
    Ends { starts: String },
    People { starts: String, ends: String },
    Lights { starts: String, ends: String, people: Vec<String> },
    HoldCode,
    HoldWhy { code: String },
}

/// An action on Plan.
pub fn update(state: &mut Tui, action: Action) -> Vec<Effect> {
    match action {
        Action::NextSection | Action::PrevSection => {
            state.plan.part = state.plan.part.turned(action == Action::NextSection);
            state.plan.row = 0;
            return Vec::new();
        }
        Action::ChoosePhase => return walk::choose_phase(state),
        Action::KeepPlan => return keep(state),
        Action::AddSession => {
            return push(state, "When does it begin?", "date and time: 2026-10-17 09:00", Flow::Starts);
        }
        Action::HoldPlacement => {
            return push(
                state,
                "Hold which prop back?",
                "its code, as in Kit: bridge-arches",
                Flow::HoldCode,
            );
        }
        _ => {}
    }
    if state.plan.part != Part::Days {
        let page = state.plan.page.as_ref();
        let rows = match state.plan.part {
            Part::Unplaced => page.map_or(0, |p| p.unplaced.len()),
            _ => page.map_or(0, |p| view::figures(p).len()),
        };
        if let Some(row) = moved(state.plan.row, rows, action) {
            state.plan.row = row;
            return Vec::new();
        }
        return no_use(state, action);
    }
    let count = state.plan.steps().count();
    if let Some(at) = moved(state.plan.at, count, action) {
        state.plan.at = at;
        return Vec::new();
    }
    match action {
        Action::MoveLeft | Action::MoveRight => move_session(state, action == Action::MoveRight),
        Action::AddForecast => {
            if let Some((session, day)) = state.plan.step().map(|(s, _)| (s.code.clone(), s.day.clone())) {
                let title = format!("Forecast for {day}");
                push(state, &title, "rain, gust 25 mph, low 31F, frozen", Flow::Forecast { session })
            } else {
                state.refuse("There is no session to forecast for; n adds one");
                Vec::new()
            }
        }
        Action::OpenRow => {
            let Some((_, step)) = state.plan.step() else {
                state.refuse("There is no step here; p chooses another phase");
                return Vec::new();
            };
            let mut lines: Vec<_> = step.why.iter().map(|w| ("why".to_owned(), w.clone())).collect();
            if lines.is_empty() {
                lines.push((
                    "why".to_owned(),
                    "nothing forces it: it stands where it saves way and time".to_owned(),
                ));
            }
            let title = format!("{}: {}", step.title, step.prop);
            state.popups.push(Popup::Reading(Reading { title, lines, top: 0 }));
            Vec::new()
        }
        _ => no_use(state, action),
    }
}

/// Takes an answer to what Plan asked.
pub fn answer(state: &mut Tui, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Forecast { session } => {
            let text = answer.text().unwrap_or_default();
            vec![Effect::Perform(Ask::Forecast { session, text })]
        }
        Flow::Starts => match answer.text() {
            Some(starts) => push(
                state,
                "When does it end?",
                "date and time, or the time alone: 16:30",
                Flow::Ends { starts },
            ),
            None => none(state, "No session added"),
        },
        Flow::Ends { starts } => match answer.text() {
            Some(text) => {
                // A time alone is of the same day.
                let day = starts.split_whitespace().next().unwrap_or_default();
                let ends =
                    if text.contains(' ') || text.contains('T') { text } else { format!("{day} {text}") };
                push(state, "Who comes?", "names with commas, or nothing", Flow::People { starts, ends })
            }
            None => none(state, "No session added"),
        },
        Flow::People { starts, ends } => {
            let text = answer.text().unwrap_or_default();
            let people =
                text.split(',').map(str::trim).filter(|p| !p.is_empty()).map(str::to_owned).collect();
            let rows = vec![
                ("No work lights".to_owned(), "daylight only".to_owned()),
                ("Work lights".to_owned(), "ground work after dark".to_owned()),
            ];
            let flow = Any::Plan(Flow::Lights { starts, ends, people });
            state.popups.push(Pick::digits("Are there work lights?", rows, flow));
            Vec::new()
        }
        Flow::Lights { starts, ends, people } => {
            let work_lights = answer.row() == Some(1);
            vec![Effect::Perform(Ask::AddSession { starts, ends, people, work_lights })]
        }
        Flow::HoldCode => match answer.text() {
            Some(code) => {
                push(state, "Why is it held back?", "a reason; nothing lets it go on", Flow::HoldWhy { code })
            }
            None => none(state, "Nothing held back"),
        },
        Flow::HoldWhy { code } => {
            vec![Effect::Perform(Ask::HoldPlacement { code, why: answer.text() })]
        }
    }
}

fn keep(state: &mut Tui) -> Vec<Effect> {
    let word = state.plan.page.as_ref().map(|p| p.phase.clone()).unwrap_or_default();
    match walk::PHASES.iter().find(|(_, name, _)| *name == word) {
        Some((phase, ..)) => vec![Effect::Perform(Ask::KeepPlan { phase: *phase })],
        None => none(state, "There is no plan to keep yet"),
    }
}

fn move_session(state: &mut Tui, on: bool) -> Vec<Effect> {
    let Some(code) = state.plan.step().map(|(s, _)| s.code.clone()) else { return Vec::new() };
    let mut starts: Vec<(usize, &str)> = Vec::new();
    for (at, (session, _)) in state.plan.steps().enumerate() {
        if starts.last().is_none_or(|(_, c)| *c != session.code) {
            starts.push((at, session.code.as_str()));
        }
    }
    let here = starts.iter().position(|(_, c)| *c == code).unwrap_or(0);
    let to = if on { here + 1 } else { here.saturating_sub(1) };
    match starts.get(to).map(|(at, _)| *at) {
        Some(at) => {
            state.plan.at = at;
            Vec::new()
        }
        None => none(state, "This is the last session with steps"),
    }
}

/// The steps as a list to find in.
pub fn finds(state: &Tui) -> Vec<(String, String)> {
    state
        .plan
        .steps()
        .map(|(session, step)| {
            (format!("{}  {}", step.title, step.prop), format!("{}  {}", session.day, step.place))
        })
        .collect()
}

fn push(state: &mut Tui, title: &str, takes: &str, flow: Flow) -> Vec<Effect> {
    state.popups.push(Prompt::ask(title, takes, Any::Plan(flow)));
    Vec::new()
}

fn none(state: &mut Tui, text: &str) -> Vec<Effect> {
    state.refuse(text);
    Vec::new()
}
