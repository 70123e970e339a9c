//! Walk: the checklist of a session, one key a deed.
//!
//! Not here: which steps there are and in what order (`steps`, `planner`), how a tick is kept (`app`).

pub mod detail;
pub mod flow;
pub mod state;
pub mod view;

pub use flow::{Flow, PHASES, answer, choose_phase, end_visit, show_phase};
use state::Pending;
pub use state::{WalkState, is_open};

use super::{faults, no_use};
use crate::answers::view::{ScreenId, StepState, WalkStep};
use crate::app::Ask;
use crate::domain::{LookKind, Phase, TickKind};
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::listing::moved;
use crate::tui::popup::{Flow as Any, Pick, Popup, Prompt};
use crate::tui::state::State;
use crate::tui::update::go;

/// An action on Walk.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    if action != Action::DoStep {
        state.walk.insisted = None;
    }
    let count = state.walk.steps().count();
    if let Some(at) = moved(state.walk.at, count, action) {
        (state.walk.at, state.walk.touched) = (at, true);
        return Vec::new();
    }
    match action {
        Action::MoveLeft => move_place(state, false),
        Action::MoveRight => move_place(state, true),
        Action::NextSection | Action::NextSession => move_session(state, true),
        Action::PrevSection | Action::PrevSession => move_session(state, false),
        Action::ChoosePhase => choose_phase(state),
        Action::UndoStep => vec![Effect::Perform(Ask::Undo)],
        Action::TurnWhose => turn_whose(state),
        Action::ShowFetch => show_fetch(state),
        Action::AddForecast if tonight(state) => {
            let takes = "rain, snow, ice, gust 25 mph, low 31F; or: dry, thawed";
            state.open(Prompt::ask("Forecast for tonight", takes, Any::Walk(Flow::Forecast)))
        }
        Action::AddForecast => {
            state.refuse("Here only tonight's forecast is told: p, then tonight; that of a session in Plan")
        }
        Action::LogDark if tonight(state) => {
            let takes = "1h30 and why: the whole show; with the code of a prop before it: that prop";
            state.open(Prompt::ask("How long did it stay dark?", takes, Any::Walk(Flow::Dark)))
        }
        Action::LogDark => state.refuse("Dark time is told while the show runs; p, then tonight"),
        Action::ToggleBig if state.walk.step().is_some() => {
            state.walk.big = !state.walk.big;
            Vec::new()
        }
        _ => {
            if let Some(step) = state.walk.step().cloned() {
                on_step(state, action, &step)
            } else {
                let hint = state.walk.page.as_ref().and_then(|p| p.empty_hint.clone());
                state.refuse(hint.unwrap_or_else(|| "There is no step here to act on".to_owned()))
            }
        }
    }
}

pub(super) fn tonight(state: &State) -> bool {
    state.walk.page.as_ref().is_some_and(|p| p.phase == Phase::Tonight.as_str())
}

fn going_down(state: &State) -> bool {
    let phase = state.walk.page.as_ref().map(|p| p.phase.as_str());
    matches!(phase, Some("down" | "change"))
}

