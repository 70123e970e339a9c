//! What Walk asks for, and what an answer does.

use super::{WalkState, tick, with_step};
use crate::answers::view::{PauseRow, ScreenId, WalkStep};
use crate::answers::words::some;
use crate::app::{Ask, Difference};
use crate::domain::{LookKind, Phase, TickKind};
use crate::tui::effect::Effect;
use crate::tui::popup::{Answer, Flow as Any, Pick, Popup, Prompt};
use crate::tui::state::State;
use crate::tui::widgets::text::{cap, minutes};

/// What Walk asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    Count {
        key: String,
        of: i64,
    },
    Hold {
        key: String,
    },
    Skip {
        key: String,
    },
    Note {
        key: String,
    },
    /// The current at one place of the step's list, by its code.
    Reading {
        key: String,
        target: String,
    },
    /// How something came off at takedown.
    How {
        key: String,
    },
    /// Which pieces did; nothing means all of them.
    Which {
        key: String,
        how: LookKind,
    },
    /// How many of a prop without labels did; nothing means that it is not known.
    HowMany {
        key: String,
        how: LookKind,
        of: i64,
    },
    What {
        key: String,
    },
    Differently {
        key: String,
        what: Difference,
    },
    Lead {
        key: String,
    },
    Place {
        key: String,
    },
    Minutes {
        key: String,
    },
    /// The forecast of the night.
    Forecast,
    /// How long it stayed dark.
    Dark,
    Phase,
    /// What the marked pause really was.
    Pause {
        pause: PauseRow,
    },
    PauseMinutes {
        pause: PauseRow,
    },
}

/// What can be different, in the order of its digits.
const DIFFERENCES: [(Difference, &str, &str); 5] = [
    (Difference::Port, "port", "the port it went into: 7"),
    (Difference::Lead, "lead", "the lead that was used, by its label"),
    (Difference::Place, "place", "where it stands now"),
    (Difference::Count, "count", "how many there are"),
    (Difference::Level, "level", "the level in percent: 35"),
];

/// How something may come off that is not good and dry, in the order of its digits.
const EXCEPTIONS: [(LookKind, &str, &str); 4] = [
    (LookKind::Wet, "Wet", "to the drying place, then packed"),
    (LookKind::Worn, "Worn", "goes home, and stands in its life"),
    (LookKind::Faulty, "Faulty", "to the bench, never home"),
    (LookKind::Missing, "Missing", "listed until it is found"),
];

/// Those, to pick from.
pub fn exceptions() -> Vec<(String, String)> {
    EXCEPTIONS.iter().map(|(_, word, what)| ((*word).to_owned(), (*what).to_owned())).collect()
}

/// The phases, in the order of their digits.
pub const PHASES: [(Phase, &str, &str); 5] = [
    (Phase::Bench, "bench", "tests before the season"),
    (Phase::Up, "up", "putting up"),
    (Phase::Tonight, "tonight", "while it runs"),
    (Phase::Down, "down", "taking down"),
    (Phase::Change, "change", "from one show to the other"),
];

/// Walk, Yard and Plan show a phase from now on; nothing takes the one of the day.
pub fn show_phase(state: &mut State, phase: Option<Phase>) {
    state.visit = false;
    if state.phase == phase {
        return;
    }
    state.phase = phase;
    let whose = state.walk.whose.take();
    state.walk = WalkState { big: state.walk.big, whose, ..WalkState::default() };
    state.yard.page = None;
    state.plan.page = None;
}

/// What a row of Today led to is left with Walk: a digit shows the phase of the day again, as the digit of Walk does
/// there for one that was chosen.
pub fn end_visit(state: &mut State, to: ScreenId) {
    if state.visit || (state.screen == ScreenId::Walk && to == ScreenId::Walk) {
        show_phase(state, None);
    }
}

