//! Seasons: past years, planned against taken, open and close a year.
//!
//! Not here: comparisons (`stats`).

pub mod state;
pub mod view;

pub use state::{Part, SeasonsState};

use super::no_use;
use crate::app::Ask;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::form;
use crate::tui::listing::{moved, turned};
use crate::tui::popup::{Answer, Flow as Any, Pick, Popup, Prompt};
use crate::tui::state::State;
use crate::tui::widgets::text::minutes;

/// What Seasons asks for, with what was answered before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    Code,
    Name {
        code: String,
    },
    LightsOn {
        code: String,
        name: String,
    },
    /// Codes of the seasons that can be closed.
    Close {
        codes: Vec<String>,
    },
    /// Which season opens with the close.
    Next {
        code: String,
        keep: Option<bool>,
    },
    /// Whether what was done differently stays.
    Keep {
        code: String,
    },
}

/// An action on Seasons.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    if let Some(at) = moved(state.seasons.at, state.seasons.len(), action) {
        state.seasons.at = at;
        return Vec::new();
    }
    match action {
        Action::NextSection | Action::MoveRight | Action::PrevSection | Action::MoveLeft => {
            let on = matches!(action, Action::NextSection | Action::MoveRight);
            state.seasons.part = turned(&Part::ALL, state.seasons.part, on);
            state.seasons.at = state.seasons.first();
            Vec::new()
        }
        Action::NewSeason => {
            let takes = "a short code with the year: winter-2026";
            state.open(Prompt::ask("New season: its code", takes, any(Flow::Code)))
        }
        Action::CloseSeason => {
            // What is over comes first, of that the marked one.
            let here = state.seasons.row().map(|r| r.code.as_str());
            let rows = state.seasons.page.iter().flat_map(|p| &p.rows);
            let mut open: Vec<_> = rows.filter(|r| r.state != "closed").collect();
            open.sort_by_key(|r| (r.state != "to close", Some(r.code.as_str()) != here));
            let codes: Vec<String> = open.iter().map(|r| r.code.clone()).collect();
            let rows = open.iter().map(|r| (r.name.clone(), r.state.clone())).collect();
            if codes.is_empty() {
                state.refuse("No season is open");
            } else {
                state.popups.push(Pick::digits("Close which season?", rows, any(Flow::Close { codes })));
            }
            Vec::new()
        }
        Action::SwitchSeason => match state.seasons.row().map(|r| r.code.clone()) {
            Some(code) => vec![Effect::SwitchSeason(code)],
            None => no_use(state, action),
        },
        Action::EditField => {
            if let Some(row) = state.seasons.row() {
                return form::of("season", &row.code);
            }
            no_row(state)
        }
        // The figures behind the bars, from the first one that shows.
        Action::OpenRow if state.seasons.part == Part::Rates && !state.seasons.is_empty() => {
            let bars = state.seasons.page.iter().flat_map(|p| &p.bars).skip(state.seasons.at);
            let told = bars.filter(|b| !b.note.is_empty());
            let lines = told.map(|b| (b.name.clone(), format!("{}; {}", b.text, b.note))).collect();
            state.open(Popup::read("Failures in figures", lines))
        }
        Action::OpenRow => {
            let Some(row) = state.seasons.row() else {
                return no_row(state);
            };
            let lines = vec![
                ("lit".to_owned(), row.lit.clone()),
                ("props".to_owned(), row.placements.to_string()),
                ("ticks".to_owned(), format!("{} of steps done", row.steps_done)),
                ("planned".to_owned(), minutes(row.planned_min)),
                ("taken".to_owned(), minutes(row.taken_min)),
                ("faults".to_owned(), row.faults.to_string()),
                ("state".to_owned(), row.state.clone()),
            ];
            let title = row.name.clone();
            state.open(Popup::read(title, lines))
        }
        _ => no_use(state, action),
    }
}

/// What is refused where no season is marked: on another part, or as there is none.
fn no_row(state: &mut State) -> Vec<Effect> {
    state.refuse(match state.seasons.part {
        Part::Years => "There is no season yet; n makes one",
        _ => "This part is to read; Tab goes to the seasons, there it acts on the marked one",
    })
}

