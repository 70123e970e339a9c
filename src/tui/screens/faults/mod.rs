//! Faults: what was found, what was done, what waits on the bench.
//!
//! Not here: which symptoms there are and what to try (`app`), where a fault comes from in Walk (`walk`).

pub mod guide;
pub mod state;
pub mod view;
mod which;

pub use state::FaultsState;
pub use which::after_deed;
use which::ask_which;

use super::no_use;
use crate::answers::view::{GuideStep, ScreenId};
use crate::app::{Ask, NewFault, NewRepair, Tonight};
use crate::domain::RepairDeed;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::popup::{Answer, Flow as Any, Pick, Popup, Prompt};
use crate::tui::state::State;
use crate::tui::widgets::text::cap;

/// What Faults asks for, with what was answered before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    Target,
    /// Which piece of a placement of several, by the codes of the rows after the first: not known which.
    Which {
        fault: String,
        pieces: Vec<String>,
    },
    Symptom {
        target: String,
    },
    Pixel {
        target: String,
        symptom: String,
    },
    Tonight {
        target: String,
        symptom: String,
        at: Option<String>,
    },
    More {
        fault: String,
    },
    Cause {
        fault: String,
        deed: RepairDeed,
    },
    Minutes {
        fault: String,
        deed: RepairDeed,
        cause: Option<String>,
    },
    Note {
        fault: String,
        deed: RepairDeed,
    },
    /// What one thing to try showed, and where the guide is.
    Guide {
        fault: String,
        about: String,
        steps: Vec<GuideStep>,
        at: usize,
    },
    Photo {
        fault: String,
    },
    /// Which piece goes out instead, by the codes of the rows.
    Spare {
        fault: String,
        spares: Vec<String>,
    },
    /// Ending what nobody mended is asked once more.
    Ends {
        fault: String,
    },
    /// Scrapping is for good, so it is asked once more, by a pick.
    Scrap {
        fault: String,
    },
}

const TONIGHT: [(Tonight, &str, &str); 4] = [
    (Tonight::Nothing, "Left as it is", "stays open"),
    (Tonight::Patched, "Patched", "the bench mends it in summer"),
    (Tonight::Mended, "Mended", "to be tested"),
    (Tonight::SwitchedOff, "Switched off", "dark until mended"),
];

/// After the deeds: which piece it is.
const WHICH: (&str, &str) = ("Which piece it is", "of a placement of several");

const MORE: [(RepairDeed, &str, &str); 5] = [
    (RepairDeed::Looked, "Looked at", "what was seen"),
    (RepairDeed::WaitingPart, "Waiting for a part", "which part"),
    (RepairDeed::Replaced, "Replaced by a spare", "which spare"),
    (RepairDeed::Reopened, "Open again", "why"),
    (RepairDeed::Scrapped, "Scrapped", "the piece is gone for good"),
];

/// Common causes, in the order of their digits; the rest can be typed.
const CAUSES: [&str; 9] = [
    "failed pixel",
    "solder joint",
    "corrosion",
    "water inside",
    "plug",
    "lead cut or chewed",
    "wind",
    "adhesive let go",
    "wrong setting",
];