/// Takes an answer to what Walk asked.
pub fn answer(state: &mut State, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Phase => {
            show_phase(state, answer.row().and_then(|row| PHASES.get(row)).map(|(phase, ..)| *phase));
            vec![Effect::Load(state.screen)]
        }
        Flow::Pause { pause } => match answer.row() {
            Some(0) => vec![took(&pause, Some(pause.planned_min.max(1)))],
            Some(1) => vec![took(&pause, Some(pause.gap_min))],
            Some(2) => {
                let takes = format!("minutes, 1 to {}; nothing leaves it", pause.gap_min);
                state.open(Prompt::ask("How many minutes?", takes, Any::Walk(Flow::PauseMinutes { pause })))
            }
            Some(3) => vec![took(&pause, None)],
            _ => Vec::new(),
        },
        Flow::PauseMinutes { pause } => match answer.text().map(|t| t.parse::<i64>()) {
            Some(Ok(n)) if (1..=pause.gap_min).contains(&n) => vec![took(&pause, Some(n))],
            Some(_) => state.ask_again(format!("a number from 1 to {} is taken", pause.gap_min)),
            None => Vec::new(),
        },
        Flow::How { key } => {
            let Some((how, word, _)) = answer.row().and_then(|row| EXCEPTIONS.get(row)).copied() else {
                return Vec::new();
            };
            let step = state.walk.steps().find(|s| s.key == key);
            let labels = some(step.map(|s| s.labels.clone()).unwrap_or_default());
            match step.and_then(|s| s.unlabelled) {
                None => state.open(Prompt::ask(
                    format!("{word}: which pieces?"),
                    format!("labels of {labels}; nothing means all of them"),
                    Any::Walk(Flow::Which { key, how }),
                )),
                Some(of) if of > 1 => state.open(Prompt::ask(
                    format!("{word}: how many of {of}?"),
                    format!("1 to {of}; nothing where it is not known"),
                    Any::Walk(Flow::HowMany { key, how, of }),
                )),
                Some(_) => came_off(state, key, how, Vec::new(), None),
            }
        }
        Flow::HowMany { key, how, of } => match answer.text().map(|t| t.trim().parse::<i64>()) {
            None => came_off(state, key, how, Vec::new(), None),
            Some(Ok(n)) if (1..=of).contains(&n) => came_off(state, key, how, Vec::new(), Some(n)),
            Some(_) => state.ask_again(format!("a number from 1 to {of} is taken")),
        },
        Flow::Which { key, how } => {
            let text = answer.text().unwrap_or_default();
            let pieces = text.split([' ', ',']).filter(|w| !w.is_empty()).map(str::to_owned).collect();
            came_off(state, key, how, pieces, None)
        }
        Flow::What { key } => {
            // What is labelled is chosen by a few letters of its label.
            let page = state.walk.page.as_ref();
            let choices = match answer.row().and_then(|row| DIFFERENCES.get(row)).map(|(what, ..)| *what) {
                Some(Difference::Lead) => page.map(|p| (p.leads.clone(), Flow::Lead { key: key.clone() })),
                Some(Difference::Place) => {
                    page.map(|p| (p.all_places.clone(), Flow::Place { key: key.clone() }))
                }
                _ => None,
            };
            if let Some((rows, flow)) = choices.filter(|(rows, _)| !rows.is_empty()) {
                return state.open(Pick::letters("Which one?", rows, Any::Walk(flow)));
            }
            let Some((what, word, takes)) = answer.row().and_then(|row| DIFFERENCES.get(row)).copied() else {
                return Vec::new();
            };
            let flow = Any::Walk(Flow::Differently { key, what });
            state.open(Prompt::ask(format!("Which {word}?"), takes, flow))
        }
        Flow::Count { key, of } => count_answer(state, key, of, answer),
        Flow::Hold { key } => with_step(state, key, |key| tick(key, TickKind::Hold, answer.text())),
        Flow::Skip { key } => with_step(state, key, |key| tick(key, TickKind::Skip, answer.text())),
        Flow::Dark => dark(state, answer),
        Flow::Forecast => {
            if let Some(text) = answer.text() {
                vec![Effect::Perform(Ask::Forecast { session: "tonight".to_owned(), text })]
            } else {
                state.say("No forecast told")
            }
        }
        Flow::Note { key } => {
            if let Some(text) = answer.text() {
                state.walk.want = Some(key.clone());
                vec![Effect::Perform(Ask::Note { key, text })]
            } else {
                state.say("No note written")
            }
        }
        Flow::Reading { key, target } => reading_answer(state, key, target, answer),
        Flow::Lead { key } => {
            let page = state.walk.page.as_ref();
            let code = answer.row().and_then(|row| page?.leads.get(row)).map(|(code, _)| code.clone());
            differently(state, key, Difference::Lead, code)
        }
        Flow::Place { key } => {
            let page = state.walk.page.as_ref();
            let code = answer.row().and_then(|row| page?.all_places.get(row)).map(|(code, _)| code.clone());
            differently(state, key, Difference::Place, code)
        }
        Flow::Minutes { key } => minutes_answer(state, key, answer),
        Flow::Differently { key, what } => {
            let text = answer.text().unwrap_or_default();
            with_step(state, key, |key| Ask::DoneDifferently { key: key.to_owned(), what, text })
        }
    }
}

fn came_off(
    state: &mut State,
    key: String,
    how: LookKind,
    pieces: Vec<String>,
    many: Option<i64>,
) -> Vec<Effect> {
    state.walk.want = Some(key.clone());
    vec![Effect::Perform(Ask::CameOff { key, how, pieces, many })]
}

fn differently(state: &mut State, key: String, what: Difference, text: Option<String>) -> Vec<Effect> {
    let text = text.unwrap_or_default();
    with_step(state, key, |key| Ask::DoneDifferently { key: key.to_owned(), what, text })
}

fn minutes_answer(state: &mut State, key: String, answer: Answer) -> Vec<Effect> {
    let Some(text) = answer.text() else {
        return state.say("The time stays as it was");
    };
    match crate::units::Span::parse(&text) {
        Ok(span) => {
            state.walk.want = Some(key.clone());
            vec![Effect::Perform(Ask::CorrectTime {
                key,
                ticked_ms: None,
                minutes: Some(span.minutes_up()),
                why: String::new(),
            })]
        }
        Err(error) => {
            state.ask_again(error.to_string());
            Vec::new()
        }
    }
}

