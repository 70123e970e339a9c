//! What no schedule can better, goal by goal.
//!
//! Finish: longest paths with waits and windows, and the person-minutes that the sessions offer (resource energy,
//! after R. Klein and A. Scholl, "Computing lower bounds by destructive improvement", EJOR 112 (1999) 322-346).

use super::decode::hands;
use super::evaluate::Score;
use super::model::Model;
use super::reasons;
use super::rows::NOWHERE;
use crate::planner::engine::problem::{FAR, Lag, Time};
use std::collections::{BTreeMap, BTreeSet};

/// A lower bound of each goal of a [`Score`].
pub(super) fn bounds(m: &Model) -> Score {
    let (heads, out) = heads(m);
    let left_out = out.iter().filter(|x| **x).count() as i64;
    let mut lost = vec![false; m.p.groups.len()];
    for (i, a) in m.p.activities.iter().enumerate() {
        if let Some(g) = a.group {
            lost[g] |= out[i] || m.p.due.is_some_and(|d| heads[i].saturating_add(length(m, i)) > d);
        }
    }
    let worth = m.p.groups.iter().zip(&lost).filter(|(_, l)| **l).map(|(g, _)| g.worth).sum();
    let all = left_out == 0;
    let finish = finish(m, &heads, &out, all);
    [worth, left_out, m.p.days_over(finish), if all { setup(m) } else { 0 }, i64::from(finish)]
}

fn length(m: &Model, i: usize) -> Time {
    let a = &m.p.activities[i];
    a.fixed.as_ref().map_or(a.duration, |f| f.end - f.start)
}

/// The first time from `t` on at which `i` lies in a window.
fn fit(m: &Model, i: usize, t: Time) -> Option<Time> {
    let d = m.p.activities[i].duration;
    let windows = m.windows(i);
    let k = windows.partition_point(|w| w.to < t.saturating_add(d));
    windows.get(k..)?.iter().find(|w| w.to - w.from.max(t) >= d).map(|w| w.from.max(t))
}

/// Earliest starts without resources, and which activities can never be placed.
fn heads(m: &Model) -> (Vec<Time>, Vec<bool>) {
    let mut head = vec![m.p.now; m.n];
    let mut out = vec![false; m.n];
    for i in m.order.iter().copied() {
        let a = &m.p.activities[i];
        if let Some(f) = &a.fixed {
            head[i] = f.start;
            continue;
        }
        out[i] = reasons::never(m, i).is_some();
        let mut t = a.release.unwrap_or(m.p.now).max(m.p.now);
        for (q, lag) in &m.preds[i] {
            out[i] |= out[*q];
            let end = head[*q].saturating_add(length(m, *q));
            t = t.max(match lag {
                Lag::FinishStart { wait, .. } => {
                    // In another session the wait may be shorter: the least of the table holds for all.
                    let fixed = m.p.activities[*q].fixed.as_ref();
                    let w = match (wait.table.and_then(|k| m.p.wait_tables.get(k)), fixed) {
                        (Some(_), Some(f)) => m.p.wait(*wait, f.session),
                        (Some(table), None) => {
                            table.iter().copied().min().unwrap_or(wait.minutes).min(wait.minutes)
                        }
                        (None, _) => wait.minutes,
                    };
                    end.saturating_add(w)
                }
                Lag::StartStart { min } => head[*q].saturating_add(*min),
            });
        }
        match fit(m, i, t) {
            Some(t) if a.deadline.is_none_or(|d| t.saturating_add(a.duration) <= d) => head[i] = t,
            Some(t) => {
                head[i] = t;
                out[i] = true;
            }
            None => {
                head[i] = t.min(FAR);
                out[i] = true;
            }
        }
    }
    (head, out)
}

