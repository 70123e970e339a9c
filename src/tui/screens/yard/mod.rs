//! Yard: a drawn map of the places; choose one to walk it.
//!
//! Not here: where places lie (`app`).

pub mod map;
pub mod state;
pub mod view;

pub use state::{Marks, YardState};

use super::{no_use, walk};
use crate::answers::view::YardPlace;
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::form;
use crate::tui::state::State;

/// An action on Yard.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    let count = state.yard.places().len();
    match action {
        Action::SwitchMarks => {
            state.yard.marks = state.yard.marks.next();
            return state.say(format!("The map marks {}", state.yard.marks.word()));
        }
        Action::NextSection if count > 0 => {
            state.yard.at = (state.yard.at + 1) % count;
            return Vec::new();
        }
        Action::PrevSection if count > 0 => {
            state.yard.at = (state.yard.at + count - 1) % count;
            return Vec::new();
        }
        Action::GoFirst => {
            state.yard.at = 0;
            return Vec::new();
        }
        Action::GoLast => {
            state.yard.at = count.saturating_sub(1);
            return Vec::new();
        }
        _ => {}
    }
    let Some(place) = state.yard.place().cloned() else {
        return state.refuse("No place is told yet; import places or props first");
    };
    match action {
        Action::MoveUp | Action::MoveDown | Action::MoveLeft | Action::MoveRight => {
            match nearest(state.yard.places(), state.yard.at, action) {
                Some(at) => state.yard.at = at,
                None => {
                    state.refuse("No place lies further that way; Tab goes through all");
                }
            }
            Vec::new()
        }
        Action::EditField => form::of("place", place.code),
        Action::OpenRow => {
            if let Some(key) = place.next_key {
                let phase = state.phase;
                return walk::go_to_step(state, key, phase);
            }
            state.refuse(match place.total {
                0 => format!("No step is at {} here; p on 2 Walk shows another phase", place.name),
                n => format!("All is done at {}: {n} of {n}", place.name),
            })
        }
        _ => no_use(state, action),
    }
}

/// The place that lies next in a direction: way across counts double.
fn nearest(places: &[YardPlace], from: usize, action: Action) -> Option<usize> {
    let here = places.get(from)?;
    let far = |p: &YardPlace| {
        let (dx, dy) = (p.x_mm.saturating_sub(here.x_mm), p.y_mm.saturating_sub(here.y_mm));
        let (along, across) = match action {
            Action::MoveUp => (dy, dx),
            Action::MoveDown => (dy.saturating_neg(), dx),
            Action::MoveLeft => (dx.saturating_neg(), dy),
            _ => (dx, dy),
        };
        (along > 0).then(|| along.saturating_add(across.saturating_abs().saturating_mul(2)))
    };
    places
        .iter()
        .enumerate()
        .filter(|(_, p)| p.on_map)
        .filter_map(|(at, p)| far(p).map(|d| (d, at)))
        .min()
        .map(|(_, at)| at)
}

/// The places as a list to find in.
pub fn finds(state: &State) -> Vec<(String, String)> {
    let row = |p: &YardPlace| (p.name.clone(), p.placements.join(", "));
    state.yard.places().iter().map(row).collect()
}
