//! One folder a screen: plain state, update, view.
//!
//! Not here: keys (`keymap`), what is common to all screens (`update`, `widgets`).

pub mod buy;
pub mod faults;
mod keys;
pub mod kit;
mod next;
pub mod plan;
pub mod power;
pub mod seasons;
pub mod today;
pub mod totes;
pub mod walk;
pub mod yard;

pub use keys::{begins, hints, last_top};
use ratatui::layout::Rect;

use super::action::Action;
use super::effect::Effect;
use super::listing::Listing;
use super::state::State;
use super::update;
use super::widgets::Canvas;
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
