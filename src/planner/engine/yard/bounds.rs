//! What no schedule can better, goal by goal.
//!
//! Finish: longest paths with waits and windows, and the person-minutes that the sessions offer (resource energy,
//! after R. Klein and A. Scholl, "Computing lower bounds by destructive improvement", EJOR 112 (1999) 322-346).

use super::decode::hands;
use super::evaluate::ranked;
use super::model::Model;
use super::offers::fewest;
use super::reach::{Reach, length};
use super::state::bits;
use super::visits::visits;
use crate::planner::engine::problem::{Activity, Lag, Session, Time, Window};
use crate::planner::engine::search::Score;

/// From how many times on the work still to begin is summed up.
const MOST_CUTS: usize = 24;

/// A lower bound of each goal of a [`Score`], where all goals before it are at theirs.
pub(super) fn bounds(m: &Model) -> Score {
    ranked(m, in_order(m))
}

fn in_order(m: &Model) -> Score {
    let mut reach = Reach::new(m);
    let left_out = reach.out.iter().filter(|x| **x).count() as i64;
    let mut lost = vec![false; m.p.groups.len()];
    for (i, a) in m.p.activities.iter().enumerate() {
        if let Some(g) = a.group {
            let late = m.p.due.is_some_and(|d| reach.head[i].saturating_add(length(m, i)) > d);
            lost[g] |= reach.out[i] || late;
        }
    }
    let worth = m.p.groups.iter().zip(&lost).filter(|(_, l)| **l).map(|(g, _)| g.worth).sum();
    let all = left_out == 0;
    let end = finish(m, &reach, all, 0);
    let days = m.p.days_over(end);
    if !all || !reach.limit(m, &lost, days) {
        return [worth, left_out, days, 0, i64::from(end)];
    }
    let visits = visits(m, &reach);
    let come = visits.people * i64::from(m.p.setup.place_minutes);
    let set = visits.tools * i64::from(m.p.setup.tool_minutes);
    // Whoever moves does nothing else meanwhile; but what is no work may be moved for after the work.
    let work = m.at_place.iter().flatten().all(|i| m.p.activities[*i as usize].work);
    let moving = if !work {
        0
    } else if reach.tools_by_hands {
        come + set
    } else {
        come
    };
    let within = m.at_place.iter().flatten().all(|i| m.p.activities[*i as usize].calendar.is_some());
    let sessions = match i64::from(m.p.setup.session_minutes) {
        0 => 0,
        each => each * fewest(m, &reach, if within { moving } else { 0 }, chain(m)),
    };
    let end = if moving > 0 { end.max(finish(m, &reach, true, moving)) } else { end };
    [worth, left_out, days, come + set + sessions, i64::from(end)]
}

/// The most sessions, besides those begun, that one chain of work with waits longer than any session passes through.
fn chain(m: &Model) -> i64 {
    let longest = m.p.sessions.iter().map(|s| s.to - s.from).max().unwrap_or(0);
    let mut many = vec![0i64; m.n];
    for i in m.order.iter().copied() {
        let a = &m.p.activities[i];
        let counts = a.work && a.fixed.is_none() && a.calendar.is_some();
        let from = |(q, lag): &(usize, Lag)| match lag {
            Lag::FinishStart { wait, .. } if super::reach::least(m, *wait) > longest => many[*q],
            // The same session will do; one that is counted already is not counted again.
            _ => many[*q] - i64::from(counts && many[*q] > 0),
        };
        let before = m.preds[i].iter().map(from).max().unwrap_or(0);
        let passed = m.preds[i].iter().map(|(q, _)| many[*q]).max().unwrap_or(0);
        many[i] = if counts { before + 1 } else { passed };
    }
    let begun = m.used.iter().zip(&m.p.sessions).filter(|(u, s)| **u && s.to > m.p.now).count() as i64;
    many.into_iter().max().unwrap_or(0) - begun
}