/// An action on Faults.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    if state.faults.list.step(action) {
        return Vec::new();
    }
    match action {
        Action::NewFault => return start(state, action, None),
        Action::ToggleBench => {
            state.faults.bench = !state.faults.bench;
            state.faults.refill();
            let n = state.faults.list.shown.len();
            return state.say(if state.faults.bench {
                format!("Only what waits on the bench: {n}")
            } else {
                format!("All faults: {n}")
            });
        }
        _ => {}
    }
    let Some(row) = state.faults.row().cloned() else {
        return state.refuse(if state.frame.empty {
            "There is no fault to act on, and nothing told that could have one; n begins"
        } else {
            "There is no fault to act on; n logs one"
        });
    };
    let photos = state.faults.detail().map_or(0, |d| d.photos.len());
    let fault = row.code.clone();
    let about = row.target.clone();
    match action {
        Action::PatchFault | Action::SwitchOffFault | Action::MendFault | Action::TestFault if row.ended => {
            state.refuse(format!("{fault} is over; x opens it again, n logs a new one"))
        }
        Action::OpenRow => {
            let Some(detail) = state.faults.detail().cloned() else { return Vec::new() };
            let mut lines = vec![
                ("seen".to_owned(), row.symptom.clone()),
                ("found".to_owned(), detail.found),
                ("state".to_owned(), row.state.to_owned()),
                ("next".to_owned(), row.next.clone()),
            ];
            lines.extend(detail.entries.into_iter().map(|e| ("done".to_owned(), e)));
            let tried = detail.guide.into_iter().filter_map(|g| Some((g.what, g.answer?)));
            lines.extend(tried.map(|(what, answer)| ("tried".to_owned(), format!("{what} {answer}"))));
            lines.extend(detail.spares.into_iter().map(|s| ("spare".to_owned(), s)));
            lines.extend(detail.photos.into_iter().map(|p| ("photo".to_owned(), p)));
            state.open(Popup::read(format!("{fault}  {about}"), lines))
        }
        Action::PatchFault => note(state, fault, RepairDeed::Patched, &format!("Patched {about}: how?")),
        Action::SwitchOffFault if row.state == "off" => {
            state.refuse(format!("{about} is switched off already"))
        }
        Action::SwitchOffFault => repair(fault, RepairDeed::SwitchedOff),
        Action::MendFault => {
            let mut rows: Vec<_> = CAUSES.iter().map(|c| (cap(c), String::new())).collect();
            rows.push(("Not known, or another".to_owned(), "stays open to add".to_owned()));
            let flow = Flow::Cause { fault, deed: RepairDeed::Mended };
            state.open(Pick::digits(format!("Mended {about}: what was it?"), rows, Any::Faults(flow)))
        }
        Action::TestFault if matches!(row.state, "mended, to be tested" | "replaced, piece on the bench") => {
            repair(fault, RepairDeed::Tested)
        }
        Action::TestFault => {
            let rows = vec![
                ("Not yet".to_owned(), "m tells what mended it".to_owned()),
                ("It is good by itself".to_owned(), "tested, and the fault is over".to_owned()),
            ];
            let title = format!("No mend of {about} is told: is it over?");
            state.open(Pick::digits(title, rows, any(Flow::Ends { fault })))
        }
        Action::AskGuide => {
            let steps = state.faults.detail().map_or_else(Vec::new, |d| d.guide.clone());
            let at = steps.iter().position(|s| s.answer.is_none()).unwrap_or(0);
            guide::ask(state, fault, about, steps, at)
        }
        Action::AddPhoto => {
            let takes = "its path; jpeg, png, gif, webp, heic or tiff, at most 8 MiB";
            state.open(Prompt::ask(
                format!("Photo of {about}: which file?"),
                takes,
                any(Flow::Photo { fault }),
            ))
        }
        Action::OpenPhoto if photos == 0 => state.refuse("This fault has no photo; i adds one"),
        Action::OpenPhoto => vec![Effect::OpenPhoto { fault, number: photos }],
        Action::MoreFault => {
            let mut rows: Vec<_> =
                MORE.iter().map(|(_, word, what)| ((*word).to_owned(), (*what).to_owned())).collect();
            rows.push((WHICH.0.to_owned(), WHICH.1.to_owned()));
            state.open(Pick::digits(about, rows, Any::Faults(Flow::More { fault })))
        }
        _ => no_use(state, action),
    }
}

/// Begins a new fault, at a target where one is given; loads the symptoms first where they aren't there.
pub fn start(state: &mut State, action: Action, target: Option<(String, String)>) -> Vec<Effect> {
    let Some(page) = &state.faults.page else {
        return vec![Effect::Load(ScreenId::Faults), Effect::Run(action)];
    };
    match target {
        Some((code, name)) => ask_symptom(state, code, &name),
        None if page.targets.is_empty() => {
            state.refuse("Nothing is told yet that could have a fault; import a prop first")
        }
        None => {
            let rows = page.targets.iter().map(|(code, name)| (format!("{name}  {code}"), String::new()));
            let popup =
                Pick::at_once("What has the fault? Type a few letters", rows.collect(), any(Flow::Target));
            state.open(popup)
        }
    }
}

