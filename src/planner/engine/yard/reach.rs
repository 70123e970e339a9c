//! When and in which sessions each activity may lie at all, whatever the others do.

use super::decode::{comes_for, hands};
use super::model::Model;
use super::reasons;
use crate::planner::engine::problem::{Activity, FAR, Lag, Time, Wait, Window};

/// Sessions as bits.
pub(super) type Sessions = Vec<u64>;

/// Earliest starts without resources, latest ends, and the moving that comes before work.
pub(super) struct Reach {
    pub(super) head: Vec<Time>,
    /// [`FAR`] where nothing limits it.
    pub(super) latest: Vec<Time>,
    /// Can never be placed.
    pub(super) out: Vec<bool>,
    /// Something done or begun lies in this session, so that somebody may be at a place already.
    begun: Vec<bool>,
    /// A tool is set up by somebody who has come to its place before.
    pub(super) tools_by_hands: bool,
}

impl Reach {
    pub(super) fn new(m: &Model) -> Self {
        let mut begun = vec![false; m.p.sessions.len()];
        for f in m.p.activities.iter().filter_map(|a| a.fixed.as_ref()) {
            if let Some(b) = f.session.and_then(|s| begun.get_mut(s as usize)) {
                *b = true;
            }
        }
        let tools_by_hands = m.p.activities.iter().all(|a| a.tools.is_empty() || hands(a) > 0);
        let mut reach = Self {
            head: vec![m.p.now; m.n],
            latest: vec![FAR; m.n],
            out: vec![false; m.n],
            begun,
            tools_by_hands,
        };
        for i in m.order.iter().copied() {
            let a = &m.p.activities[i];
            if let Some(f) = &a.fixed {
                reach.head[i] = f.start;
                continue;
            }
            reach.out[i] = reasons::never(m, i).is_some() || m.preds[i].iter().any(|(q, _)| reach.out[*q]);
            let t = ready(m, i, |q| reach.head[q]);
            let first = reach.first(m, i, t);
            let late = first.is_none_or(|t| a.deadline.is_some_and(|d| t.saturating_add(a.duration) > d));
            reach.out[i] |= late;
            reach.head[i] = first.unwrap_or(t.min(FAR));
        }
        reach
    }

    /// The earliest start within a window, moving before it, where people or tools are not there yet: whoever is at
    /// the place when the work begins has come there since the session began.
    pub(super) fn opens(&self, m: &Model, a: &Activity, w: &Window) -> Time {
        let Some(s) = m.p.sessions.get(w.session as usize) else { return w.from };
        if a.place.is_none() || self.begun.get(w.session as usize) == Some(&true) {
            return w.from;
        }
        let come = if hands(a) > 0 { m.p.setup.place_minutes } else { 0 };
        let set = if a.tools.is_empty() { 0 } else { m.p.setup.tool_minutes };
        let lead = if self.tools_by_hands { come + set } else { come.max(set) };
        w.from.max(s.from.max(m.p.now).saturating_add(lead))
    }

    /// The first start from `t` on.
    pub(super) fn first(&self, m: &Model, i: usize, t: Time) -> Option<Time> {
        let a = &m.p.activities[i];
        let start = |w: &Window| Some(self.opens(m, a, w).max(t)).filter(|s| w.to - s >= a.duration);
        windows_from(m, i, t).iter().find_map(start)
    }

    /// Sets the latest ends at which all is placed, no group is lost but those in `lost`, and work ends no more than
    /// `days` past comfort. False where that can't be: then nothing is known.
    pub(super) fn limit(&mut self, m: &Model, lost: &[bool], days: i64) -> bool {
        let over = m.p.comfort.and_then(|c| Time::try_from(i64::from(c) + 1440 * days).ok());
        for i in m.order.iter().rev().copied() {
            let a = &m.p.activities[i];
            if a.fixed.is_some() {
                continue;
            }
            let ready = a.group.filter(|g| !lost[*g] && m.p.groups[*g].worth > 0).and(m.p.due);
            let limits = [a.deadline, ready, over.filter(|_| a.work)];
            let mut end = limits.into_iter().flatten().min().unwrap_or(FAR);
            for (s, lag) in m.succs[i].iter().filter(|(s, _)| m.p.activities[*s].fixed.is_none()) {
                let start = self.latest[*s].saturating_sub(length(m, *s));
                end = end.min(match lag {
                    Lag::FinishStart { wait, .. } => start.saturating_sub(least(m, *wait)),
                    Lag::StartStart { min } => start.saturating_sub(*min).saturating_add(a.duration),
                });
            }
            let from = self.head[i];
            let fits = |w: &&Window| self.opens(m, a, w).max(from) + a.duration <= w.to.min(end);
            match m.windows(i).iter().rev().skip_while(|w| w.from > end).find(fits) {
                Some(w) => self.latest[i] = end.min(w.to),
                None => return false,
            }
        }
        true
    }

