//! What the search varies: the order, and for each activity patience, windows skipped and who is preferred.

use super::model::Model;
use crate::planner::engine::problem::Time;
use fastrand::Rng;

/// What a schedule made from the genes shows.
#[derive(Debug, Default)]
pub(super) struct Shown {
    /// Activities that bear set-up.
    pub(super) movers: Vec<u32>,
    /// The session of each activity.
    pub(super) session: Vec<u32>,
}

/// A skip that leaves the activity out altogether.
pub(super) const LEFT_OUT: u8 = u8::MAX;

#[derive(Clone, Debug)]
pub(super) struct Genes {
    /// Every activity once, predecessors first.
    pub(super) list: Vec<u32>,
    /// Most costly set-up level taken without looking further; 3: the earliest start whatever it costs.
    pub(super) cap: Vec<u8>,
    /// Windows in which it would fit that are left out; [`LEFT_OUT`]: it makes room for others.
    pub(super) skip: Vec<u8>,
    /// 0: the decoder's own preference; low four bits turn the workers, high four the units.
    pub(super) pref: Vec<u8>,
    /// Bits of workers who leave it to others, so that it waits for one of them.
    pub(super) spare: Vec<u64>,
    /// A unit that is not taken for it; `u16::MAX`: any will do.
    pub(super) spare_unit: Vec<u16>,
    /// Work at a place waits for this time, so that it is done in fewer visits: by place, without tools and with.
    pub(super) floor: Vec<Time>,
    /// This one alone waits for this time, so that it falls into a later visit to its place.
    pub(super) wait: Vec<Time>,
    /// No patience beyond this end.
    pub(super) patient_until: Time,
    /// What is bound by a latest time follows its predecessor at once; otherwise it keeps its place in the list.
    pub(super) eager: bool,
}

impl Genes {
    /// One random change, every other time at an activity that somebody moves for.
    pub(super) fn vary(&mut self, m: &Model, rng: &mut Rng, shown: &Shown) {
        if m.n == 0 {
            return;
        }
        let movers = &shown.movers;
        let near = (!movers.is_empty() && rng.bool()).then(|| movers[rng.usize(..movers.len())]);
        let at = near.and_then(|i| self.list.iter().position(|x| *x == i));
        let at = at.unwrap_or_else(|| rng.usize(..m.n));
        let i = self.list[at] as usize;
        match rng.u8(..32) {
            0..=6 => {
                let (lo, hi) = self.room(m, at);
                self.shift(at, rng.usize(lo..=hi));
            }
            7..=9 => self.gather(m, rng, at),
            10..=11 => self.gather_all(m, rng, at),
            12..=13 => self.cap[i] = rng.u8(..4),
            14 => {
                // A whole place becomes patient, or stops being it.
                let cap = if rng.bool() { 0 } else { 3 };
                let place = m.p.activities[i].place;
                for (c, a) in self.cap.iter_mut().zip(&m.p.activities) {
                    if a.place == place {
                        *c = cap;
                    }
                }
            }
            15 => self.skip[i] = if self.skip[i] == LEFT_OUT { 0 } else { (self.skip[i] + 1).min(12) },
            16 => self.skip[i] = 0,
            19 if rng.bool() => self.skip[i] = if rng.bool() { LEFT_OUT } else { 0 },
            19 | 20 => self.patient_until = Self::patience(m, rng),
            21 => self.eager ^= rng.u8(..4) == 0,
            22 => {
                let workers = m.p.workers.len();
                let out = if workers > 1 && rng.u8(..3) > 0 { 1 << rng.usize(..workers) } else { 0 };
                self.spare[i] = if rng.bool() { out } else { self.spare[i] ^ out };
            }
            23 => {
                let units = m.p.units;
                self.spare_unit[i] =
                    if units > 1 && rng.bool() { rng.usize(..units) as u16 } else { u16::MAX };
            }
            24..=25 => self.wait_for_more(m, rng, i),
            26..=29 => self.join(m, rng, i, shown),
            17 => self.pref[i] = rng.u8(..),
            18 => self.pref[i] = 0,
            _ => {
                // A short run of the list moves together.
                let len = rng.usize(2..=8).min(m.n);
                let from = rng.usize(..=m.n - len);
                let ahead = rng.bool();
                for k in 0..len {
                    let k = if ahead { from + k } else { from + len - 1 - k };
                    let (lo, hi) = self.room(m, k);
                    self.shift(k, if ahead { lo.max(k.saturating_sub(24)) } else { hi.min(k + 24) });
                }
            }
        }
    }

