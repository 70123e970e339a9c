//! What the line of keys names on each screen: what has something to act on.

use ratatui::layout::Rect;

use super::{plan, power, seasons, walk};
use crate::answers::view::ScreenId;
use crate::tui::action::Action;
use crate::tui::keymap::{WHERE_ROOM, When};
use crate::tui::popup::Popup;
use crate::tui::state::State;
use crate::tui::widgets::text::width;
use crate::tui::widgets::{frame, overlay};

/// What begins a yard, with its word in the line of keys.
const BEGIN: [(Action, &str); 4] = [
    (Action::NewSeason, "begin"),
    (Action::AddProp, "add a prop"),
    (Action::ImportFiles, "bring in"),
    (Action::OpenDemo, "demo"),
];

/// Whether an action begins a yard, on whatever screen.
pub fn begins(action: Action) -> bool {
    BEGIN.iter().any(|(begin, _)| *begin == action)
}

/// Whether a screen has nothing of what only `+` tells.
fn bare(state: &State) -> bool {
    match state.screen {
        ScreenId::Totes => state.totes.page.as_ref().is_some_and(|p| p.rows.is_empty()),
        ScreenId::Power => state.power.page.as_ref().is_some_and(|p| p.nodes.is_empty()),
        ScreenId::Kit => state.kit.row().is_none() && state.kit.list.filter.is_empty(),
        _ => false,
    }
}

/// What the line of keys shows here: key and word of what has something to act on.
pub fn hints(state: &State) -> Vec<(String, &'static str)> {
    let own = |action: Action| useful(state, action);
    let mut list = state.keymap.hints(state.mode(), own);
    if state.frame.empty && state.popups.is_empty() && state.screen != ScreenId::Seasons {
        let today = When::On(ScreenId::Today);
        let keyed = |(a, word)| Some((state.keymap.key_in(today, a)?.to_string(), word));
        let first: Vec<(String, &str)> = BEGIN.into_iter().filter_map(keyed).collect();
        list.retain(|(_, word)| matches!(*word, "find" | "keys" | "leave"));
        list.splice(0..0, first);
    } else if state.popups.is_empty() && bare(state) {
        let keyed = state.keymap.key_in(state.mode(), Action::TellFact);
        list.splice(0..0, keyed.map(|key| (key.to_string(), "tell one")));
    }
    if matches!(state.popups.last(), Some(Popup::Reading(_))) {
        scrolls(state, &mut list);
    } else if state.popups.is_empty() {
        where_room(state, &mut list);
        // A narrowed list says how all of it comes back.
        let narrowed = match state.screen {
            ScreenId::Kit => !state.kit.list.filter.is_empty() || state.kit.kind.is_some(),
            ScreenId::Faults => !state.faults.list.filter.is_empty(),
            ScreenId::Totes => !state.totes.list.filter.is_empty(),
            ScreenId::Buy => !state.buy.list.filter.is_empty(),
            _ => false,
        };
        if let Some(find) = list.iter().position(|(_, word)| *word == "find").filter(|_| narrowed) {
            let key = state.keymap.key_in(state.mode(), Action::ClearSearch);
            list.splice(find..=find, key.map(|key| (key.to_string(), "shows all")));
        }
    }
    list
}

/// The last line that the open page to read can begin with.
pub fn last_top(state: &State) -> usize {
    let (width, height) = state.size;
    let body = frame::body(state, Rect { x: 0, y: 0, width, height });
    match state.popups.last() {
        Some(Popup::Reading(page)) => overlay::last_top(page, body),
        _ => 0,
    }
}

