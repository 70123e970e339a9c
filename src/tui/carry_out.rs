//! Carrying out what an update wanted on a host: deeds, pages, questions; no terminal in it.

use std::collections::VecDeque;

use super::effect::Effect;
use super::form::{self, Want};
use super::host::Host;
use super::popup::{Flow, Pick, Popup, Prompt};
use super::run::Options;
use super::screens::{today, totes};
use super::state::State;
use super::update::{loaded, performed, refused, update};
use crate::answers::view::{PastRow, ScreenId};
use crate::app::{Problem, Question};

/// What the loop does after effects were carried out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    Go,
    Suspend,
    Quit,
    /// Leave for the demo yard.
    Demo,
}

/// The state at start, with Today computed.
pub fn begin(host: &mut dyn Host, options: &Options) -> State {
    let mut state = State::new(host.frame(), options.look, options.keymap.clone());
    state.mouse = options.mouse;
    state.walk.whose.clone_from(&options.whose);
    state.glove_ms = options.glove_ms;
    state.settings.clone_from(&options.settings);
    carry_out(&mut state, host, vec![Effect::Load(ScreenId::Today)]);
    if let Some(notice) = &options.notice {
        state.refuse(notice.clone());
    }
    state
}

/// Carries out what an update wanted, in order; what follows a refusal is left out.
pub fn carry_out(state: &mut State, host: &mut dyn Host, effects: Vec<Effect>) -> Outcome {
    let mut queue = VecDeque::from(effects);
    while let Some(effect) = queue.pop_front() {
        match effect {
            Effect::Perform(ask) => match host.perform(&ask) {
                Ok(said) => {
                    performed(state, &ask, &said);
                    state.frame = host.frame();
                    let here = state.screen;
                    ScreenId::ALL.into_iter().filter(|s| *s != here).for_each(|s| state.outdate_page(s));
                    // A row of deeds is shown once all of it is done.
                    if !matches!(queue.front(), Some(Effect::Perform(_))) {
                        queue.push_front(Effect::Load(here));
                    }
                }
                Err(problem) => {
                    refused(state, &problem);
                    queue.clear();
                }
            },
            Effect::Load(screen) => {
                let want = state.want();
                match host.page(screen, &want) {
                    Ok(page) => loaded(state, page),
                    Err(problem) => {
                        state.forget_page(screen);
                        refused(state, &problem);
                        queue.clear();
                    }
                }
            }
            Effect::Run(action) => {
                for effect in update(state, action).into_iter().rev() {
                    queue.push_front(effect);
                }
            }
            Effect::Tell(want) => {
                for effect in tell(state, host, want).into_iter().rev() {
                    queue.push_front(effect);
                }
            }
            Effect::Start(after) => start(state, host, after),
            Effect::History => match host.past() {
                Ok(rows) => show_past(state, rows),
                Err(problem) => refused(state, &problem),
            },
            Effect::WhatIf(change) => {
                let begun = host.what_if(state.phase, &change);
                weighs(state, begun);
            }
            Effect::WhatHelps => {
                let begun = host.what_helps(state.phase);
                weighs(state, begun);
            }
            Effect::SwitchSeason(code) => {
                let said = host.switch_season(&code);
                state.phase = None;
                for screen in ScreenId::ALL {
                    state.outdate_page(screen);
                }
                state.frame = host.frame();
                state.say(said);
                queue.push_front(Effect::Load(state.screen));
            }
            Effect::KeepLook(look) => {
                if let Err(problem) = host.keep_look(look) {
                    state.refuse(format!("This look is not kept for the next start: {}", problem.what));
                }
            }
            Effect::KeepWhose(name) => {
                if let Err(problem) = host.keep_whose(&name) {
                    state.refuse(format!("This is not kept for the next start: {}", problem.what));
                }
            }
            Effect::OpenPhoto { fault, number } => match host.open_photo(&fault, number) {
                Ok(said) => {
                    state.say(said);
                }
                Err(problem) => refused(state, &problem),
            },
            Effect::ShowPacking => match host.packing() {
                Ok(moves) => totes::show_packing(state, moves),
                Err(problem) => refused(state, &problem),
            },
            Effect::StopWork => {
                let said = host.stop();
                state.say(said);
            }
            Effect::Suspend => return Outcome::Suspend,
            Effect::Demo => return Outcome::Demo,
            Effect::Quit => return Outcome::Quit,
        }
    }
    if let Some(of) = state.detail_wanted()
        && let Some(detail) = host.detail(of)
    {
        state.take_detail(of, detail);
    }
    state.background = host.background();
    Outcome::Go
}

