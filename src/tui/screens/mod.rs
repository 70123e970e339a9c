//! One folder a screen: plain state, update, view.
//!
//! Not here: keys (`keymap`), what is common to all screens (`update`, `widgets`).

pub mod buy;
pub mod faults;
pub mod kit;
pub mod plan;
pub mod power;
pub mod seasons;
pub mod today;
pub mod totes;
pub mod walk;
pub mod yard;

use ratatui::layout::Rect;

use super::action::Action;
use super::effect::Effect;
use super::keymap::{WHERE_ROOM, When};
use super::listing::Listing;
use super::popup::Popup;
use super::state::State;
use super::update;
use super::widgets::text::width;
use super::widgets::{Canvas, frame, overlay};
use crate::answers::view::{Aim, ScreenId};
use crate::app::Page;

/// The screen that a digit goes to.
pub const fn of_digit(action: Action) -> Option<ScreenId> {
    match action {
        Action::GoToday => Some(ScreenId::Today),
        Action::GoWalk => Some(ScreenId::Walk),
        Action::GoYard => Some(ScreenId::Yard),
        Action::GoPlan => Some(ScreenId::Plan),
        Action::GoKit => Some(ScreenId::Kit),
        Action::GoPower => Some(ScreenId::Power),
        Action::GoFaults => Some(ScreenId::Faults),
        Action::GoTotes => Some(ScreenId::Totes),
        Action::GoBuy => Some(ScreenId::Buy),
        Action::GoSeasons => Some(ScreenId::Seasons),
        _ => None,
    }
}

/// An action on the screen that is shown.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    match state.screen {
        ScreenId::Today => today::update(state, action),
        ScreenId::Walk => walk::update(state, action),
        ScreenId::Yard => yard::update(state, action),
        ScreenId::Plan => plan::update(state, action),
        ScreenId::Kit => kit::update(state, action),
        ScreenId::Power => power::update(state, action),
        ScreenId::Faults => faults::update(state, action),
        ScreenId::Totes => totes::update(state, action),
        ScreenId::Buy => buy::update(state, action),
        ScreenId::Seasons => seasons::update(state, action),
    }
}

/// Takes in a computed page.
pub fn set_page(state: &mut State, page: Page) {
    match page {
        Page::Today(page) => {
            state.days = page.days_to_lights_on;
            state.today.set(page);
        }
        Page::Walk(page) => {
            // What was just said of a deed stands behind it.
            if state.screen == ScreenId::Walk
                && let Some(text) = state.walk.changes(&page)
            {
                let before = state.status.take().map_or(String::new(), |s| format!(". {}", s.text));
                state.say(format!("{text}{before}"));
            }
            let aim = state.walk.aim.clone();
            state.walk.set(page);
            if aim.is_some_and(|key| state.walk.steps().all(|s| s.key != key)) {
                state.refuse("That step is in no list any more: it is done, held or not planned");
            }
        }
        Page::Yard(page) => state.yard.set(page),
        Page::Plan(page) => state.plan.set(page),
        Page::Kit(page) => state.kit.set(page),
        Page::Power(page) => state.power.set(page),
        Page::Faults(page) => state.faults.set(page),
        Page::Totes(page) => state.totes.set(page),
        Page::Buy(page) => state.buy.set(page),
        Page::Seasons(page) => state.seasons.set(page),
    }
}

/// The screen is in sight, with its page.
pub fn shown(state: &mut State) {
    match (state.screen, state.aim.take()) {
        (ScreenId::Plan, Some(aim)) => state.plan.aim(&aim),
        (ScreenId::Faults, Some(aim)) => state.faults.aim(&aim),
        (ScreenId::Seasons, Some(aim)) => state.seasons.aim(&aim),
        (ScreenId::Totes, Some(Aim::Row(code))) => state.totes.mark(&code),
        (ScreenId::Buy, Some(_)) => {
            state.buy.part = buy::Part::Needs;
            state.buy.list = Listing::default();
            state.buy.refill();
        }
        _ => {}
    }
    if state.screen == ScreenId::Walk {
        walk::shown(state);
    }
}

/// Draws the screen that is shown.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    match state.screen {
        ScreenId::Today => today::view::draw(state, canvas, area),
        ScreenId::Walk => walk::view::draw(state, canvas, area),
        ScreenId::Yard => yard::view::draw(state, canvas, area),
        ScreenId::Plan => plan::view::draw(state, canvas, area),
        ScreenId::Kit => kit::view::draw(state, canvas, area),
        ScreenId::Power => power::view::draw(state, canvas, area),
        ScreenId::Faults => faults::view::draw(state, canvas, area),
        ScreenId::Totes => totes::view::draw(state, canvas, area),
        ScreenId::Buy => buy::view::draw(state, canvas, area),
        ScreenId::Seasons => seasons::view::draw(state, canvas, area),
    }
}

/// Says that an action has no meaning where one stands.
pub fn no_use(state: &mut State, action: Action) -> Vec<Effect> {
    let screen = state.screen.name();
    let what = action.help().split([';', ':']).next().unwrap_or_default();
    state.refuse(format!("Nothing here on {screen} for that ({what}); ? shows the keys"))
}

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