/// `moving`: minutes in which somebody at least moves, besides all work.
fn finish(m: &Model, reach: &Reach, all: bool, moving: i64) -> Time {
    let (heads, out) = (&reach.head, &reach.out);
    let mut best = m.p.now;
    let acts = || m.p.activities.iter().enumerate().filter(|(i, a)| a.work && !out[*i]);
    // Activities that could be placed may still fall out; only those that cannot fail bind the finish.
    for (i, a) in acts() {
        if all || a.fixed.is_some() {
            best = best.max(heads[i].saturating_add(length(m, i)));
        }
    }
    if !all {
        return best;
    }
    // All work must fit into the minutes for which people are there: in total, for each skill, for what lies in the
    // windows of one calendar, and for what can't begin before some time.
    let open: Vec<(usize, &Activity)> =
        acts().filter(|(_, a)| a.fixed.is_none() && a.duration > 0 && hands(a) > 0).collect();
    // All of it with the moving, which may lie anywhere in a session.
    if moving > 0 && open.iter().all(|(_, a)| a.calendar.is_some()) {
        let total: i64 = open.iter().map(|(_, a)| i64::from(hands(a)) * i64::from(a.duration)).sum();
        let whole = |(k, s): (usize, &Session)| Window { from: s.from, to: s.to, session: k as u32 };
        let mut whole: Vec<Window> = m.p.sessions.iter().enumerate().map(whole).collect();
        whole.sort_by_key(|w| (w.from, w.to));
        if whole.windows(2).all(|w| w[0].to <= w[1].from)
            && let Some(t) = energy(&there(m, None, &whole), m.p.now, total + moving)
        {
            best = best.max(t);
        }
    }
    let inside = inside(m);
    let mut from: Vec<Time> = open.iter().map(|(i, _)| heads[*i]).collect();
    from.sort_unstable();
    from.dedup();
    let every = from.len().div_ceil(MOST_CUTS).max(1);
    let skills = open.iter().fold(0u64, |s, (_, a)| s | a.skills);
    for (c, windows) in m.p.calendars.iter().enumerate() {
        for skill in std::iter::once(None).chain(bits(skills).map(Some)) {
            let needs = |a: &Activity| match skill {
                None => i64::from(hands(a)),
                Some(b) => i64::from(a.skills >> b & 1 == 1),
            };
            let stretches = there(m, skill, windows);
            for from in from.iter().step_by(every) {
                let part = open
                    .iter()
                    .filter(|(i, a)| heads[*i] >= *from && a.calendar.is_some_and(|own| inside[own][c]));
                let total: i64 = part.map(|(_, a)| needs(a) * i64::from(a.duration)).sum();
                if total > 0
                    && let Some(t) = energy(&stretches, *from, total)
                {
                    best = best.max(t);
                }
            }
        }
    }
    best
}

/// Do all windows of the first calendar lie within windows of the second?
pub(super) fn inside(m: &Model) -> Vec<Vec<bool>> {
    let holds = |w: &Window, c: &[Window]| {
        let k = c.partition_point(|x| x.to < w.to);
        c.get(k).is_some_and(|x| x.from <= w.from && w.to <= x.to)
    };
    let all = &m.p.calendars;
    all.iter().map(|a| all.iter().map(|b| a.iter().all(|w| holds(w, b))).collect()).collect()
}

/// When people (with the skill) come and go within the windows: +1 or -1 at a time, sorted.
fn there(m: &Model, skill: Option<usize>, windows: &[Window]) -> Vec<(Time, i64)> {
    let mut cuts: Vec<(Time, i64)> = Vec::new();
    for w in m.p.workers.iter().filter(|w| skill.is_none_or(|b| w.skills >> b & 1 == 1)) {
        for (a, b) in &w.present {
            let k = windows.partition_point(|s| s.to <= *a);
            for s in windows[k..].iter().take_while(|s| s.from < *b) {
                cuts.push((s.from.max(*a), 1));
                cuts.push((s.to.min(*b), -1));
            }
        }
    }
    cuts.sort_unstable();
    cuts
}

/// The earliest time by which people have been there for `total` minutes from `from` on.
fn energy(cuts: &[(Time, i64)], from: Time, total: i64) -> Option<Time> {
    let (mut done, mut rate, mut at) = (0i64, 0i64, from);
    for (t, d) in cuts {
        let more = rate * i64::from((t - at).max(0));
        if rate > 0 && done + more >= total {
            return Some(at + ((total - done + rate - 1) / rate) as Time);
        }
        done += more;
        at = at.max(*t);
        rate += d;
    }
    None
}
