//! What no schedule can better, goal by goal.
//!
//! Finish: longest paths with waits and windows, and the person-minutes that the sessions offer (resource energy,
//! after R. Klein and A. Scholl, "Computing lower bounds by destructive improvement", EJOR 112 (1999) 322-346).

use super::decode::hands;
use super::evaluate::Score;
use super::model::Model;
use super::reasons;
use super::visits;
use crate::planner::engine::problem::{Activity, FAR, Lag, Time, Window};

/// From how many times on the work still to begin is summed up.
const MOST_CUTS: usize = 24;

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
    [worth, left_out, m.p.days_over(finish), if all { visits::setup(m) } else { 0 }, i64::from(finish)]
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
    // All work must fit into the minutes for which people are there: in total, for each skill, for what lies in the
    // windows of one calendar, and for what can't begin before some time.
    let open: Vec<(usize, &Activity)> =
        acts().filter(|(_, a)| a.fixed.is_none() && a.duration > 0 && hands(a) > 0).collect();
    let inside = inside(m);
    let mut from: Vec<Time> = open.iter().map(|(i, _)| heads[*i]).collect();
    from.sort_unstable();
    from.dedup();
    let every = from.len().div_ceil(MOST_CUTS).max(1);
    let skills = open.iter().fold(0u64, |s, (_, a)| s | a.skills);
    for (c, windows) in m.p.calendars.iter().enumerate() {
        for skill in std::iter::once(None).chain(super::state::bits(skills).map(Some)) {
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
fn inside(m: &Model) -> Vec<Vec<bool>> {
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