/// The list that `/` narrows on this screen, with a way to fill it again.
fn listing(state: &mut State) -> Option<&mut Listing> {
    match state.screen {
        ScreenId::Kit => Some(&mut state.kit.list),
        ScreenId::Faults => Some(&mut state.faults.list),
        ScreenId::Totes => Some(&mut state.totes.list),
        ScreenId::Buy => Some(&mut state.buy.list),
        _ => None,
    }
}

/// Narrows the list of this screen.
pub fn set_filter(state: &mut State, text: String) {
    if let Some(list) = listing(state) {
        list.filter = text;
        list.at = 0;
        list.shown.clear();
    }
    match state.screen {
        ScreenId::Kit => state.kit.refill(),
        ScreenId::Faults => state.faults.refill(),
        ScreenId::Totes => state.totes.refill(),
        ScreenId::Buy => state.buy.refill(),
        _ => {}
    }
}

/// Shows all rows again; false where nothing was narrowed.
pub fn clear_filter(state: &mut State) -> bool {
    let kinds = state.screen == ScreenId::Kit && state.kit.kind.take().is_some();
    if kinds {
        state.kit.refill();
    }
    let kept = match listing(state) {
        Some(list) if !list.filter.is_empty() => list.marked(),
        _ => return kinds,
    };
    set_filter(state, String::new());
    if let (Some(list), Some(row)) = (listing(state), kept) {
        list.mark(row);
    }
    true
}

/// `/`: narrows the list where there is one, else offers what can be gone to.
pub fn start_find(state: &mut State) -> Vec<Effect> {
    if let Some(list) = listing(state) {
        let filter = list.filter.clone();
        return update::find_in_list(state, &filter);
    }
    match state.screen {
        ScreenId::Today => {
            let mut effects = update::go(state, ScreenId::Kit);
            effects.push(Effect::Run(Action::StartFind));
            effects
        }
        ScreenId::Walk => {
            let rows = walk::finds(state);
            update::jump_list(state, "Go to a step", rows)
        }
        ScreenId::Yard => {
            let rows = yard::finds(state);
            update::jump_list(state, "Go to a place", rows)
        }
        ScreenId::Plan => {
            let rows = plan::finds(state);
            update::jump_list(state, "Go to a step", rows)
        }
        ScreenId::Power => {
            let rows = power::finds(state);
            update::jump_list(state, "Go to a box, port, prop or finding", rows)
        }
        ScreenId::Seasons => {
            let rows = seasons::finds(state);
            update::jump_list(state, "Go to a season", rows)
        }
        _ => Vec::new(),
    }
}

/// Marks a row that was pointed at.
pub fn point(state: &mut State, row: usize) {
    match state.screen {
        ScreenId::Today => state.today.at = row,
        ScreenId::Plan => state.plan.row = row,
        ScreenId::Kit | ScreenId::Faults | ScreenId::Totes | ScreenId::Buy => {
            if let Some(list) = listing(state) {
                list.mark(row);
            }
        }
        ScreenId::Walk | ScreenId::Yard | ScreenId::Power | ScreenId::Seasons => {
            jump(state, row);
        }
    }
}

/// Goes to the row that was found.
pub fn jump(state: &mut State, row: usize) -> Vec<Effect> {
    match state.screen {
        ScreenId::Walk => (state.walk.at, state.walk.touched) = (row, true),
        ScreenId::Yard => state.yard.at = row,
        ScreenId::Plan => state.plan.at = row,
        ScreenId::Power => power::jump(state, row),
        ScreenId::Seasons => state.seasons.at = row,
        _ => {}
    }
    Vec::new()
}

/// The marked row for the clipboard: its code, or all of it in words.
pub fn copied(state: &State, line: bool) -> Option<String> {
    let (code, words): (String, String) = match state.screen {
        ScreenId::Today => state.today.words()?,
        ScreenId::Walk => {
            let step = state.walk.step()?;
            let code = step.placement.clone().unwrap_or_else(|| step.key.clone());
            (code, format!("{}: {}, {}", step.prop, step.title, step.place))
        }
        ScreenId::Yard => state.yard.place().map(|p| (p.code.clone(), format!("{}  {}", p.code, p.name)))?,
        ScreenId::Plan => {
            let (session, step) = state.plan.step()?;
            let code = step.placement.clone().unwrap_or_else(|| step.key.clone());
            (code, format!("{}: {}: {}, {}", session.day, step.prop, step.title, step.place))
        }
        ScreenId::Kit => state
            .kit
            .row()
            .map(|r| (r.code.clone(), format!("{}  {}, {}, {}", r.code, r.name, r.state, r.home)))?,
        ScreenId::Power => power::copied(state)?,
        ScreenId::Faults => state
            .faults
            .row()
            .map(|r| (r.code.clone(), format!("{}  {}: {}, {}", r.code, r.target, r.symptom, r.state)))?,
        ScreenId::Totes => state.totes.row().map(|r| (r.code.clone(), r.said()))?,
        ScreenId::Buy => {
            let need = state.buy.page.as_ref()?.needs.get(state.buy.list.marked()?)?;
            (need.title.clone(), format!("{} x {}", need.quantity, need.title))
        }
        ScreenId::Seasons => seasons::copied(state)?,
    };
    Some(if line { words } else { code })
}
