//! What is done and begun, as the engine takes it: where it really lies, and whom and what it keeps.

use std::collections::BTreeSet;

use chrono::{DateTime, Duration, Utc};

use super::calendar::Calendar;
use super::engine::{Activity, Fixed, Worker};
use super::map::{Item, minutes};
use crate::domain::PersonId;
use crate::steps::State;

/// Done work with a known time, and begun work: where it really lies, and whom it keeps.
pub(super) fn fixed(
    item: &Item,
    now: DateTime<Utc>,
    origin: DateTime<Utc>,
    calendar: &Calendar,
    workers: &[(PersonId, String, Worker)],
) -> Option<Fixed> {
    let who =
        |p: Option<PersonId>| workers.iter().position(|w| Some(w.0) == p).into_iter().collect::<Vec<_>>();
    let session_at =
        |t: DateTime<Utc>| calendar.sessions.iter().position(|s| s.from <= t && t <= s.to).map(|i| i as u32);
    match item.state {
        State::Skipped => {
            let t = minutes(origin, now, false);
            Some(Fixed {
                start: t,
                end: t,
                session: None,
                workers: Vec::new(),
                units: Vec::new(),
                done: true,
            })
        }
        State::Done => {
            let end = item.to.unwrap_or(now);
            let start = item.from.unwrap_or(end).min(end);
            Some(Fixed {
                start: minutes(origin, start, false),
                end: minutes(origin, end, true),
                // At no known time: it says nothing of where anyone is now.
                session: item.to.and_then(|_| session_at(start)),
                workers: item.to.map_or_else(Vec::new, |_| who(item.person)),
                units: Vec::new(),
                done: true,
            })
        }
        State::Doing => {
            let start = item.from.unwrap_or(now);
            let end = (start + Duration::minutes(item.minutes)).max(now);
            Some(Fixed {
                start: minutes(origin, start, false),
                end: minutes(origin, end, true),
                session: session_at(start),
                workers: who(item.person),
                units: Vec::new(),
                done: false,
            })
        }
        State::Open | State::Held => None,
    }
}

/// Which ladder begun work stands on is not recorded: the first of its kind that no other begun work has.
pub(super) fn begun_ladders(items: &[Item], activities: &mut [Activity]) {
    let mut taken: BTreeSet<usize> = BTreeSet::new();
    for (_, a) in items.iter().zip(activities).filter(|(i, _)| i.state == State::Doing) {
        let units: Vec<usize> =
            a.tools.iter().filter_map(|need| need.iter().copied().find(|u| taken.insert(*u))).collect();
        if let Some(fixed) = &mut a.fixed {
            fixed.units = units;
        }
    }
}