fn on_step(state: &mut State, action: Action, step: &WalkStep) -> Vec<Effect> {
    let key = step.key.clone();
    match action {
        Action::DoStep if step.state == StepState::Done => {
            state.say(format!("\"{}\" is done already; r opens it again", step.title));
            let next = state.walk.next_open(&[]).map(|s| s.key.clone());
            let at = next.and_then(|key| state.walk.steps().position(|s| s.key == key));
            state.walk.at = at.unwrap_or(state.walk.at);
            Vec::new()
        }
        Action::DoStep
            if is_open(step) && step.early.is_some() && state.walk.insisted != Some(key.clone()) =>
        {
            let why = step.early.clone().unwrap_or_default();
            state.walk.insisted = Some(key);
            state.refuse(format!("Too early, {why}. Enter once more ticks it all the same"))
        }
        Action::DoStep => deed(state, step, tick(&key, TickKind::Done, None)),
        Action::AloneStep if is_open(step) => {
            vec![Effect::Perform(Ask::Alone { keys: vec![step.key.clone()] })]
        }
        Action::AloneStep => refuse_as_is(state, step),
        Action::StartStep if is_open(step) => {
            state.walk.want = Some(key.clone());
            vec![Effect::Perform(tick(&key, TickKind::Start, None))]
        }
        Action::StartStep => refuse_as_is(state, step),
        Action::ReopenStep if is_open(step) => refuse_as_is(state, step),
        Action::ReopenStep => {
            state.walk.want = Some(key.clone());
            vec![Effect::Perform(tick(&key, TickKind::Reopen, None))]
        }
        Action::TickPlace => tick_place(state),
        Action::CountStep => {
            if let Some((done, of)) = step.count {
                let title = format!("{}: how many of {of} are done? ({done} now)", step.title);
                let takes = "a number, then why the rest waits if you like: 6 two stakes bent";
                state.open(Prompt::ask(title, takes, Any::Walk(Flow::Count { key, of })))
            } else {
                // A number that is typed next goes in here, and to no other screen.
                let title = format!("{}: this is one piece; is it done?", step.title);
                state.open(Prompt::ask(
                    title,
                    "1 ticks it, nothing leaves it",
                    Any::Walk(Flow::Count { key, of: 1 }),
                ))
            }
        }
        Action::HoldStep if step.state == StepState::Done => refuse_as_is(state, step),
        Action::HoldStep => {
            let title = format!("Hold \"{}\": why?", step.title);
            state.open(Prompt::ask(title, "a reason, or nothing", Any::Walk(Flow::Hold { key })))
        }
        Action::SkipStep if step.state == StepState::Done => refuse_as_is(state, step),
        Action::SkipStep => {
            let title = format!("Leave out \"{}\" this time: why?", step.title);
            state.open(Prompt::ask(title, "a reason, or nothing", Any::Walk(Flow::Skip { key })))
        }
        Action::ReadMeter if step.readings.is_empty() => {
            state.refuse("Currents are read at the load part of the rehearsal")
        }
        Action::ReadMeter => {
            if !flow::ask_reading(state, step, 0) {
                state.refuse("Every current is read; u takes the last reading back");
            }
            Vec::new()
        }
        Action::CorrectTime if step.state != StepState::Done => {
            state.refuse("Only the time of a done step is corrected; the mark can go back to one")
        }
        Action::CorrectTime => {
            let title = format!("How long did \"{}\" take?", step.title);
            let takes = "minutes, or a time like 1h20";
            state.open(Prompt::ask(title, takes, Any::Walk(Flow::Minutes { key })))
        }
        Action::AllGood | Action::CameOff if !going_down(state) => {
            state.refuse("That is told while taking down: p, then down")
        }
        Action::AllGood => {
            let all = Ask::CameOff { key, how: LookKind::Good, pieces: Vec::new(), many: None };
            deed(state, step, all)
        }
        Action::CameOff => {
            let rows = flow::exceptions();
            let title = format!("{}: what is not good and dry?", step.prop);
            state.open(Pick::digits(title, rows, Any::Walk(Flow::How { key })))
        }
        Action::NoteStep => {
            let title = format!("Note to \"{}\"", step.title);
            state.open(Prompt::ask(title, "any text", Any::Walk(Flow::Note { key })))
        }
        Action::DoDifferently => {
            let rows = flow::differences();
            let title = format!("\"{}\" was done, but with another …", step.title);
            state.open(Pick::digits(title, rows, Any::Walk(Flow::What { key })))
        }
        Action::FaultHere => {
            let target = step.placement.clone().map(|code| (code, step.prop.clone()));
            faults::start(state, action, target)
        }
        _ => no_use(state, action),
    }
}

/// Goes to a step, in the list of a phase and the session where it stands; nothing is the phase of the day.
pub fn go_to_step(state: &mut State, key: String, phase: Option<Phase>) -> Vec<Effect> {
    show_phase(state, phase);
    state.walk.aim(key);
    state.outdate_page(ScreenId::Walk);
    go(state, ScreenId::Walk)
}

/// The screen is in sight: long pauses are asked about, unless one came for a step.
pub fn shown(state: &mut State) {
    if std::mem::take(&mut state.walk.led) {
        return;
    }
    let pauses = state.walk.page.as_ref().map(|p| p.pauses.clone()).unwrap_or_default();
    for pause in pauses.into_iter().rev() {
        // Once each: whoever skipped it is not asked again.
        if state.walk.asked.insert((pause.key.clone(), pause.ticked_ms)) {
            flow::ask_pause(state, pause);
        }
    }
}

fn show_fetch(state: &mut State) -> Vec<Effect> {
    let page = state.walk.page.as_ref().filter(|p| !p.fetch.is_empty());
    let Some(page) = page else { return state.refuse("Nothing needs to be brought for this session") };
    let lines = page.fetch.iter().map(|f| (f.what.to_owned(), fetch_words(&f.name, &f.from))).collect();
    let title = format!("Bring for {}", page.session);
    state.open(Popup::read(title, lines))
}

fn fetch_words(name: &str, from: &str) -> String {
    if from.is_empty() { name.to_owned() } else { format!("{name}, from {from}") }
}

/// A deed is on disk: the mark goes on. Gives what else is to be said.
pub fn after_deed(state: &mut State, ask: &Ask) -> Option<String> {
    if *ask == Ask::Undo {
        state.walk.want = state.walk.ticked.pop().or(state.walk.want.take());
        return None;
    }
    let pending = state.walk.pending.take()?;
    state.walk.ticked.push(pending.key);
    state.walk.want = pending.next;
    pending.say
}

/// A deed was refused: the mark stays.
pub fn deed_refused(state: &mut State) {
    state.walk.pending = None;
    state.walk.want = None;
}

fn tick(key: &str, kind: TickKind, why: Option<String>) -> Ask {
    Ask::Tick { key: key.to_owned(), kind, count: None, why }
}