fn ask_symptom(state: &mut State, target: String, name: &str) -> Vec<Effect> {
    let rows: Vec<_> = state
        .faults
        .page
        .iter()
        .flat_map(|p| p.symptoms.iter().map(|s| (cap(s.text), String::new())))
        .collect();
    if rows.is_empty() {
        return state.refuse("No symptoms are known to pick from");
    }
    state.open(Pick::digits(format!("{name}: what is seen?"), rows, any(Flow::Symptom { target })))
}

/// Takes an answer to what Faults asked.
pub fn answer(state: &mut State, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Target => {
            let found = answer.row().and_then(|row| state.faults.page.as_ref()?.targets.get(row).cloned());
            found.map_or_else(Vec::new, |(code, name)| ask_symptom(state, code, &name))
        }
        Flow::Which { fault, pieces } => {
            let piece = answer.row().and_then(|row| pieces.get(row.checked_sub(1)?).cloned());
            piece.map(|piece| Effect::Perform(Ask::FaultPiece { fault, piece })).into_iter().collect()
        }
        Flow::Symptom { target } => {
            let found = answer.row().and_then(|row| state.faults.page.as_ref()?.symptoms.get(row).cloned());
            let Some(symptom) = found else { return Vec::new() };
            let code = symptom.code.to_owned();
            if symptom.asks_pixel {
                let flow = any(Flow::Pixel { target, symptom: code });
                let takes =
                    "its number from the data end, then l left, p patched, m mended, o off; Enter asks";
                return state.open(Prompt::ask("From which pixel on?", takes, flow));
            }
            ask_tonight(state, target, code, None)
        }
        Flow::Pixel { target, symptom } => {
            let text = answer.text();
            match text.as_deref().and_then(pixel_and_deed) {
                Some((pixel, tonight)) => {
                    let at = Some(pixel.to_owned());
                    let fault = NewFault { target, symptom, at, tonight, note: String::new() };
                    vec![Effect::Perform(Ask::LogFault(fault))]
                }
                None => ask_tonight(state, target, symptom, text),
            }
        }
        Flow::Tonight { target, symptom, at } => {
            let Some((tonight, ..)) = answer.row().and_then(|row| TONIGHT.get(row)) else {
                return Vec::new();
            };
            let fault = NewFault { target, symptom, at, tonight: *tonight, note: String::new() };
            vec![Effect::Perform(Ask::LogFault(fault))]
        }
        Flow::More { fault } if answer.row() == Some(MORE.len()) => {
            let about = state.faults.row().map_or_else(String::new, |r| r.target.clone());
            let target = about.rsplit_once('(').map_or("", |(_, code)| code.trim_end_matches(')')).to_owned();
            if !ask_which(state, fault, &target) {
                state.refuse("It names its piece already, or its placement has only one");
            }
            Vec::new()
        }
        Flow::More { fault } => {
            let Some((deed, word, takes)) = answer.row().and_then(|row| MORE.get(row)) else {
                return Vec::new();
            };
            if *deed == RepairDeed::Scrapped {
                let rows = vec![
                    ("Keep it".to_owned(), "nothing changes".to_owned()),
                    ("Scrap it".to_owned(), "it goes off the plan and onto the buying list".to_owned()),
                ];
                let flow = any(Flow::Scrap { fault });
                return state.open(Pick::digits("Is the piece gone for good?", rows, flow));
            }
            if *deed == RepairDeed::Replaced {
                return ask_spare(state, fault);
            }
            let flow = any(Flow::Note { fault, deed: *deed });
            state.open(Prompt::ask(format!("{word}:"), format!("{takes}, or nothing"), flow))
        }
        Flow::Guide { fault, about, steps, at } => {
            guide::answered(state, fault, about, steps, at, answer.row())
        }
        Flow::Photo { fault } => {
            if let Some(path) = answer.text() {
                vec![Effect::Perform(Ask::AddPhoto { fault, path: path.into() })]
            } else {
                state.say("No photo added")
            }
        }
        Flow::Spare { fault, spares } => {
            let spare = answer.row().and_then(|row| spares.get(row).cloned());
            let ask = |spare| Effect::Perform(Ask::ReplaceBySpare { fault, spare, note: String::new() });
            spare.map(ask).into_iter().collect()
        }
        Flow::Ends { fault } if answer == Answer::Row(1) => repair(fault, RepairDeed::Tested),
        Flow::Ends { .. } => state.say("It stays as it is"),
        Flow::Scrap { fault } if answer == Answer::Row(1) => repair(fault, RepairDeed::Scrapped),
        Flow::Scrap { .. } => state.say("Kept"),
        Flow::Cause { fault, deed } => {
            let cause = answer.row().and_then(|row| CAUSES.get(row)).map(|c| (*c).to_owned());
            let flow = any(Flow::Minutes { fault, deed, cause });
            state.open(Prompt::ask("How many minutes did it take?", "minutes, then a note if you like", flow))
        }
        Flow::Minutes { fault, deed, cause } => {
            let text = answer.text().unwrap_or_default();
            let digits: String = text.chars().take_while(char::is_ascii_digit).collect();
            let note = text.get(digits.len()..).unwrap_or_default().trim().to_owned();
            let minutes = digits.parse().ok();
            vec![Effect::Perform(Ask::Repair(NewRepair { fault, deed, cause, minutes, part: None, note }))]
        }
        Flow::Note { fault, deed } => {
            let note = answer.text().unwrap_or_default();
            let new = NewRepair { fault, deed, cause: None, minutes: None, part: None, note };
            vec![Effect::Perform(Ask::Repair(new))]
        }
    }
}

