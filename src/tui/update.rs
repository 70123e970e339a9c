//! What a key or an action does to the state, and what it wants done.

use crate::answers::view::ScreenId;
use crate::app::{Ask, LookWord, Page, Problem};

use super::action::Action;
use super::clipboard::copy;
use super::effect::Effect;
use super::form;
use super::help;
use super::keymap::{Key, When};
use super::listing::moved;
use super::look::Theme;
use super::popup::{Answer, Flow, Pick, Popup};
use super::screens::{self, today};
use super::state::State;
use super::widgets::Field;
use super::widgets::canvas::Click;

/// Acts on a key pressed at `at_ms` of the event clock.
pub fn press(state: &mut State, key: Key, at_ms: u64) -> Vec<Effect> {
    let mode = state.mode();
    let last = state.last_key.replace((key, at_ms));
    if mode == When::On(ScreenId::Walk)
        && key.bounces()
        && let Some((_, before)) = last.filter(|(k, _)| *k == key)
        && at_ms.saturating_sub(before) < state.glove_ms
    {
        let within = state.glove_ms;
        return state.say(format!("{key} came twice within {within} ms: counted once"));
    }
    // While nothing is told, what begins a yard does so on every screen but that of the seasons, whose own it is.
    let on_today = state.keymap.action(When::On(ScreenId::Today), key);
    if matches!(mode, When::On(screen) if screen != ScreenId::Seasons)
        && state.frame.empty
        && let Some(action) = on_today.filter(|a| screens::begins(*a))
    {
        let mut effects = go(state, ScreenId::Today);
        effects.extend(update(state, action));
        return effects;
    }
    if let Some(action) = state.keymap.action(mode, key) {
        update(state, action)
    } else {
        let place = match mode {
            When::On(screen) => format!("on {}", screen.name()),
            When::Picking => "in a pick list; a digit or Enter picks, Esc closes".to_owned(),
            When::Reading => "while reading; Esc closes".to_owned(),
            When::Filling => "in a form; Ctrl-S saves, Esc closes".to_owned(),
            _ => "in a text field; Esc closes".to_owned(),
        };
        let help = if matches!(mode, When::On(_)) { "; ? shows the keys that do" } else { "" };
        state.refuse(format!("{key} does nothing {place}{help}"))
    }
}

/// Acts; what must be done outside comes back as data.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    match action {
        Action::QuitProgram => return vec![Effect::Quit],
        Action::SuspendProgram => return vec![Effect::Suspend],
        _ => {}
    }
    if state.popups.is_empty() { on_screen(state, action) } else { on_popup(state, action) }
}

fn on_screen(state: &mut State, action: Action) -> Vec<Effect> {
    state.status = None;
    state.asked = None;
    if let Some(screen) = screens::of_digit(action) {
        screens::walk::end_visit(state, screen);
        return go(state, screen);
    }
    match action {
        Action::ClearSearch => {
            if !screens::clear_filter(state) {
                state.refuse("Nothing is open here; a digit goes to a screen, q leaves");
            }
            Vec::new()
        }
        Action::ShowHelp => help::show_help(state),
        Action::ShowHistory => vec![Effect::History],
        Action::OpenDemo => vec![Effect::Demo],
        Action::ShowSettings => {
            let lines = state.settings.clone();
            if lines.is_empty() {
                state.refuse("ladderday settings prints a documented sample file");
            } else {
                let title = "Settings".to_owned();
                state.popups.push(Popup::read(title, lines));
            }
            Vec::new()
        }
        Action::TellFact => vec![Effect::Tell(form::Want::Kinds)],
        Action::AddProp => today::ask_prop(state),
        Action::ImportFiles => today::ask_files(state),
        Action::ShowSaid => {
            let lines: Vec<_> = state.said.iter().rev().map(|s| (String::new(), s.clone())).collect();
            if lines.is_empty() {
                state.refuse("Nothing was said yet");
            } else {
                let title = "Said since the start, latest first; u takes the last deed back".to_owned();
                state.popups.push(Popup::read(title, lines));
            }
            Vec::new()
        }
        Action::ShowCommands => state.open(Pick::commands(&state.keymap, state.screen)),
        Action::StartFind => screens::start_find(state),
        Action::UndoDeed => vec![Effect::Perform(Ask::Undo)],
        Action::RedoDeed => vec![Effect::Perform(Ask::Redo)],
        Action::SwitchLook => {
            let next = state.look.switched();
            if next == state.look {
                return state.refuse("Without colour there is one look only");
            }
            state.look = next;
            vec![Effect::KeepLook(if next.theme == Theme::Night { LookWord::Night } else { LookWord::Day })]
        }
        Action::SwitchMouse => {
            state.switch_mouse();
            Vec::new()
        }
        Action::CopyCode | Action::CopyLine => {
            copy(state, action == Action::CopyLine);
            Vec::new()
        }
        Action::StopWork => {
            if state.background.is_some() {
                return vec![Effect::StopWork];
            }
            state.refuse("No long work is running")
        }
        Action::ReloadPage => vec![Effect::Load(state.screen)],
        _ => screens::update(state, action),
    }
}