/// "1h30 outlet tripped" is the whole show; a code before it is that prop.
fn dark(state: &mut State, answer: Answer) -> Vec<Effect> {
    let Some(text) = answer.text() else {
        return state.say("No dark time written");
    };
    let (first, rest) = text.split_once(' ').unwrap_or((&text, ""));
    let (target, rest) =
        if first.starts_with(|c: char| c.is_ascii_digit()) { ("show", text.as_str()) } else { (first, rest) };
    let (lasted, why) = rest.trim().split_once(' ').unwrap_or((rest.trim(), ""));
    vec![Effect::Perform(Ask::LogDark {
        target: target.to_owned(),
        lasted: lasted.to_owned(),
        why: why.trim().to_owned(),
        night: None,
    })]
}

fn took(pause: &PauseRow, minutes: Option<i64>) -> Effect {
    Effect::Perform(Ask::CorrectTime {
        key: pause.key.clone(),
        ticked_ms: Some(pause.ticked_ms),
        minutes,
        why: String::new(),
    })
}

/// Asks about a long pause of the session that is over; Esc leaves it.
pub fn ask_pause(state: &mut State, pause: PauseRow) {
    let title = format!(
        "{} passed before \"{}\" (from {}). How long did it take?",
        minutes(pause.gap_min),
        pause.title,
        pause.from
    );
    let rows = vec![
        (format!("{}, as planned", minutes(pause.planned_min)), "the rest was a pause".to_owned()),
        (format!("All of it, {}", minutes(pause.gap_min)), String::new()),
        ("Another time".to_owned(), "typed".to_owned()),
        ("Not known".to_owned(), "nothing is learned from it".to_owned()),
    ];
    state.popups.push(Pick::digits(title, rows, Any::Walk(Flow::Pause { pause })));
}

fn count_answer(state: &mut State, key: String, of: i64, answer: Answer) -> Vec<Effect> {
    let Some(text) = answer.text() else {
        return state.say("No count written");
    };
    let digits: String = text.chars().take_while(char::is_ascii_digit).collect();
    let why = text.get(digits.len()..).map(str::trim).filter(|w| !w.is_empty()).map(str::to_owned);
    match digits.parse::<i64>() {
        Ok(0) if of == 1 => state.say("Nothing ticked"),
        Ok(n) if n <= of => {
            let kind = if n == of { TickKind::Done } else { TickKind::Count };
            let count = Some(n);
            with_step(state, key, |key| Ask::Tick { key: key.to_owned(), kind, count, why })
        }
        _ => {
            state.ask_again(format!("\"{text}\": a number from 0 to {of} is taken"));
            Vec::new()
        }
    }
}

/// Asks for the current at the first place from `from` on that has no reading yet.
pub fn ask_reading(state: &mut State, step: &WalkStep, from: usize) -> bool {
    let mut open = step.readings.iter().skip(from);
    let Some(line) = open.find(|r| r.read.is_none()) else { return false };
    let title = format!("{} {}: {} expected ({})", line.target, line.at, line.expected, line.of);
    let takes = "amperes read, as 21.8; empty leaves it out, Esc stops here";
    let flow = Flow::Reading { key: step.key.clone(), target: line.target.clone() };
    state.popups.push(Prompt::ask(title, takes, Any::Walk(flow)));
    true
}

fn reading_answer(state: &mut State, key: String, target: String, answer: Answer) -> Vec<Effect> {
    let text = answer.text();
    if let Some(text) = text.as_ref().filter(|t| !is_amperes(t)) {
        if let Some(Popup::Prompt(mut prompt)) = state.asked.take() {
            prompt.refusal = Some(format!("\"{text}\": amperes are taken, as 21.8"));
            state.popups.push(Popup::Prompt(prompt));
        }
        return Vec::new();
    }
    state.walk.want = Some(key.clone());
    let step = state.walk.steps().find(|s| s.key == key).cloned();
    if let Some(step) = step {
        let at = step.readings.iter().position(|r| r.target == target).unwrap_or(0);
        if !ask_reading(state, &step, at + 1) && text.is_none() {
            state.say("No place without a reading comes after this one; Enter ticks the step");
        }
    }
    text.map_or_else(Vec::new, |text| {
        vec![Effect::Perform(Ask::ReadMeter { key, readings: vec![(target, text)], done: false, why: None })]
    })
}

/// A number of amperes or milliamperes, not below nothing.
fn is_amperes(text: &str) -> bool {
    crate::units::Current::parse(text, crate::units::System::Si).is_ok_and(|c| c.ma() >= 0)
}

/// Offers the phases.
pub fn choose_phase(state: &mut State) -> Vec<Effect> {
    let mut rows: Vec<_> = PHASES.iter().map(|(_, word, what)| (cap(word), (*what).to_owned())).collect();
    rows.push(("What is due".to_owned(), "by the day".to_owned()));
    state.open(Pick::digits("Which phase?", rows, Any::Walk(Flow::Phase)))
}

/// What can be different, to pick from.
pub fn differences() -> Vec<(String, String)> {
    DIFFERENCES.iter().map(|(_, word, takes)| (cap(word), (*takes).to_owned())).collect()
}