    /// The place (or its work with tools) opens with another session, or at once.
    fn wait_for_more(&mut self, m: &Model, rng: &mut Rng, i: usize) {
        let k = m.kind(i);
        let sessions = m.p.sessions.len();
        let Some(floor) = self.floor.get_mut(k).filter(|_| sessions > 0) else { return };
        *floor = match rng.u8(..4) {
            0 => Time::MIN,
            _ => m.p.sessions[rng.usize(..sessions)].from,
        };
        if rng.bool() {
            let at = *floor;
            self.floor[k ^ 1] = at;
        }
    }

    /// Work of one session waits for another, so that fewer visits are made; or waits no longer.
    fn join(&mut self, m: &Model, rng: &mut Rng, i: usize, shown: &Shown) {
        let here = &m.at_place[m.place[i]];
        let Some(own) = shown.session.get(i).copied().filter(|_| !here.is_empty()) else { return };
        let mate = if rng.u8(..4) > 0 { here[rng.usize(..here.len())] as usize } else { rng.usize(..m.n) };
        let Some(to) = m.p.sessions.get(shown.session[mate] as usize).map(|s| s.from) else { return };
        let to = if rng.u8(..4) == 0 { Time::MIN } else { to };
        let of_session = |k: &u32| shown.session[*k as usize] == own;
        match rng.u8(..8) {
            // What is done at the place.
            0..=3 => {
                for k in here.iter().filter(|k| of_session(k)) {
                    self.wait[*k as usize] = to;
                }
            }
            // All that is done in the session.
            4..=5 => {
                for k in m.at_place.iter().flatten().filter(|k| of_session(k)) {
                    self.wait[*k as usize] = to;
                }
            }
            // All that comes before it.
            _ => {
                let mut seen = vec![false; m.n];
                let mut todo = vec![mate];
                while let Some(k) = todo.pop() {
                    if !std::mem::replace(&mut seen[k], true) {
                        self.wait[k] = to;
                        todo.extend(m.preds[k].iter().map(|(q, _)| *q));
                    }
                }
            }
        }
    }

    /// The list in the order of the starts of a schedule that was decoded from it.
    pub(super) fn sort_as(&mut self, start: impl Fn(usize) -> Time) {
        self.list.sort_by_key(|i| start(*i as usize));
    }

    /// Days past the comfort time may be lost already; then there is no haste within them.
    fn patience(m: &Model, rng: &mut Rng) -> Time {
        match m.p.comfort {
            Some(c) if rng.u8(..4) > 0 => c.saturating_add(1440 * rng.i32(0..4)),
            _ => m.end_of_time,
        }
    }

    /// Where the activity at `at` may go without passing a predecessor or successor.
    fn room(&self, m: &Model, at: usize) -> (usize, usize) {
        let i = self.list[at] as usize;
        let (preds, succs) = (&m.preds[i], &m.succs[i]);
        let lo = self.list[..at].iter().rposition(|x| preds.iter().any(|(q, _)| *q == *x as usize));
        let hi = self.list[at + 1..].iter().position(|x| succs.iter().any(|(q, _)| *q == *x as usize));
        (lo.map_or(0, |k| k + 1), hi.map_or(self.list.len() - 1, |k| at + k))
    }

    fn shift(&mut self, from: usize, to: usize) {
        if from < to {
            self.list[from..=to].rotate_left(1);
        } else {
            self.list[to..=from].rotate_right(1);
        }
    }

    /// Brings all of a place (or all of it that uses the same tools) together, with what must come before.
    fn gather_all(&mut self, m: &Model, rng: &mut Rng, at: usize) {
        let a = &m.p.activities[self.list[at] as usize];
        let same_tools = rng.bool();
        let same_windows = rng.bool();
        let anchor = at as u32;
        let mut key = vec![0u32; m.n];
        for (k, i) in self.list.iter().enumerate() {
            let b = &m.p.activities[*i as usize];
            let near = b.place == a.place
                && (!same_tools || b.tools == a.tools)
                && (!same_windows || b.calendar == a.calendar);
            key[*i as usize] = if near { anchor } else { k as u32 };
        }
        for i in m.order.iter().rev() {
            for (q, _) in &m.preds[*i] {
                key[*q] = key[*q].min(key[*i]);
            }
        }
        // Stable: among equals the old order, which has predecessors first.
        self.list.sort_by_key(|i| key[*i as usize]);
    }

    /// Brings the activity next to another one at its place, as near as its neighbours let it.
    fn gather(&mut self, m: &Model, rng: &mut Rng, at: usize) {
        let i = self.list[at] as usize;
        let a = &m.p.activities[i];
        let from = rng.usize(..m.n);
        let mate = (0..m.n).map(|k| (from + k) % m.n).find(|k| {
            let b = &m.p.activities[self.list[*k] as usize];
            *k != at
                && b.fixed.is_none()
                && (b.place == a.place || (!a.tools.is_empty() && a.tools == b.tools))
        });
        if let Some(k) = mate {
            let (lo, hi) = self.room(m, at);
            self.shift(at, k.clamp(lo, hi));
        }
    }
}
