//! What the search varies: the order, and for each activity patience, windows skipped and who is preferred.

use super::model::Model;
use crate::planner::engine::problem::Time;
use crate::planner::engine::search;
use fastrand::Rng;

/// What a schedule made from the genes shows.
#[derive(Clone, Debug, Default)]
pub(super) struct Shown {
    /// Activities that bear set-up.
    pub(super) movers: Vec<u32>,
    /// The session of each activity, and who does it.
    pub(super) session: Vec<u32>,
    pub(super) workers: Vec<u64>,
    /// Before which activity somebody waits, and who.
    pub(super) idle: Vec<(u32, u8)>,
    /// What found no room, though all that it waits for did.
    pub(super) left: Vec<u32>,
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
    /// This one alone waits for this time, so that it falls into a later visit to its place; a look at what runs by itself
    /// for so many minutes from when that was started, in which others can be done.
    pub(super) wait: Vec<Time>,
    /// Sessions in which nothing is begun while there is patience, and by place those in which nothing is begun there.
    pub(super) closed: Vec<bool>,
    pub(super) shut: Vec<bool>,
    /// No patience beyond this end.
    pub(super) patient_until: Time,
    /// What is bound by a latest time follows its predecessor at once; otherwise it keeps its place in the list.
    pub(super) eager: bool,
    pub(super) shown: Shown,
}

impl search::Genes for Genes {
    fn list(&self) -> &[u32] {
        &self.list
    }

    fn list_mut(&mut self) -> &mut Vec<u32> {
        &mut self.list
    }
}

impl Genes {
    /// One random change, every other time at an activity that somebody moves for.
    pub(super) fn vary(&mut self, m: &Model, rng: &mut Rng) {
        if m.n == 0 {
            return;
        }
        let movers = &self.shown.movers;
        let near = (!movers.is_empty() && rng.bool()).then(|| movers[rng.usize(..movers.len())]);
        let at = near.and_then(|i| self.list.iter().position(|x| *x == i));
        let at = at.unwrap_or_else(|| rng.usize(..m.n));
        let i = self.list[at] as usize;
        match rng.u8(..40) {
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
            15 | 16 if m.p.activities[i].run.is_some() => self.leave_room(m, rng, i),
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
            26..=29 => self.join(m, rng, i),
            32..=37 => self.close(m, rng),
            38..=39 => self.shut(m, rng, i),
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

    /// This one alone waits as long as something else takes, with or without moving there: from the start of a session, or
    /// from the start of what it looks at.
    pub(super) fn leave_room(&mut self, m: &Model, rng: &mut Rng, i: usize) {
        let (mate, move_there) = (rng.usize(..m.n), m.levels[rng.usize(..m.levels.len())].minutes);
        let room = m.p.activities[mate].duration + move_there;
        let sessions = m.p.sessions.len();
        self.wait[i] = match m.p.activities[i].run {
            _ if rng.u8(..3) == 0 => Time::MIN,
            Some(_) => room,
            None if sessions > 0 => m.p.sessions[rng.usize(..sessions)].from.saturating_add(room),
            None => Time::MIN,
        };
    }

    /// Is this session left to other work?
    pub(super) fn left(&self, m: &Model, i: usize, session: u32) -> bool {
        let session = session as usize;
        let place =
            || m.p.activities[i].place.is_some() && self.shut[m.place[i] * self.closed.len() + session];
        self.closed.get(session).is_some_and(|c| *c || place())
    }

    /// A place is not gone to in the session of a visit, or is again.
    fn shut(&mut self, m: &Model, rng: &mut Rng, i: usize) {
        let sessions = m.p.sessions.len();
        let Some(own) = self.shown.session.get(i).map(|s| *s as usize).filter(|s| *s < sessions) else {
            return;
        };
        let (place, again) = (m.place[i] * sessions, rng.u8(..3) == 0);
        let k = if again { place + rng.usize(..sessions) } else { place + own };
        self.shut[k] = !again && m.p.activities[i].place.is_some();
    }

    /// A session with little in it is given up, or one that was is used again.
    fn close(&mut self, m: &Model, rng: &mut Rng) {
        if rng.u8(..3) == 0 {
            let shut: Vec<usize> = (0..self.closed.len()).filter(|s| self.closed[*s]).collect();
            if !shut.is_empty() {
                self.closed[shut[rng.usize(..shut.len())]] = false;
            }
            return;
        }
        let mut minutes = vec![0; m.p.sessions.len()];
        for (s, a) in self.shown.session.iter().zip(&m.p.activities) {
            if let Some(own) = minutes.get_mut(*s as usize) {
                *own += 1 + a.duration;
            }
        }
        let used: Vec<usize> = (0..minutes.len()).filter(|s| minutes[*s] > 0 && !m.used[*s]).collect();
        if !used.is_empty() {
            let some = std::iter::repeat_with(|| used[rng.usize(..used.len())]).take(3);
            if let Some(s) = some.min_by_key(|s| minutes[*s]) {
                self.closed[s] = true;
            }
        }
    }

    /// The place (or its work with tools) opens with another session, or at once.
    fn wait_for_more(&mut self, m: &Model, rng: &mut Rng, i: usize) {
        let k = m.kind(i);
        let sessions = m.p.sessions.len();
        if sessions > 0 && rng.u8(..4) == 0 {
            return self.leave_room(m, rng, i);
        }
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
    fn join(&mut self, m: &Model, rng: &mut Rng, i: usize) {
        let shown = &self.shown;
        let here = &m.at_place[m.place[i]];
        let Some(own) = shown.session.get(i).copied().filter(|_| !here.is_empty()) else { return };
        let mate = if rng.u8(..4) > 0 { here[rng.usize(..here.len())] as usize } else { rng.usize(..m.n) };
        let Some(to) = m.p.sessions.get(shown.session[mate] as usize).map(|s| s.from) else { return };
        let to = if rng.u8(..4) == 0 { Time::MIN } else { to };
        let of_session =
            |k: &u32| shown.session[*k as usize] == own && m.p.activities[*k as usize].run.is_none();
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
                        if m.p.activities[k].run.is_none() {
                            self.wait[k] = to;
                        }
                        todo.extend(m.preds[k].iter().map(|(q, _)| *q));
                    }
                }
            }
        }
    }

    /// For what is not the own part the mother's genes.
    pub(super) fn mix(&mut self, mother: &Self, own: &dyn Fn(usize) -> bool) {
        // A session in the own part stays as it is.
        let mut kept = vec![false; self.closed.len()];
        for (_, s) in self.shown.session.iter().enumerate().filter(|(i, _)| own(*i)) {
            if let Some(k) = kept.get_mut(*s as usize) {
                *k = true;
            }
        }
        for (k, c) in self.closed.iter_mut().enumerate().filter(|(k, _)| !kept[*k]) {
            *c = mother.closed[k];
        }
        for (k, s) in self.shut.iter_mut().enumerate() {
            if !kept[k % self.closed.len()] {
                *s = mother.shut[k];
            }
        }
        for i in (0..self.cap.len()).filter(|i| !own(*i)) {
            self.cap[i] = mother.cap[i];
            self.skip[i] = mother.skip[i];
            self.pref[i] = mother.pref[i];
            self.spare[i] = mother.spare[i];
            self.spare_unit[i] = mother.spare_unit[i];
            self.wait[i] = mother.wait[i];
        }
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