/// Says that something is being weighed, or why it can't be.
fn weighs(state: &mut State, begun: Result<(), Problem>) {
    match begun {
        Ok(()) => {
            state.asked = None;
            state.say("Weighing it; Ctrl-X stops");
        }
        Err(problem) => refused(state, &problem),
    }
}

/// Asks the next question of the start; after the last one reads back what is told.
fn start(state: &mut State, host: &dyn Host, after: Option<Question>) {
    state.asked = None;
    state.popups.clear();
    if let Some(asked) = host.next_question(after) {
        let flow = Flow::Today(today::Flow::Start(asked.question));
        state.popups.push(Prompt::ask(asked.title, asked.takes, flow));
    } else {
        let title = "Told so far; 2 walks the checklist, + tells more".to_owned();
        state.popups.push(Popup::read(title, host.read_back()));
    }
}

/// Opens what is to be told next.
fn tell(state: &mut State, host: &dyn Host, want: Want) -> Vec<Effect> {
    state.asked = None;
    match want {
        Want::Kinds => form::ask_kind(state, host.kinds()),
        Want::Rows(kind) => return form::ask_row(state, kind, host.rows(kind)),
        Want::Form(kind, called) => match host.form(kind, called.as_deref()) {
            Some(page) => form::open(state, page),
            None => {
                state.refuse("It is not there any more");
            }
        },
    }
    Vec::new()
}

/// The deeds to look at, and to go back to before one of them.
fn show_past(state: &mut State, rows: Vec<PastRow>) {
    if rows.is_empty() {
        state.refuse("Nothing was done yet");
        return;
    }
    let undos = rows.iter().map(|r| r.undos).collect();
    let lines = rows
        .into_iter()
        .map(|r| {
            let mark = if r.mark.is_empty() { String::new() } else { format!("{}, ", r.mark) };
            (r.what, format!("{mark}{} {}", r.at, r.device))
        })
        .collect();
    let title = "Done, latest first; Enter goes back to before it, U forward again";
    state.popups.push(Pick::digits(title, lines, Flow::History(undos)));
}

/// Takes in what long work has changed; true where something shows differently.
pub fn poll(state: &mut State, host: &mut dyn Host) -> bool {
    let changed = host.poll();
    for screen in &changed {
        if *screen == state.screen {
            carry_out(state, host, vec![Effect::Load(*screen)]);
        } else {
            state.outdate_page(*screen);
        }
    }
    let weighed = show_weighed(state, host, false);
    let found = host.found();
    if let Some(problem) = &found {
        state.frame = host.frame();
        carry_out(state, host, vec![Effect::Load(state.screen)]);
        refused(state, problem);
    }
    state.background = host.background();
    weighed || found.is_some() || changed.contains(&state.screen)
}

/// Shows a change that was weighed; never over something that is being typed. True where it shows.
pub(super) fn show_weighed(state: &mut State, host: &mut dyn Host, wait: bool) -> bool {
    if !state.popups.is_empty() {
        return false;
    }
    match host.weighed(wait) {
        None => return false,
        Some(Ok(lines)) => {
            state.status = None;
            state.plan.helped(&lines);
            state.popups.push(Popup::read("What if".to_owned(), lines));
        }
        Some(Err(problem)) => refused(state, &problem),
    }
    true
}