/// Goes to a screen.
pub fn go(state: &mut State, screen: ScreenId) -> Vec<Effect> {
    state.screen = screen;
    if state.has_page(screen) {
        screens::shown(state);
        return Vec::new();
    }
    vec![Effect::Load(screen)]
}

fn on_popup(state: &mut State, action: Action) -> Vec<Effect> {
    if action == Action::ClosePopup {
        match state.popups.pop() {
            Some(Popup::Find(_)) => {
                screens::clear_filter(state);
            }
            Some(Popup::Form(form)) => form::left(state, form),
            _ => {}
        }
        return Vec::new();
    }
    let last = screens::last_top(state);
    match state.popups.last_mut() {
        // A page to read stands in nobody's way: a digit leaves it for a screen.
        Some(Popup::Reading(_)) if screens::of_digit(action).is_some() => {
            state.popups.clear();
            on_screen(state, action)
        }
        Some(Popup::Reading(page)) => {
            if let Some(top) = moved(page.top, last + 1, action) {
                page.top = top;
            }
            Vec::new()
        }
        Some(Popup::Pick(pick)) => {
            if let Some(at) = moved(pick.at, pick.shown.len(), action) {
                pick.at = at;
                return Vec::new();
            }
            match action {
                Action::ShowHelp => help::show_help(state),
                Action::PickRow if std::mem::take(&mut pick.by_itself) => {
                    state.say("It was the only one that matches; now a digit picks")
                }
                Action::PickRow => picked(state, None),
                Action::PickNumber(n) => picked(state, Some(usize::from(if n == 0 { 9 } else { n - 1 }))),
                _ => {
                    if pick.field.as_mut().is_some_and(|f| f.edit(action)) {
                        pick.refill();
                        if pick.at_once && matches!(action, Action::TypeChar(_)) && pick.only_hit() {
                            return taken(state);
                        }
                    }
                    Vec::new()
                }
            }
        }
        Some(Popup::Prompt(prompt)) => {
            if action == Action::AcceptText {
                let text = prompt.field.text().to_owned();
                let flow = prompt.flow.clone();
                state.asked = state.popups.pop();
                return answered(state, flow, Answer::Text(text));
            }
            prompt.field.edit(action);
            // A pixel number that ends with the letter of a deed is a whole answer.
            let whole = matches!(prompt.flow, Flow::Faults(screens::faults::Flow::Pixel { .. }))
                && matches!(action, Action::TypeChar(_))
                && screens::faults::pixel_and_deed(prompt.field.text()).is_some();
            if whole { on_popup(state, Action::AcceptText) } else { Vec::new() }
        }
        Some(Popup::Form(_)) => form::update(state, action),
        Some(Popup::Find(field)) => {
            if action == Action::PickRow {
                state.popups.pop();
                return Vec::new();
            }
            if field.edit(action) {
                let text = field.text().to_owned();
                screens::set_filter(state, text);
                return Vec::new();
            }
            screens::update(state, action)
        }
        None => Vec::new(),
    }
}

/// Takes the only hit of a search; the list that follows knows that nobody pressed Enter.
fn taken(state: &mut State) -> Vec<Effect> {
    let effects = picked(state, None);
    if let Some(Popup::Pick(next)) = state.popups.last_mut() {
        next.by_itself = true;
    }
    effects
}

fn picked(state: &mut State, at: Option<usize>) -> Vec<Effect> {
    let Some(Popup::Pick(pick)) = state.popups.last() else { return Vec::new() };
    let Some(row) = pick.shown.get(at.unwrap_or(pick.at)).copied() else {
        let many = pick.shown.len();
        return state.refuse(if many == 0 {
            "Nothing matches; take letters away".to_owned()
        } else {
            format!("There are {many} rows to pick from")
        });
    };
    let flow = pick.flow.clone();
    state.asked = state.popups.pop();
    answered(state, flow, Answer::Row(row))
}

