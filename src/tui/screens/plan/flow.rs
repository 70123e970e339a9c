//! What Plan asks for, and what an answer does.

use crate::answers::view::PlanSession;
use crate::app::Ask;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::form;
use crate::tui::popup::{Answer, Flow as Any, Pick, Prompt};
use crate::tui::state::State;
use crate::tui::widgets::text::clock;

/// What Plan asks for, with what was answered before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    Forecast {
        session: String,
    },
    Starts,
    Ends {
        starts: String,
    },
    People {
        starts: String,
        ends: String,
    },
    Lights {
        starts: String,
        ends: String,
        people: Vec<String>,
    },
    Move {
        session: String,
    },
    Who {
        session: String,
    },
    /// Which change; the code of the marked prop, where there is one.
    WhatIf {
        session: String,
        prop: Option<String>,
    },
    Helper {
        session: String,
    },
    HoldCode,
    HoldWhy {
        code: String,
    },
}

/// Asks for a new session.
pub fn ask_session(state: &mut State) -> Vec<Effect> {
    push(state, "When does it begin?", "date and time: 2026-10-17 09:00", "", Flow::Starts)
}

/// Asks which prop is held back; the marked one stands there.
pub fn ask_hold(state: &mut State) -> Vec<Effect> {
    let marked = state.plan.step().and_then(|(_, s)| s.placement.clone()).unwrap_or_default();
    let takes = "its code, as in Kit: bridge-arches";
    push(state, "Hold which prop back, or let it go on?", takes, &marked, Flow::HoldCode)
}

/// Asks what is to become of a session.
pub fn ask_of_session(state: &mut State, action: Action, session: &PlanSession) -> Vec<Effect> {
    let code = session.code.clone();
    match action {
        Action::EditField => form::of("session", code),
        Action::AddForecast => {
            let now = session.forecast.clone().unwrap_or_default();
            let title = format!("Forecast for {}", session.day);
            push(state, &title, "rain, gust 25 mph, low 31F, frozen", &now, Flow::Forecast { session: code })
        }
        Action::MoveSession => {
            let now = format!("{} {} to {}", session.date, clock(session.from_min), clock(session.to_min));
            let title = format!("Move the session of {} to", session.day);
            push(
                state,
                &title,
                "date, from and to: 2026-10-17 09:00 to 16:30",
                &now,
                Flow::Move { session: code },
            )
        }
        Action::SessionPeople => {
            let all = state.plan.page.as_ref().map(|p| p.people.join(", ")).unwrap_or_default();
            let title = format!("Who comes on {}?", session.day);
            let takes = format!("names with commas, of {all}; nothing means everybody");
            push(state, &title, &takes, &session.people.join(", "), Flow::Who { session: code })
        }
        Action::DropSession => vec![Effect::Perform(Ask::DropSession { session: code })],
        _ => {
            let prop = state.plan.step().filter(|_| state.plan.bare.is_none()).map(|(_, s)| s.clone());
            let code_of_prop = prop.as_ref().and_then(|p| p.placement.clone());
            let mut rows = vec![
                (
                    "What would help most, of all?".to_owned(),
                    "a date, an evening, a helper, a prop less".to_owned(),
                ),
                (format!("The session of {} falls away", session.day), String::new()),
                (format!("Someone more comes on {}", session.day), String::new()),
            ];
            if let Some(step) = prop.filter(|_| code_of_prop.is_some()) {
                rows.push((format!("{} is left out this year", step.prop), String::new()));
            }
            let flow = Any::Plan(Flow::WhatIf { session: code, prop: code_of_prop });
            state.open(Pick::digits("What if … (nothing is changed)", rows, flow))
        }
    }
}

/// Takes an answer to what Plan asked.
pub fn answer(state: &mut State, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Forecast { session } => {
            let text = answer.text().unwrap_or_default();
            vec![Effect::Perform(Ask::Forecast { session, text })]
        }
        Flow::Starts => match answer.text() {
            Some(starts) => {
                let takes = "date and time, or the time alone: 16:30";
                push(state, "When does it end?", takes, "", Flow::Ends { starts })
            }
            None => state.refuse("No session added"),
        },
        Flow::Ends { starts } => match answer.text() {
            Some(ends) => {
                let takes = "names with commas, or nothing";
                push(state, "Who comes?", takes, "", Flow::People { starts, ends })
            }
            None => state.refuse("No session added"),
        },
        Flow::People { starts, ends } => {
            let people = names(&answer.text().unwrap_or_default());
            let rows = vec![
                ("No work lights".to_owned(), "daylight only".to_owned()),
                ("Work lights".to_owned(), "ground work after dark".to_owned()),
            ];
            let flow = Any::Plan(Flow::Lights { starts, ends, people });
            state.open(Pick::digits("Are there work lights?", rows, flow))
        }
        Flow::Lights { starts, ends, people } => {
            let work_lights = answer.row() == Some(1);
            vec![Effect::Perform(Ask::AddSession { starts, ends, people, work_lights })]
        }
        Flow::Move { session } => match answer.text() {
            Some(text) => {
                let (starts, ends) = match text.split_once(" to ") {
                    Some((starts, ends)) => (starts.trim().to_owned(), Some(ends.trim().to_owned())),
                    None => (text, None),
                };
                vec![Effect::Perform(Ask::MoveSession { session, starts, ends })]
            }
            None => state.refuse("The session stays where it is"),
        },
        Flow::Who { session } => {
            let people = names(&answer.text().unwrap_or_default());
            vec![Effect::Perform(Ask::SessionPeople { session, people })]
        }
        Flow::WhatIf { session, prop } => match (answer.row(), prop) {
            (Some(0), _) => vec![Effect::WhatHelps],
            (Some(1), _) => vec![Effect::WhatIf(format!("without {session}"))],
            (Some(2), _) => push(state, "Who comes too?", "a name: Ann", "", Flow::Helper { session }),
            (_, Some(prop)) => vec![Effect::WhatIf(format!("hold {prop}"))],
            _ => Vec::new(),
        },
        Flow::Helper { session } => match answer.text() {
            Some(name) => vec![Effect::WhatIf(format!("helper {name} in {session}"))],
            None => state.refuse("Nobody named"),
        },
        Flow::HoldCode => match answer.text() {
            Some(code) => {
                let takes = "a reason; nothing lets it go on";
                push(state, "Why is it held back?", takes, "", Flow::HoldWhy { code })
            }
            None => state.refuse("Nothing held back"),
        },
        Flow::HoldWhy { code } => {
            vec![Effect::Perform(Ask::HoldPlacement { code, why: answer.text() })]
        }
    }
}

fn names(text: &str) -> Vec<String> {
    text.split(',').map(str::trim).filter(|p| !p.is_empty()).map(str::to_owned).collect()
}

fn push(state: &mut State, title: &str, takes: &str, text: &str, flow: Flow) -> Vec<Effect> {
    state.open(Prompt::with(title, takes, text, Any::Plan(flow)))
}