/// A page to read names the keys by which it can still be scrolled.
fn scrolls(state: &State, list: &mut Vec<(String, &'static str)>) {
    let top = if let Some(Popup::Reading(page)) = state.popups.last() { page.top } else { 0 };
    let keys = match (top > 0, top < last_top(state)) {
        (false, false) => None,
        (false, true) => Some("Down"),
        (true, false) => Some("Up"),
        (true, true) => Some("Up Down"),
    };
    list.retain(|(_, word)| *word != "scroll" || keys.is_some());
    for (key, _) in list.iter_mut().filter(|(_, word)| *word == "scroll") {
        keys.unwrap_or_default().clone_into(key);
    }
}

/// Keys that are named where the line has room for them, before those that every screen has.
fn where_room(state: &State, list: &mut Vec<(String, &'static str)>) {
    let used = |list: &[(String, &str)]| list.iter().map(|(k, w)| width(k) + width(w) + 3).sum::<usize>();
    let at = list.iter().position(|(_, word)| *word == "find").unwrap_or(list.len());
    let mine =
        WHERE_ROOM.iter().filter(|(screen, action, _)| *screen == state.screen && useful(state, *action));
    let mode = state.mode();
    let keyed =
        mine.filter_map(|(_, action, word)| Some((state.keymap.key_in(mode, *action)?.to_string(), *word)));
    let mut at = at;
    for (key, word) in keyed {
        if used(list) + width(&key) + width(word) + 3 <= usize::from(state.size.0) {
            list.insert(at, (key, word));
            at += 1;
        }
    }
}

/// Whether an action of a screen has something to act on, as the screen stands.
fn useful(state: &State, action: Action) -> bool {
    use Action::{
        AddForecast, AddNeed, AddOffer, AddProp, AddSession, AllGood, AskGuide, CameOff, ChoosePhase,
        CloseSeason, CountStep, FaultHere, GoWalk, HoldStep, KeepPlan, LogDark, MendFault, NewFault,
        NewSeason, NextSession, OpenRow, PatchFault, ProposeNumbers, ReceiveOrder, ShowFetch, SwitchOffFault,
        TestFault, ToggleBig, TurnWhose, WriteNumbers,
    };
    let everywhere = matches!(action, Action::StartFind | Action::ShowHelp | Action::QuitProgram);
    if everywhere || !state.popups.is_empty() {
        return true;
    }
    match state.screen {
        ScreenId::Today => action != OpenRow || !state.today.is_empty(),
        ScreenId::Walk => match (state.walk.step(), action) {
            (_, ChoosePhase) => true,
            (_, GoWalk) => state.phase.is_some(),
            (_, NextSession) => state.walk.page.as_ref().is_some_and(|p| p.sessions.len() > 1),
            (_, AddForecast | LogDark) => walk::tonight(state),
            (None, _) => false,
            (Some(_), ShowFetch) => state.walk.page.as_ref().is_some_and(|p| !p.fetch.is_empty()),
            (Some(step), CountStep) => step.count.is_some(),
            (Some(_), TurnWhose) => state.walk.people().len() > 1,
            (Some(step), AllGood | CameOff) => step.comes_home && walk::is_open(step),
            // They give way to those two where the line is short.
            (Some(step), FaultHere | HoldStep | ToggleBig) => !(step.comes_home && walk::is_open(step)),
            _ => true,
        },
        ScreenId::Yard => state.yard.place().is_some(),
        ScreenId::Plan => match state.plan.part {
            _ if action == AddSession => true,
            plan::Part::Days | plan::Part::Month => state.plan.session().is_some(),
            part => action == KeepPlan || (action == OpenRow && part == plan::Part::Unplaced),
        },
        ScreenId::Kit => action == AddProp || state.kit.row().is_some(),
        ScreenId::Power => match action {
            WriteNumbers => state.power.page.iter().any(|p| p.numbers.iter().any(|n| n.proposed)),
            OpenRow if !matches!(state.power.part, power::Part::Findings | power::Part::Tree) => false,
            ProposeNumbers => state.power.page.iter().any(|p| !p.numbers.is_empty()),
            _ => state.power.page.iter().any(|p| !p.nodes.is_empty()),
        },
        ScreenId::Faults => match (state.faults.row(), action) {
            (_, NewFault) => true,
            (Some(row), AskGuide | PatchFault | SwitchOffFault | MendFault | TestFault) => !row.ended,
            (row, _) => row.is_some(),
        },
        ScreenId::Totes => state.totes.row().is_some(),
        ScreenId::Buy if action == ReceiveOrder => state.buy.page.iter().any(|p| p.to_come().count() > 0),
        ScreenId::Buy => {
            matches!(action, AddNeed | AddOffer) || state.buy.page.iter().any(|p| !p.needs.is_empty())
        }
        ScreenId::Seasons => match action {
            NewSeason => true,
            CloseSeason => !state.seasons.is_empty(),
            OpenRow if state.seasons.part == seasons::Part::Rates => !state.seasons.is_empty(),
            _ => state.seasons.row().is_some(),
        },
    }
}