/// "37p": a number and what was done tonight, in one go. Words of a segment are no such thing.
pub fn pixel_and_deed(text: &str) -> Option<(&str, Tonight)> {
    let (number, letter) = text.split_at_checked(text.len().checked_sub(1)?)?;
    let tonight = match letter {
        "l" => Tonight::Nothing,
        "p" => Tonight::Patched,
        "m" => Tonight::Mended,
        "o" => Tonight::SwitchedOff,
        _ => return None,
    };
    (!number.is_empty() && number.bytes().all(|b| b.is_ascii_digit())).then_some((number, tonight))
}

fn ask_tonight(state: &mut State, target: String, symptom: String, at: Option<String>) -> Vec<Effect> {
    let rows = TONIGHT.iter().map(|(_, word, what)| ((*word).to_owned(), (*what).to_owned())).collect();
    state.open(Pick::digits("And tonight?", rows, any(Flow::Tonight { target, symptom, at })))
}

fn ask_spare(state: &mut State, fault: String) -> Vec<Effect> {
    let asked = state.faults.row().is_some_and(|r| r.code == fault);
    let detail = state.faults.detail().filter(|_| asked);
    let spares = detail.map_or_else(Vec::new, |d| d.spares.clone());
    if spares.is_empty() {
        return state.refuse("No good piece of its product stays at home; mend it, or buy a spare");
    }
    let rows = spares.iter().map(|code| (code.clone(), String::new())).collect();
    state.open(Pick::digits("Which spare goes out?", rows, any(Flow::Spare { fault, spares })))
}

fn note(state: &mut State, fault: String, deed: RepairDeed, title: &str) -> Vec<Effect> {
    state.open(Prompt::ask(title, "a note, or nothing", any(Flow::Note { fault, deed })))
}

fn repair(fault: String, deed: RepairDeed) -> Vec<Effect> {
    let new = NewRepair { fault, deed, cause: None, minutes: None, part: None, note: String::new() };
    vec![Effect::Perform(Ask::Repair(new))]
}

const fn any(flow: Flow) -> Any {
    Any::Faults(flow)
}