fn answered(state: &mut State, flow: Flow, answer: Answer) -> Vec<Effect> {
    state.status = None;
    match flow {
        Flow::Command(actions) => {
            let Some(row) = answer.row() else { return Vec::new() };
            let Some((action, screen)) = actions.get(row).copied() else { return Vec::new() };
            match screen {
                Some(screen) if screen != state.screen => {
                    let mut effects = go(state, screen);
                    effects.push(Effect::Run(action));
                    effects
                }
                _ => update(state, action),
            }
        }
        Flow::History(undos) => {
            if let Some(n) = answer.row().and_then(|row| undos.get(row).copied()).flatten() {
                vec![Effect::Perform(Ask::Undo); n]
            } else {
                state.refuse("That one is taken back already, is an undo, or was done on the other laptop")
            }
        }
        Flow::Tell(flow) => form::answer(state, flow, answer),
        Flow::Today(flow) => today::answer(state, flow, answer),
        Flow::Jump => answer.row().map_or_else(Vec::new, |row| screens::jump(state, row)),
        Flow::Walk(flow) => screens::walk::answer(state, flow, answer),
        Flow::Faults(flow) => screens::faults::answer(state, flow, answer),
        Flow::Kit(flow) => screens::kit::answer(state, flow, answer),
        Flow::Plan(flow) => screens::plan::answer(state, flow, answer),
        Flow::Buy(flow) => screens::buy::answer(state, flow, answer),
        Flow::Power(flow) => screens::power::answer(state, flow, answer),
        Flow::Seasons(flow) => screens::seasons::answer(state, flow, answer),
        Flow::Totes(flow) => screens::totes::answer(state, flow, answer),
    }
}

/// A page was computed.
pub fn loaded(state: &mut State, page: Page) {
    let screen = page.screen();
    state.stale.retain(|s| *s != screen);
    screens::set_page(state, page);
    if screen == state.screen && state.popups.is_empty() {
        screens::shown(state);
    }
}

/// A deed is on disk.
pub fn performed(state: &mut State, ask: &Ask, said: &str) {
    state.asked = None;
    screens::faults::after_deed(state, ask, said);
    let said = match screens::walk::after_deed(state, ask) {
        // Where to go next is never what is cut off.
        Some(next) => format!("{next}. {said}"),
        None => said.to_owned(),
    };
    screens::plan::after_deed(state, ask);
    state.say(said);
    today::after_deed(state, ask);
    screens::totes::after_deed(state, ask);
}

/// A click: marks a row, goes to a screen, or does what the button says.
pub fn click(state: &mut State, (col, row): (u16, u16)) -> Vec<Effect> {
    let at = ratatui::layout::Position { x: col, y: row };
    let hit = state.hits.iter().rev().find(|(area, _)| area.contains(at)).map(|(_, what)| *what);
    match hit {
        Some(Click::Screen(screen)) => {
            state.status = None;
            go(state, screen)
        }
        Some(Click::Row(row)) => {
            screens::point(state, row);
            Vec::new()
        }
        Some(Click::Pick(row)) => picked(state, Some(row)),
        Some(Click::Do(action)) => update(state, action),
        None => Vec::new(),
    }
}

/// Something was refused: its question comes back with why, or the status line says it.
pub fn refused(state: &mut State, problem: &Problem) {
    screens::walk::deed_refused(state);
    let mut text = problem.what.clone();
    for hint in &problem.hints {
        text = format!("{text}. {hint}");
    }
    let asked = state.asked.take();
    if let Some(Popup::Form(form)) = asked {
        return form::refused(state, form, problem);
    }
    if today::line_refused(state, &text) {
        state.refuse(text);
    } else if let Some(Popup::Prompt(mut prompt)) = asked {
        prompt.refusal = Some(text.clone());
        state.popups.push(Popup::Prompt(prompt));
        state.refuse(text);
    } else {
        let long = super::widgets::text::width(&text) > usize::from(state.size.0).saturating_sub(4);
        if (long || problem.what.contains('\n')) && state.popups.is_empty() {
            let lines = problem.what.lines().chain(problem.hints.iter().map(String::as_str));
            let lines = lines.map(|l| (String::new(), l.to_owned())).collect();
            let title = format!("Not done [{}]", problem.code);
            state.popups.push(Popup::read(title, lines));
        }
        state.refuse(text);
    }
}

/// A page to find in by letters, for screens that jump to what is found.
pub fn jump_list(state: &mut State, title: &str, rows: Vec<(String, String)>) -> Vec<Effect> {
    if rows.is_empty() {
        state.refuse("There is nothing to find here yet");
    } else {
        state.popups.push(Pick::letters(title, rows, Flow::Jump));
    }
    Vec::new()
}

/// Opens the search of a list.
pub fn find_in_list(state: &mut State, filter: &str) -> Vec<Effect> {
    let field = Field::new(filter);
    state.open(Popup::Find(field))
}
