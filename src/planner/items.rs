//! A phase's steps as the planner takes them, with the sessions and equipment they are planned on.

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, Utc};

use super::ask::Request;
use super::calendar::Calendar;
use super::engine::Time;
use super::map::{Binding, Item, bindings, minutes};
use super::order::positions;
use super::plan::minutes_of;
use super::resources::Equipment;
use super::rounds;
use super::windows::windows;
use crate::domain::{Moment, Phase};
use crate::steps::{State, Step, StepKey, looks};

/// Everything a plan is made from, read once.
pub(super) struct Prepared<'a> {
    pub(super) calendar: Calendar,
    pub(super) equipment: Equipment,
    pub(super) items: Vec<Item<'a>>,
    pub(super) bound: Vec<Vec<Binding>>,
    /// A session is told that is not over yet, be it too late for this phase.
    pub(super) to_come: bool,
}

impl<'a> Prepared<'a> {
    pub(super) fn new(request: &Request<'a>) -> Self {
        let yard = request.facts.yard;
        let until = match request.phase {
            Phase::Up | Phase::Bench | Phase::Once => request.season.lights_off,
            _ => None,
        };
        let mut calendar = Calendar::new(yard, request.now - Duration::days(2), None);
        let to_come = calendar.sessions.iter().any(|s| s.to > request.now);
        let until = until.and_then(|d| d.and_hms_opt(0, 0, 0)).map(|t| calendar.moment(t));
        calendar.sessions.retain(|s| until.is_none_or(|u| s.from < u));
        let mut items = items(request);
        let bound = {
            let at = positions(items.iter().map(|i| &i.step.key));
            bindings(&items, &at)
        };
        rounds::begin_again(&mut items, &calendar, request.now);
        rounds::start_again(&mut items, &calendar, request.now);
        find_unknown_times(&mut items, &bound);
        let equipment = Equipment::new(yard);
        if request.phase != Phase::Tonight {
            divide(request, &calendar, &equipment, &mut items);
        }
        Self { calendar, equipment, items, bound, to_come }
    }
}

fn items<'a>(request: &Request<'a>) -> Vec<Item<'a>> {
    let moment = |m: Moment| DateTime::from_timestamp_millis(m.0);
    request
        .derived
        .steps
        .iter()
        .map(|step| {
            let p = request.derived.progress.get(&step.key);
            let mut state = p.map_or(State::Open, |p| p.state_for(step.of));
            if state == State::Open && step.held.is_some() {
                state = State::Held;
            }
            let done = match (state, step.of) {
                (State::Done, Some(of)) => of,
                _ => p.map_or(0, |p| p.done.min(step.of.unwrap_or(p.done))),
            };
            let whole = step.minutes();
            let minutes = match (state, step.of) {
                (State::Open | State::Doing | State::Held, Some(of)) if done > 0 => {
                    minutes_of(step, of - done, of)
                }
                _ => whole,
            };
            Item {
                step,
                state,
                done,
                why: p
                    .map(|p| p.why.clone())
                    .filter(|w| !w.is_empty())
                    .or(step.held.clone())
                    .unwrap_or_default(),
                minutes,
                from: p.and_then(|p| p.from).and_then(moment),
                to: p.and_then(|p| p.to).and_then(moment),
                person: p.and_then(|p| p.person),
                part: None,
                time_unknown: None,
                left_out: false,
            }
        })
        .collect()
}

/// A step too long for any session that goes over several pieces is planned in part: as many whole pieces as the
/// longest time it could lie in has room for.
fn divide(request: &Request, calendar: &Calendar, equipment: &Equipment, items: &mut [Item]) {
    let starts = starts(items);
    for item in items.iter_mut().filter(|i| i.state == State::Open && i.time_unknown.is_none()) {
        let step = item.step;
        let Some(of) = step.of.filter(|of| of - item.done > 1) else { continue };
        let longest = rooms(request, calendar, equipment, step, request.now).map(|r| r.1).max().unwrap_or(0);
        let runs = looks(step).map_or(0, |e| e.wait_min + starts.get(&e.key).copied().unwrap_or(0));
        let room = i64::from(longest) - runs;
        if item.minutes <= room {
            continue;
        }
        let fits = (1..of - item.done).rev().map(|n| (n, minutes_of(step, n, of))).find(|(_, m)| *m <= room);
        if let Some((pieces, minutes)) = fits {
            item.part = Some(pieces);
            item.minutes = minutes;
        }
    }
}

/// Minutes of what starts a test and is still to be done.
fn starts(items: &[Item]) -> BTreeMap<StepKey, i64> {
    let open = items.iter().filter(|i| i.state == State::Open && crate::steps::starts(&i.step.key));
    open.map(|i| (i.step.key.clone(), i.minutes)).collect()
}

/// Stretches still to come that have the light, weather and hands of a step: their ends in minutes from `origin`, and
/// the minutes of work they have room for after the moving.
pub(super) fn rooms<'a>(
    request: &'a Request,
    calendar: &'a Calendar,
    equipment: &Equipment,
    step: &'a Step,
    origin: DateTime<Utc>,
) -> impl Iterator<Item = (Time, Time)> + 'a {
    let setup = request.setup();
    let ladder = step.ladder().is_some() && equipment.ladders_told;
    let lead = if step.place.is_some() { setup.place } else { 0 } + if ladder { setup.ladder } else { 0 };
    let people = !request.facts.yard.people.is_empty();
    let hands = usize::try_from(step.hands).unwrap_or(0).max(usize::from(step.not_alone) * 2);
    let now = minutes(origin, request.now, true);
    windows(calendar, origin, step.light, &step.limits).into_iter().filter_map(move |w| {
        let from = w.from.max(now);
        let comers = calendar.sessions.get(w.session as usize).map(|s| s.people.as_slice())?;
        let mut stays: Vec<Time> = comers
            .iter()
            .map(|c| w.to.min(minutes(origin, c.to, false)) - from.max(minutes(origin, c.from, true)))
            .collect();
        stays.sort_unstable_by(|a, b| b.cmp(a));
        let stay = match hands.checked_sub(1).filter(|_| people) {
            Some(last) => stays.get(last).copied()?,
            None => w.to - from,
        };
        Some((w.to, stay - lead as Time)).filter(|r| r.1 > 0)
    })
}

/// A wait after something done at no known time can't be judged: the step stays unplaced, and says so.
fn find_unknown_times(items: &mut [Item], bound: &[Vec<Binding>]) {
    let mut found: Vec<(usize, StepKey)> = Vec::new();
    for (i, list) in bound.iter().enumerate() {
        let unknown = list.iter().find(|b| {
            b.wait_min > 0 && items.get(b.before).is_some_and(|p| p.state == State::Done && p.to.is_none())
        });
        if let Some(p) = unknown.and_then(|b| items.get(b.before)) {
            found.push((i, p.step.key.clone()));
        }
    }
    for (i, key) in found {
        if let Some(item) = items.get_mut(i).filter(|i| i.state == State::Open) {
            item.time_unknown = Some(key);
        }
    }
}