fn finish(m: &Model, heads: &[Time], out: &[bool], all: bool) -> Time {
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
    // All work must fit into the minutes for which people are there: in total, and for each skill.
    let skills = acts().fold(0u64, |s, (_, a)| s | a.skills);
    for skill in std::iter::once(None).chain(super::state::bits(skills).map(Some)) {
        let needs = |a: &crate::planner::engine::problem::Activity| match skill {
            None => i64::from(hands(a)),
            Some(b) => i64::from(a.skills >> b & 1 == 1),
        };
        let open: Vec<_> = acts().filter(|(_, a)| a.fixed.is_none() && needs(a) > 0).collect();
        let total: i64 = open.iter().map(|(_, a)| needs(a) * i64::from(a.duration)).sum();
        let from = open.iter().map(|(i, _)| heads[*i]).min().unwrap_or(FAR);
        if total == 0 || open.iter().any(|(_, a)| a.calendar.is_none()) {
            continue;
        }
        if let Some(t) = energy(m, skill, from, total) {
            best = best.max(t);
        }
    }
    best
}

/// The earliest time by which people (with the skill) have been there in sessions for `total` minutes from `from` on.
fn energy(m: &Model, skill: Option<usize>, from: Time, total: i64) -> Option<Time> {
    let mut cuts: Vec<(Time, i64)> = Vec::new();
    let mut sessions: Vec<(Time, Time)> = m.p.sessions.iter().map(|s| (s.from, s.to)).collect();
    sessions.sort_unstable();
    // Overlapping sessions count once.
    let mut merged: Vec<(Time, Time)> = Vec::new();
    for (a, b) in sessions {
        match merged.last_mut() {
            Some(last) if a <= last.1 => last.1 = last.1.max(b),
            _ => merged.push((a, b)),
        }
    }
    for w in m.p.workers.iter().filter(|w| skill.is_none_or(|b| w.skills >> b & 1 == 1)) {
        for (a, b) in &w.present {
            let k = merged.partition_point(|s| s.1 <= *a);
            for (x, y) in merged[k..].iter().take_while(|s| s.0 < *b) {
                let (x, y) = (*x.max(a).max(&from), *y.min(b));
                if x < y {
                    cuts.push((x, 1));
                    cuts.push((y, -1));
                }
            }
        }
    }
    cuts.sort_unstable();
    let (mut done, mut rate, mut at) = (0i64, 0i64, from);
    for (t, d) in cuts {
        let more = rate * i64::from(t - at);
        if rate > 0 && done + more >= total {
            return Some(at + ((total - done + rate - 1) / rate) as Time);
        }
        done += more;
        at = t;
        rate += d;
    }
    None
}

/// Each place has a first comer, and each place where a tool is used a first tool; again for each session it takes.
fn setup(m: &Model) -> i64 {
    let mut people: BTreeMap<u32, i64> = BTreeMap::new();
    let mut tools: BTreeSet<u32> = BTreeSet::new();
    let (mut there, mut stands) = (BTreeSet::new(), BTreeSet::new());
    for a in &m.p.activities {
        let Some(place) = a.place.filter(|p| *p != NOWHERE) else { continue };
        if let Some(f) = &a.fixed {
            // Someone may still be standing there.
            if !f.workers.is_empty() {
                there.insert(place);
            }
            if !f.units.is_empty() {
                stands.insert(place);
            }
            continue;
        }
        if hands(a) > 0 {
            *people.entry(place).or_default() += i64::from(hands(a)) * i64::from(a.duration);
        }
        if !a.tools.is_empty() {
            tools.insert(place);
        }
    }
    let longest =
        m.p.sessions
            .iter()
            .map(|s| {
                let stay = |x: &(Time, Time)| i64::from((x.1.min(s.to) - x.0.max(s.from)).max(0));
                m.p.workers.iter().map(|w| w.present.iter().map(stay).sum::<i64>()).sum::<i64>()
            })
            .max()
            .unwrap_or(0);
    let visits = |minutes: i64| {
        if longest > 0 && m.p.activities.iter().all(|a| a.calendar.is_some()) {
            (minutes + longest - 1) / longest
        } else {
            1
        }
    };
    let by_people: i64 = people.iter().map(|(p, t)| visits(*t).max(1) - i64::from(there.contains(p))).sum();
    let by_tools = tools.iter().filter(|p| !stands.contains(p)).count() as i64;
    by_people.max(0) * i64::from(m.p.setup.place_minutes) + by_tools * i64::from(m.p.setup.tool_minutes)
}