    /// Can it lie in a session when it starts no earlier than `t`?
    pub(super) fn fits(&self, m: &Model, i: usize, session: u32, t: Time) -> bool {
        let (from, until) = m.bounds(session);
        let mut windows = windows_from(m, i, t.max(from)).iter().take_while(|w| w.from <= until);
        windows.any(|w| w.session == session && self.holds(m, i, w, t))
    }

    /// The sessions in which it may lie.
    pub(super) fn sessions(&self, m: &Model, i: usize) -> Sessions {
        let mut bits = vec![0u64; m.p.sessions.len().div_ceil(64)];
        for w in windows_from(m, i, self.head[i]).iter().take_while(|w| w.from <= self.latest[i]) {
            let s = w.session as usize;
            if let Some(b) = bits.get_mut(s / 64)
                && self.holds(m, i, w, self.head[i])
            {
                *b |= 1 << (s % 64);
            }
        }
        bits
    }

    /// Can it lie in a window when it starts no earlier than `t`?
    fn holds(&self, m: &Model, i: usize, w: &Window, t: Time) -> bool {
        let a = &m.p.activities[i];
        let (from, to) = (self.opens(m, a, w).max(t), w.to.min(self.latest[i]));
        to - from >= a.duration && manned(m, a, from, to)
    }
}

/// The windows in which it may end when it starts no earlier than `t`.
fn windows_from<'m>(m: &'m Model, i: usize, t: Time) -> &'m [Window] {
    let windows = m.windows(i);
    let k = windows.partition_point(|w| w.to < t.saturating_add(m.p.activities[i].duration));
    windows.get(k..).unwrap_or(&[])
}

/// The earliest start after what comes before, given the starts of those.
pub(super) fn ready(m: &Model, i: usize, start: impl Fn(usize) -> Time) -> Time {
    let mut t = m.p.activities[i].release.unwrap_or(m.p.now).max(m.p.now);
    for (q, lag) in &m.preds[i] {
        t = t.max(match lag {
            Lag::FinishStart { wait, .. } => {
                let end = start(*q).saturating_add(length(m, *q));
                let fixed = m.p.activities[*q].fixed.as_ref();
                end.saturating_add(fixed.map_or_else(|| least(m, *wait), |f| m.p.wait(*wait, f.session)))
            }
            Lag::StartStart { min } => start(*q).saturating_add(*min),
        });
    }
    t
}

/// Are enough people with the skills there for long enough, each looked at alone?
fn manned(m: &Model, a: &Activity, from: Time, to: Time) -> bool {
    let (mut able, mut skills) = (0, 0u64);
    for w in m.p.workers.iter().filter(|w| hands(a) > 0 && comes_for(a, w)) {
        let k = w.present.partition_point(|x| x.1 <= from);
        let mut here = w.present[k..].iter().take_while(|x| x.0 < to);
        if here.any(|x| x.1.min(to) - x.0.max(from) >= a.duration) {
            able += 1;
            skills |= w.skills;
        }
    }
    able >= hands(a) && a.skills & !skills == 0
}

/// The least wait: in another session it may be shorter.
pub(super) fn least(m: &Model, wait: Wait) -> Time {
    let table = wait.table.and_then(|t| m.p.wait_tables.get(t));
    table.and_then(|t| t.iter().copied().min()).map_or(wait.minutes, |w| w.min(wait.minutes))
}

pub(super) fn length(m: &Model, i: usize) -> Time {
    let a = &m.p.activities[i];
    a.fixed.as_ref().map_or(a.duration, |f| f.end - f.start)
}
