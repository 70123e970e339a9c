//! The goal row of a finished state, with set-up counted as it truly falls and all else that people give.

use super::model::Model;
use super::rows::{INSIDE, NO_SESSION};
use super::state::{State, bits};
use crate::planner::engine::problem::Time;
use crate::planner::engine::schedule::Placed;
use crate::planner::engine::search::Score;

/// Set-up minutes each activity truly bears: what was kept free for a move that later fell away is given back.
pub(super) fn settle(m: &Model, s: &mut State) {
    let people = m.p.workers.len();
    let mut moved = vec![(false, false); m.n];
    for (o, row) in s.rows.iter().enumerate() {
        for (k, e) in row.entries.iter().enumerate() {
            if e.place >= INSIDE || m.p.activities[e.activity as usize].fixed.is_some() {
                continue;
            }
            if row.place_before(k, e.session, m.bounds(e.session).0) != e.place {
                let x = &mut moved[e.activity as usize];
                if o < people { x.0 = true } else { x.1 = true }
            }
        }
    }
    for (spot, (place, tool)) in s.spots.iter_mut().zip(moved) {
        let p = if place { m.p.setup.place_minutes } else { 0 };
        let t = if tool { m.p.setup.tool_minutes } else { 0 };
        spot.setup = p + t;
    }
}

/// Scores a settled state.
pub(super) fn score(m: &Model, s: &State) -> Score {
    let mut ready = vec![true; m.p.groups.len()];
    let (mut left_out, mut given, mut finish) = (0, 0, Time::MIN);
    waiting(m, s, |_, _, minutes| given += minutes);
    let mut used = m.used.clone();
    for (a, spot) in m.p.activities.iter().zip(&s.spots) {
        if let Some(g) = a.group {
            ready[g] &= spot.placed() && m.p.due.is_none_or(|d| spot.end <= d);
        }
        if !spot.placed() {
            left_out += 1;
            continue;
        }
        given += i64::from(spot.setup);
        if let Some(u) = used.get_mut(spot.session as usize).filter(|u| !**u && a.work && a.fixed.is_none()) {
            *u = true;
            given += i64::from(m.p.setup.session_minutes);
        }
        if a.work {
            finish = finish.max(spot.end);
        }
    }
    let lost: i64 = m.p.groups.iter().zip(&ready).filter(|(_, r)| !**r).map(|(g, _)| g.worth).sum();
    let finish = if finish == Time::MIN { m.p.now } else { finish };
    ranked(m, [lost, left_out, m.p.days_over(finish), given, i64::from(finish)])
}

/// The goals as the search ranks them.
pub(super) fn ranked(m: &Model, [lost, out, days, given, finish]: Score) -> Score {
    if m.p.finish_first { [lost, out, days, finish, given] } else { [lost, out, days, given, finish] }
}

/// What workers wait between what they do in one session: before which activity, who, and how long.
pub(super) fn waiting(m: &Model, s: &State, mut each: impl FnMut(u32, usize, i64)) {
    if !m.p.setup.waiting {
        return;
    }
    for (w, row) in s.rows.iter().take(m.p.workers.len()).enumerate() {
        let mut last: Option<(u32, Time)> = None;
        for e in &row.entries {
            if e.session == NO_SESSION || m.p.activities[e.activity as usize].fixed.is_some() {
                continue;
            }
            if let Some((_, end)) = last.filter(|l| l.0 == e.session) {
                let lead = e.start - s.spots[e.activity as usize].setup;
                each(e.activity, w, i64::from((lead - end).max(0)));
            }
            last = Some((e.session, e.end));
        }
    }
}

/// The state as it is handed out.
pub(super) fn placed(s: &State) -> Vec<Option<Placed>> {
    s.spots
        .iter()
        .map(|x| {
            x.placed().then(|| Placed {
                start: x.start,
                end: x.end,
                setup: x.setup,
                session: Some(x.session).filter(|s| *s != NO_SESSION),
                workers: bits(x.workers).collect(),
                units: x.units.iter().filter(|u| **u != u16::MAX).map(|u| usize::from(*u)).collect(),
            })
        })
        .collect()
}
