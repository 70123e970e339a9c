//! A round of a box, off to on, is one unbroken stretch for that box: from times, places and what feeds what.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};

use super::order::Steps;
use super::{Found, View};
use crate::domain::{BoxMode, Moment, Phase, PieceId, PlaceId, StepDeed};
use crate::planner::PlannedStep;
use crate::steps::{State, StepKey};

pub(super) fn look(view: &View, steps: &Steps, found: &mut Found) {
    for (prop, piece) in &steps.fed {
        let place = view.facts.placement(*prop).and_then(|p| p.place_id);
        for connect in steps.ups(*prop).filter(|p| p.step.deed == StepDeed::Connect) {
            connected(view, steps, connect, (*piece, place), found);
        }
    }
    for test in view.plan.steps.iter().filter(|p| is_open(p) && p.step.deed == StepDeed::Test) {
        tested(view, test, found);
    }
}

/// The data test from the player is of no round.
fn is_data_test(key: &str) -> bool {
    key.ends_with("/data/up")
}

fn is_open(p: &PlannedStep) -> bool {
    p.state == State::Open
}

/// The steps of a box at a place, of one deed.
pub(super) fn of_box<'a>(
    view: &View<'a>,
    (piece, place): (PieceId, Option<PlaceId>),
    deed: StepDeed,
) -> impl Iterator<Item = &'a PlannedStep> {
    let begin = format!("box:{piece}:");
    view.plan.steps.iter().filter(move |p| {
        let key = p.step.key.as_str();
        key.starts_with(&begin) && !is_data_test(key) && p.step.place == place && p.step.deed == deed
    })
}

fn connected(
    view: &View,
    steps: &Steps,
    connect: &PlannedStep,
    of: (PieceId, Option<PlaceId>),
    found: &mut Found,
) {
    if !is_open(connect) {
        return;
    }
    let key = &connect.step.key;
    if !view.plan.told.sessions {
        let off = of_box(view, of, StepDeed::Power).filter(|p| p.order < connect.order || !is_open(p));
        if off.count() == 0 {
            found.say("not_off", key, "no off of its box comes before it");
        }
        return;
    }
    let Some((from, to)) = connect.from.zip(connect.to) else { return };
    let same = |p: &&PlannedStep| p.session == connect.session && p.session.is_some();
    let off = of_box(view, of, StepDeed::Power).filter(same).filter(|p| p.to.is_some_and(|t| t <= from));
    let Some(off) = off.max_by_key(|p| p.from) else {
        found.say("not_off", key, "its box is not switched off and tagged before it in the same session");
        return;
    };
    let after = |deed: StepDeed, t: DateTime<Utc>| {
        let later = of_box(view, of, deed).filter(same).filter(move |p| p.from.is_some_and(|f| f >= t));
        later.min_by_key(|p| p.from)
    };
    let plugs = after(StepDeed::Check, to);
    let on = plugs.and_then(|p| p.to).and_then(|t| after(StepDeed::Test, t));
    let (Some(_), Some(on)) = (plugs, on) else {
        found.say("round_broken", key, "no look at the plugs and no light test follow in the same session");
        return;
    };
    let (Some(begun), Some(until)) = (off.from, on.from) else { return };
    for p in view.plan.steps.iter().filter(|p| p.step.key != on.step.key && lights(steps, p, of.0)) {
        let between = p.from.is_some_and(|f| f < until) && p.to.is_some_and(|t| t > begun);
        if between && matches!(p.state, State::Open | State::Doing) {
            found.say("on_in_round", key, format!("{} has the box on between off and on", p.step.key));
        }
    }
}

/// Whether a step has this box on: its tests, and what the recipe of something it feeds asks to see lit in its place.
fn lights(steps: &Steps, p: &PlannedStep, piece: PieceId) -> bool {
    if p.step.key.as_str().starts_with(&format!("box:{piece}")) {
        return p.step.deed == StepDeed::Test;
    }
    let Some(id) = p.step.placement.filter(|_| p.step.phase == Phase::Up) else { return false };
    let lit = steps.recipe(p).is_some_and(|r| r.box_mode == Some(BoxMode::On));
    lit && p.step.deed != StepDeed::GroundLight && steps.fed.get(&id) == Some(&piece)
}

/// A light test of a box comes after an off and a look at the plugs of the same session.
fn tested(view: &View, test: &PlannedStep, found: &mut Found) {
    let key = test.step.key.as_str();
    let Some(owner) = key.strip_prefix("box:").and_then(|k| k.split('/').next()) else { return };
    if is_data_test(key) || !view.plan.told.sessions {
        return;
    }
    let Some(from) = test.from else { return };
    let mine = format!("box:{owner}/");
    for deed in [StepDeed::Power, StepDeed::Check] {
        let own = view.plan.steps.iter().filter(|p| p.step.key.as_str().starts_with(&mine));
        let seen = own.filter(|p| p.step.deed == deed).any(|p| {
            let before = p.session == test.session && p.to.is_some_and(|t| t <= from);
            before || p.state == State::Skipped
        });
        if !seen {
            let what = format!("no {} of its box comes before it in the same session", deed.as_str());
            found.say("round_broken", &test.step.key, what);
        }
    }
}

/// The off, the look and the test of each round that was left between off and on: its session is over (or hours ago,
/// where it was in none), or the box was on since.
pub(super) fn begun_again<'a>(view: &View<'a>) -> BTreeSet<&'a StepKey> {
    let mut again = BTreeSet::new();
    let ticked = |key: &StepKey| view.derived.progress.get(key);
    let at = |m: Option<Moment>| m.and_then(|m| DateTime::<Utc>::from_timestamp_millis(m.0));
    let done = |p: &PlannedStep| {
        let of = ticked(&p.step.key).map(|t| t.state_for(p.step.of));
        matches!(of, Some(State::Done | State::Skipped))
    };
    for off in view.plan.steps.iter().filter(|p| p.step.stretch.as_ref() == Some(&p.step.key)) {
        let (Some((piece, _)), true) = (off.step.box_mode, off.step.deed == StepDeed::Power) else {
            continue;
        };
        let mine = view.plan.steps.iter().filter(|p| p.step.stretch == off.step.stretch);
        let mine: Vec<&PlannedStep> = mine.collect();
        let state = ticked(&off.step.key).map(|t| t.state_for(None));
        let going_on = |p: &&PlannedStep| ticked(&p.step.key).is_some_and(|t| t.state == State::Doing);
        if state == Some(State::Skipped) || mine.iter().all(|p| done(p)) || mine.iter().any(going_on) {
            continue;
        }
        let left = match at(ticked(&off.step.key).and_then(|t| t.to)) {
            None => true,
            Some(then) => {
                let since = view.plan.steps.iter().any(|p| {
                    p.step.box_mode == Some((piece, BoxMode::On))
                        && p.step.stretch != off.step.stretch
                        && ticked(&p.step.key).and_then(|t| at(t.to.or(t.from))).is_some_and(|t| t > then)
                });
                let in_session = view.plan.sessions.iter().find(|s| s.from <= then && then <= s.to);
                since || in_session.map_or((view.now - then).num_minutes() > 180, |s| s.to <= view.now)
            }
        };
        let all_in = mine.iter().filter(|p| p.step.deed == StepDeed::Connect).all(|p| done(p));
        for p in mine {
            let due = match p.step.deed {
                StepDeed::Power => left,
                StepDeed::Check => left || !all_in,
                StepDeed::Test => !all_in,
                _ => false,
            };
            if due {
                again.insert(&p.step.key);
            }
        }
    }
    again
}
