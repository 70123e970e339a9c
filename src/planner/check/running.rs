//! Tests that run by themselves: from the recipes and the times alone.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};

use super::{Found, View};
use crate::domain::RecipeStepId;
use crate::planner::PlannedStep;
use crate::steps::{State, StepKey};

/// Tests side by side where nothing is told.
const ASSUMED_ROOM: usize = 4;

/// What starts a test: the step of the same owner and recipe step, with "start" behind it.
fn start_key(test: &StepKey) -> Option<StepKey> {
    let (before, phase) = test.as_str().rsplit_once('/')?;
    Some(StepKey::from_text(&format!("{before}.start/{phase}")))
}

/// Each test of a recipe that says so is taken apart, runs no shorter than it says, and there is room for all of them.
pub(super) fn look(view: &View, found: &mut Found) {
    let runs: BTreeMap<RecipeStepId, i64> = view
        .facts
        .yard
        .recipe_runs
        .iter()
        .filter(|r| r.ended_at.is_none() && r.runs_s.s() > 0)
        .map(|r| (r.recipe_step_id, r.runs_s.s()))
        .collect();
    for recipe in &view.facts.yard.recipe_steps {
        let Some(seconds) = runs.get(&recipe.id).filter(|_| recipe.phase == crate::domain::Phase::Bench)
        else {
            continue;
        };
        let of_recipe = |p: &&PlannedStep| {
            p.step.recipe_step == recipe.code && p.step.key.parts().is_some_and(|k| k.deed == recipe.code)
        };
        for test in view.plan.steps.iter().filter(of_recipe) {
            let start = start_key(&test.step.key);
            let edge = test.after.iter().find(|e| e.watched && Some(&e.key) == start.as_ref());
            match edge {
                None => found.say("test_not_started", &test.step.key, "nobody starts it"),
                Some(e) if e.wait_min * 60 < *seconds => {
                    found.say("test_cut_short", &test.step.key, format!("runs {} minutes", e.wait_min));
                }
                Some(_) => {}
            }
        }
    }
    room(view, found);
}

/// From the start of each test to the end of its look.
fn room(view: &View, found: &mut Found) {
    let told = view.facts.yard.sites.first().and_then(|s| s.bench_tests);
    let room = told.and_then(|n| usize::try_from(n).ok()).unwrap_or(ASSUMED_ROOM);
    let mut running: Vec<(DateTime<Utc>, DateTime<Utc>, &StepKey, bool)> = Vec::new();
    for look in view.plan.steps.iter().filter(|p| matches!(p.state, State::Open | State::Doing)) {
        let Some(edge) = look.after.iter().find(|e| e.watched) else { continue };
        let Some(start) = view.steps.get(&edge.key).filter(|s| s.state != State::Skipped) else { continue };
        if let Some((from, to)) = start.from.zip(look.to) {
            running.push((from, to, &look.step.key, start.state == State::Open));
        }
    }
    for (from, _, key, _) in running.iter().filter(|r| r.3) {
        let beside = running.iter().filter(|r| r.0 <= *from && *from < r.1).count();
        if beside > room {
            found.say("bench_full", key, format!("{beside} tests at once, room for {room}"));
        }
    }
}

/// In the session of its start, and somebody who comes to it is there from then on.
pub(super) fn watched(
    view: &View,
    look: &PlannedStep,
    start: &PlannedStep,
    from: DateTime<Utc>,
    found: &mut Found,
) {
    let key = &look.step.key;
    if start.session.is_some() && start.session != look.session {
        found.say("test_left", key, format!("{} is in another session", start.step.key));
        return;
    }
    let Some(end) = start.to.filter(|_| view.plan.told.people) else { return };
    // What was watched before now is over.
    let since = if start.state == State::Open { end } else { end.max(view.now) };
    let Some(session) = look.session.and_then(|s| view.plan.sessions.get(s)) else { return };
    let there = session.people.iter().any(|p| p.from <= since && from <= p.to);
    if since < from && start.session.is_some() && !there {
        found.say("test_alone", key, format!("nobody is there from {since} to {from}"));
    }
}

/// Starts of tests whose session is over, or that were started outside any hours ago, and that nobody looked at.
pub(super) fn started_again<'a>(view: &View<'a>) -> Vec<&'a StepKey> {
    let mut again = Vec::new();
    for look in &view.plan.steps {
        let Some(edge) = look.after.iter().find(|e| e.watched) else { continue };
        let ticked = |key: &StepKey| view.derived.progress.get(key);
        let state = ticked(&look.step.key).map_or(State::Open, |t| t.state_for(look.step.of));
        let started = ticked(&edge.key).filter(|t| t.state == State::Done);
        let Some((start, started)) = view.steps.get_key_value(&edge.key).zip(started) else { continue };
        if matches!(state, State::Done | State::Skipped | State::Doing) {
            continue;
        }
        let over = |t: DateTime<Utc>| {
            let of = view.plan.sessions.iter().find(|s| s.from <= t && t <= s.to);
            of.map_or((view.now - t).num_minutes() > 180, |s| s.to <= view.now)
        };
        let at = started.to.and_then(|m| DateTime::<Utc>::from_timestamp_millis(m.0));
        if at.is_none_or(over) {
            again.push(*start.0);
        }
    }
    again
}