/// Takes an answer to what Seasons asked.
pub fn answer(state: &mut State, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Code => {
            match answer.text() {
                Some(code) => {
                    let takes = "as it shows on screen; left empty it is made of the code: Winter 2026";
                    state.popups.push(Prompt::ask("New season: its name", takes, any(Flow::Name { code })));
                }
                None => {
                    state.say("No season added");
                }
            }
            Vec::new()
        }
        Flow::Name { code } => {
            let name = answer.text().unwrap_or_default();
            let takes = "date and time: 2026-11-27 17:00; left empty it stays open";
            state.open(Prompt::ask("Lights on, when?", takes, any(Flow::LightsOn { code, name })))
        }
        Flow::LightsOn { code, name } => {
            vec![Effect::Perform(Ask::NewSeason { code, name, lights_on: answer.text() })]
        }
        Flow::Close { codes } => match answer.row().and_then(|row| codes.get(row).cloned()) {
            Some(code) => close(state, code),
            None => Vec::new(),
        },
        Flow::Keep { code } => {
            let keep = match answer.row() {
                Some(0) => Some(true),
                Some(1) => Some(false),
                _ => None,
            };
            ask_next(state, code, keep)
        }
        Flow::Next { code, keep } => match answer.text() {
            Some(text) => {
                let (next, on) =
                    text.split_once(' ').map_or((text.as_str(), None), |(a, b)| (a, Some(b.trim())));
                let next = Some((next.to_owned(), on.map(str::to_owned)));
                vec![Effect::Perform(Ask::CloseSeason { code, keep, next })]
            }
            None => vec![Effect::Perform(Ask::CloseSeason { code, keep, next: None })],
        },
    }
}

/// What is still open is read first; the next season may open with the close.
fn ask_next(state: &mut State, code: String, keep: Option<bool>) -> Vec<Effect> {
    let rows = state.seasons.page.iter().flat_map(|p| &p.rows);
    let open: Vec<String> = rows.filter(|r| r.code == code).flat_map(|r| r.open.clone()).collect();
    let still = if open.is_empty() { String::new() } else { format!(" Still open: {}.", open.join("; ")) };
    let title = format!("Close {code}.{still} Open the next one?");
    let takes =
        "its code and lights on: winter-2027 2027-11-26; left empty it only closes; Esc leaves it open";
    state.open(Prompt::ask(title, takes, any(Flow::Next { code, keep })))
}

/// Closes a season; asks once whether what was done differently is kept, where something was.
fn close(state: &mut State, code: String) -> Vec<Effect> {
    let rows = state.seasons.page.iter().flat_map(|p| &p.rows);
    let changes: Vec<String> = rows.filter(|r| r.code == code).flat_map(|r| r.differences.clone()).collect();
    if changes.is_empty() {
        return ask_next(state, code, None);
    }
    let title = format!("Done differently: {}. Next year?", changes.join("; "));
    let rows = vec![
        ("Keep it that way".to_owned(), "next year begins with it".to_owned()),
        ("As it was planned".to_owned(), "it was for this year only".to_owned()),
        ("Not now".to_owned(), "the season closes all the same".to_owned()),
    ];
    state.open(Pick::digits(title, rows, any(Flow::Keep { code })))
}

/// The marked row of the part that shows: its name, and all of it in words.
pub fn copied(state: &State) -> Option<(String, String)> {
    let (page, at) = (state.seasons.page.as_ref()?, state.seasons.at);
    Some(match state.seasons.part {
        Part::Years => {
            let row = page.rows.get(at)?;
            (row.code.clone(), format!("{}  {}, {}", row.code, row.name, row.lit))
        }
        Part::Dates => {
            let row = page.dates.rows.get(at)?;
            (row.title.clone(), format!("{} {}: {}", row.on(), row.show, row.title))
        }
        Part::Durations => {
            let (name, planned, taken, times) = page.durations.get(at)?;
            let words =
                format!("{name}: {} taken of {} planned, {times} times", minutes(*taken), minutes(*planned));
            (name.clone(), words)
        }
        Part::Rates => {
            let bar = page.bars.get(at)?;
            (bar.name.clone(), format!("{}: {}; {}", bar.name, bar.text, bar.note))
        }
        Part::Record => page.findings.get(at).map(|text| (text.clone(), text.clone()))?,
    })
}

/// The seasons as a list to find in.
pub fn finds(state: &State) -> Vec<(String, String)> {
    let rows = state.seasons.page.iter().flat_map(|p| p.rows.iter());
    rows.map(|r| (format!("{}  {}", r.code, r.name), r.state.clone())).collect()
}

const fn any(flow: Flow) -> Any {
    Any::Seasons(flow)
}
