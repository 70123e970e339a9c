//! Today: will it be ready, what can be done now, what is in the way.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::answers::plan::odds::percent;
use crate::answers::sessions::next_told;
use crate::answers::today::alarms::alarms;
use crate::answers::untold::{no_session, not_told};
use crate::answers::view::{HeldRow, ReadyPlace, Today};
use crate::answers::walk::list::{list_deed, next};
use crate::answers::walk::ready::Readiness;
use crate::answers::walk::states::{States, states};
use crate::answers::walk::work::{Work, work};
use crate::answers::words::{place_name, say_date, title};
use crate::domain::{Phase, Season};
use crate::planner::{Odds, Plan, PlannedStep};
use crate::steps::{Role, State};

/// The page of a season and its plan, with the odds where they are known.
pub(crate) fn today_page(outlook: &Outlook, season: &Season, plan: &Plan, odds: Option<&Odds>) -> Today {
    let phase = plan.phase;
    let states = states(outlook, plan);
    let now = outlook.now();
    let today = now.with_timezone(&outlook.zone()).date_naive();
    let ahead: Vec<_> = plan.sessions.iter().filter(|s| s.to > now).collect();
    // A show that is over asks for nothing that leads up to it.
    let over = past(season, phase, today);
    let work = if over { Work::default() } else { work(plan, &states).0 };
    let horizon = plan.rehearsal.filter(|_| phase != Phase::Down);
    let counted: Vec<_> = ahead.iter().filter(|s| horizon.is_none_or(|h| s.from < h)).collect();
    let minutes_there = |s: &&&crate::planner::SessionSpan| -> i64 {
        if s.people.is_empty() {
            (s.to - s.from.max(now)).num_minutes()
        } else {
            s.people.iter().map(|a| (a.to - a.from.max(now)).num_minutes().max(0)).sum()
        }
    };
    let until = season.lights_off.map(|d| {
        let hours = season.nightly().map_or_else(String::new, |(from, to)| {
            format!(", {} to {} each night", from.format("%H:%M"), to.format("%H:%M"))
        });
        let hours = if phase == Phase::Down { String::new() } else { hours };
        format!("{}{hours}", say_date(d))
    });
    let mut untold = not_told(outlook, Some(season));
    // What the head says is not said again below.
    if phase != Phase::Tonight
        && let Some(said) = no_session(outlook)
    {
        untold.retain(|line| !line.starts_with(&said));
    }
    Today {
        last_show: over.then(|| {
            let until = season.lights_off.map_or_else(String::new, |d| format!(" until {}", say_date(d)));
            format!("{} was lit{until}", season.name)
        }),
        phase: phase.as_str(),
        lit_until: until,
        no_session: no_session(outlook),
        // Once the lights are off the days since are not what matters.
        days_to_lights_on: season
            .lights_on
            .filter(|_| phase != Phase::Down && !over)
            .map(|t| (t.date() - today).num_days()),
        lights_on: season.lights_on.map(Outlook::say_local),
        rehearsal: season.rehearsal.filter(|_| phase != Phase::Down && !over).map(Outlook::say_local),
        finish: plan.finish.map(|t| outlook.say_moment(t)),
        odds_pct: odds.map(|o| percent(o.in_time)),
        steps_done: work.done,
        steps_total: work.total,
        work_left_min: work.minutes_left,
        sessions_left_min: plan.told.sessions.then(|| counted.iter().map(minutes_there).sum()),
        sessions_left: counted.len(),
        next_session: ahead.first().map_or_else(
            || next_told(outlook),
            |s| {
                let who: Vec<&str> = s.people.iter().map(|a| a.name.as_str()).collect();
                let to = s.to.with_timezone(&outlook.zone()).format("%H:%M");
                let who = if who.is_empty() { String::new() } else { format!(", {}", who.join(", ")) };
                Some(format!("{} to {to}{who}", outlook.say_moment(s.from)))
            },
        ),
        session_runs: ahead.first().is_some_and(|s| s.from <= outlook.now()),
        next: if over { None } else { next(outlook, plan, &states) },
        ready: if over { Vec::new() } else { ready(outlook, plan, &states) },
        held: plan
            .steps
            .iter()
            .filter(|p| !over && states.of(p) == State::Held)
            .map(|p| HeldRow { title: title(p), why: p.why.clone() })
            .collect(),
        alarms: alarms(outlook, season, phase, plan),
        // What is said to be not told needs not be said again as assumed.
        assumed: plan.assumed.iter().filter(|a| !untold.contains(a)).cloned().collect(),
        not_told: untold,
    }
}

/// Whether a season is over, so that its way up is no work any more.
pub(crate) fn past(season: &Season, phase: Phase, today: chrono::NaiveDate) -> bool {
    !matches!(phase, Phase::Down | Phase::Tonight) && season.lights_off.is_some_and(|d| d < today)
}

/// Steps that can be done now, by place.
pub(crate) fn ready(outlook: &Outlook, plan: &Plan, states: &States) -> Vec<ReadyPlace> {
    let facts = outlook.facts();
    let can = Readiness::of(outlook, &facts, plan, states);
    let mut by_place: BTreeMap<String, ReadyPlace> = BTreeMap::new();
    let open = |p: &&PlannedStep| p.step.role == Role::Work && states.of(p) == State::Open;
    for p in plan.steps.iter().filter(open).filter(|p| can.now(p)) {
        let place = place_name(outlook, p);
        let row = by_place.entry(place.clone()).or_insert_with(|| {
            let deed = list_deed(&p.step);
            let whole = p.step.subject.is_empty() || p.step.subject == place;
            let first = if whole { deed } else { format!("{}: {deed}", p.step.subject) };
            ReadyPlace { place, steps: 0, minutes: 0, key: p.step.key.to_string(), first }
        });
        row.steps += 1;
        row.minutes += p.minutes;
    }
    let mut rows: Vec<ReadyPlace> = by_place.into_values().collect();
    rows.sort_by_key(|r| (std::cmp::Reverse(r.steps), r.place.clone()));
    rows
}