fn with_step(state: &mut State, key: String, ask: impl FnOnce(&str) -> Ask) -> Vec<Effect> {
    let ask = ask(&key);
    let step = state.walk.steps().find(|s| s.key == key).cloned();
    match step {
        Some(step) => deed(state, &step, ask),
        None => vec![Effect::Perform(ask)],
    }
}

/// A deed that is done with the step, or with all of it that can be done now.
fn deed(state: &mut State, step: &WalkStep, ask: Ask) -> Vec<Effect> {
    then(state, std::slice::from_ref(&step.key));
    vec![Effect::Perform(ask)]
}

fn then(state: &mut State, keys: &[String]) {
    let walk = &state.walk;
    let next = walk.next_open(keys);
    let here = walk.visit().map(|(_, visit)| visit);
    // People come back to a place: all of it counts, not one run of rows.
    let left = here
        .as_ref()
        .is_some_and(|v| walk.steps().any(|s| s.place == v.place && is_open(s) && !keys.contains(&s.key)));
    let say = match (here, next) {
        (_, None) => Some(match walk.shown_whose() {
            Some(name) => format!("{name} has nothing open here any more; v shows all, ] the next session"),
            None => "Nothing is open in this session any more; ] shows the next one".to_owned(),
        }),
        (Some(here), Some(next)) if !left && here.place != next.place => {
            Some(format!("Nothing is open at {} any more. Go on to: {}", here.place, next.place))
        }
        _ => None,
    };
    let key = keys.first().cloned().unwrap_or_default();
    state.walk.pending = Some(Pending { key, next: next.map(|s| s.key.clone()), say });
}

/// Whose steps show: one person after the other, then all; kept for the next start.
fn turn_whose(state: &mut State) -> Vec<Effect> {
    if state.walk.people().is_empty() {
        return state.refuse("Nobody is told for these steps; w on Plan says who comes");
    }
    let whose = state.walk.turn_whose();
    state.say(match &whose {
        Some(name) => format!("The steps of {name}; v goes on to the next person"),
        None => "The steps of all".to_owned(),
    });
    vec![Effect::KeepWhose(whose.unwrap_or_default())]
}

fn tick_place(state: &mut State) -> Vec<Effect> {
    let Some((_, visit)) = state.walk.visit() else { return Vec::new() };
    let open = || visit.steps.iter().filter(|s| is_open(s));
    let keys: Vec<String> = open().filter(|s| s.early.is_none()).map(|s| s.key.clone()).collect();
    if let (true, Some(early)) = (keys.is_empty(), open().find_map(|s| s.early.as_ref())) {
        let why = format!("Too early here, {early}; Enter on each step ticks it all the same");
        return state.refuse(why);
    }
    if keys.is_empty() {
        return state.refuse("No step is open at this place");
    }
    then(state, &keys);
    vec![Effect::Perform(Ask::TickAll { keys })]
}

fn move_place(state: &mut State, on: bool) -> Vec<Effect> {
    let Some((at, visit)) = state.walk.visit() else { return Vec::new() };
    let (first, visits) = (visit.first, state.walk.visits());
    let start = |n: usize| visits.get(n).map(|v| v.first);
    let to = match (on, at) {
        (true, _) => start(at + 1),
        (false, _) if state.walk.at > first => Some(first),
        (false, _) => at.checked_sub(1).and_then(start),
    };
    match to {
        Some(to) => (state.walk.at, state.walk.touched) = (to, true),
        None => {
            state.refuse(if on { "This is the last place" } else { "This is the first place" });
        }
    }
    Vec::new()
}

fn move_session(state: &mut State, on: bool) -> Vec<Effect> {
    let Some(page) = &state.walk.page else { return Vec::new() };
    let to = if on { Some(page.session_at + 1) } else { page.session_at.checked_sub(1) };
    if let Some(to) = to.filter(|to| *to < page.sessions.len()) {
        let (big, ticked) = (state.walk.big, std::mem::take(&mut state.walk.ticked));
        let whose = state.walk.whose.take();
        state.walk = WalkState { session: Some(to), big, ticked, whose, ..WalkState::default() };
        vec![Effect::Load(state.screen)]
    } else {
        state.refuse(if on { "This is the last session" } else { "This is the first session" })
    }
}

/// The steps as a list to find in.
pub fn finds(state: &State) -> Vec<(String, String)> {
    let row = |s: &WalkStep| {
        let what = if s.prop.is_empty() { s.deed.clone() } else { format!("{}: {}", s.prop, s.deed) };
        let when = s.from.as_ref().map_or(String::new(), |from| format!("{from}  "));
        (what, format!("{when}{}", s.place))
    };
    state.walk.steps().map(row).collect()
}

fn refuse_as_is(state: &mut State, step: &WalkStep) -> Vec<Effect> {
    state.refuse(format!("\"{}\" is {}; r opens what is not open", step.title, step.state.word()))
}
