//! When a kind of step may lie: sessions cut by light and forecast.

use chrono::{DateTime, Utc};

use super::calendar::Calendar;
use super::engine::{Time, Window};
use super::map::minutes;
use crate::steps::{Light, Limits};
use crate::units::{Speed, System, Temperature};

#[derive(PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct CalendarKey(Light, Option<i64>, Option<i64>, bool, bool);

impl CalendarKey {
    pub(super) fn of(light: Light, limits: &Limits) -> Self {
        Self(
            light,
            limits.min.map(Temperature::mc),
            limits.max_gust.map(Speed::mms),
            limits.dry,
            limits.unfrozen,
        )
    }
}

pub(super) fn windows(
    calendar: &Calendar,
    origin: DateTime<Utc>,
    light: Light,
    limits: &Limits,
) -> Vec<Window> {
    let mut all: Vec<Window> = Vec::new();
    for (n, session) in calendar.sessions.iter().enumerate() {
        if session.forecast.and_then(|f| f.breaks(limits)).is_some() {
            continue;
        }
        for (from, to) in Calendar::lit(session, light) {
            let (from, to) = (minutes(origin, from, true), minutes(origin, to, false));
            if from < to {
                all.push(Window { from, to, session: n as u32 });
            }
        }
    }
    all.sort_by_key(|w| (w.from, w.to));
    // Sessions told to overlap are one stretch of time; the later begins where the earlier ends.
    let mut cut: Vec<Window> = Vec::with_capacity(all.len());
    for mut w in all {
        if let Some(last) = cut.last() {
            w.from = w.from.max(last.to);
        }
        if w.from < w.to {
            cut.push(w);
        }
    }
    cut
}

/// The limit by which forecasts hold a step in some session.
pub(super) fn cut(calendar: &Calendar, limits: &Limits, units: System) -> Option<String> {
    calendar.sessions.iter().find_map(|s| {
        s.forecast
            .and_then(|f| f.breaks(limits))
            .map(|b| b.say(units))
            .map(|limit| format!("{limit} in session {}", s.code))
    })
}

pub(super) fn midnights(calendar: &Calendar, origin: DateTime<Utc>) -> Vec<Time> {
    let (Some(first), Some(last)) = (calendar.sessions.first(), calendar.sessions.last()) else {
        return Vec::new();
    };
    let from = first.from.with_timezone(&calendar.zone).date_naive();
    let to = last.to.with_timezone(&calendar.zone).date_naive();
    let mut list: Vec<Time> = from
        .iter_days()
        .take_while(|d| *d <= to.succ_opt().unwrap_or(to))
        .filter_map(|d| d.and_hms_opt(0, 0, 0))
        .map(|t| minutes(origin, calendar.moment(t), false))
        .collect();
    list.dedup();
    list
}

/// Spans that touch or overlap, as one.
pub(super) fn merge(mut spans: Vec<(Time, Time)>) -> Vec<(Time, Time)> {
    spans.sort_unstable();
    let mut out: Vec<(Time, Time)> = Vec::new();
    for (a, b) in spans {
        match out.last_mut() {
            Some(last) if a < last.1 => last.1 = last.1.max(b),
            _ if a < b => out.push((a, b)),
            _ => {}
        }
    }
    out
}
