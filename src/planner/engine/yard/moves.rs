//! Deliberate changes of a schedule, each tried by itself: a visit is joined with another of its place, a place is not gone
//! to in a session, one person leaves a visit to others, a session is given up, used again or changed for another.

use super::genes::{Genes, LEFT_OUT};
use super::model::Model;
use crate::planner::engine::problem::Time;
use std::collections::BTreeMap;

#[derive(Clone, Copy, Debug)]
pub(super) enum Move {
    /// What is done at the place in the first session waits for the second.
    Later(usize, u32, u32),
    /// What is done at the place in the first session comes, with all before it, ahead of what is done there in the second.
    Earlier(usize, u32, u32),
    /// The place is not gone to in the session.
    Shut(usize, u32),
    /// What is done there comes as soon as it can.
    Free(usize, u32),
    /// This worker leaves what is done there by one alone to others.
    Spare(usize, u32, usize),
    /// What is done there is done in one go: as early as its first, as late as its last.
    Gather(usize, u32, bool),
    /// Somebody waits before this: others do it, it waits for the next session, or it comes with the first of its own.
    Leave(usize, usize),
    PutOff(usize),
    Sooner(usize),
    Close(u32),
    Open(u32),
    /// The first is given up and the second used.
    Swap(u32, u32),
}

/// All changes that these genes let hope for something.
pub(super) fn moves(m: &Model, g: &Genes) -> Vec<Move> {
    let sessions = m.p.sessions.len() as u32;
    let mut all = Vec::new();
    let mut minutes = vec![0; m.p.sessions.len()];
    for (i, s) in g.shown.session.iter().enumerate() {
        let a = &m.p.activities[i];
        if let Some(x) = minutes.get_mut(*s as usize)
            && a.work
            && a.fixed.is_none()
        {
            *x += 1 + a.duration;
        }
    }
    for (place, here) in m.at_place.iter().enumerate() {
        // By session: who goes there, and how often somebody moves.
        let mut visits: BTreeMap<u32, (u64, usize)> = BTreeMap::new();
        for i in here {
            let (i, s) = (*i as usize, g.shown.session[*i as usize]);
            if s < sessions {
                let v = visits.entry(s).or_default();
                v.0 |= g.shown.workers[i];
                v.1 += usize::from(g.shown.movers.binary_search(&(i as u32)).is_ok());
            }
        }
        let order: Vec<u32> = visits.keys().copied().collect();
        for (k, (s, (who, moved))) in visits.iter().enumerate() {
            for t in order[k + 1..].iter().take(2) {
                all.push(Move::Later(place, *s, *t));
                all.push(Move::Earlier(place, *t, *s));
            }
            if visits.len() > 1 {
                all.push(Move::Shut(place, *s));
                all.push(Move::Free(place, *s));
            }
            if who.count_ones() > 1 {
                all.extend(super::state::bits(*who).map(|w| Move::Spare(place, *s, w)));
            }
            if *moved > 1 {
                all.extend([Move::Gather(place, *s, false), Move::Gather(place, *s, true)]);
            }
        }
    }
    for (i, w) in &g.shown.idle {
        let i = *i as usize;
        let waits = [Move::Leave(i, usize::from(*w)), Move::PutOff(i), Move::Sooner(i)];
        // Waiting may be most of what is given.
        all.extend(waits.into_iter().chain(waits));
    }
    let used: Vec<u32> = (0..sessions).filter(|s| minutes[*s as usize] > 0 && !m.used[*s as usize]).collect();
    let idle: Vec<u32> = (0..sessions)
        .filter(|s| minutes[*s as usize] == 0 && m.p.sessions[*s as usize].to > m.p.now)
        .filter(|s| m.p.sessions[*s as usize].from < g.patient_until)
        .collect();
    for s in &used {
        all.push(Move::Close(*s));
        all.extend(idle.iter().map(|t| Move::Swap(*s, *t)));
    }
    all.extend(idle.iter().map(|t| Move::Open(*t)));
    all
}

impl Genes {
    /// Makes one change.
    pub(super) fn change(&mut self, m: &Model, change: Move) {
        match change {
            Move::Later(place, s, t) => {
                let from = m.p.sessions[t as usize].from;
                self.let_in(m, place, t);
                for i in self.visit(m, place, s) {
                    self.wait[i] = from;
                }
                for i in self.visit(m, place, s).into_iter().chain(self.visit(m, place, t)) {
                    self.cap[i] = 0;
                }
            }
            Move::Earlier(place, s, t) => {
                self.let_in(m, place, t);
                let before = self.visit(m, place, t);
                let at = self.list.iter().position(|x| before.contains(&(*x as usize))).unwrap_or(0);
                let moved = self.visit(m, place, s);
                for k in 0..2 {
                    self.floor[2 * place + k] = Time::MIN;
                }
                self.bring(m, &moved, at as u32, true);
            }
            Move::Shut(place, s) => self.shut[place * m.p.sessions.len() + s as usize] = true,
            Move::Free(place, s) => {
                for i in self.visit(m, place, s) {
                    self.wait[i] = Time::MIN;
                    self.skip[i] = if self.skip[i] == LEFT_OUT { LEFT_OUT } else { 0 };
                }
                let sessions = m.p.sessions.len();
                self.shut[place * sessions..(place + 1) * sessions].fill(false);
                for k in 0..2 {
                    self.floor[2 * place + k] = Time::MIN;
                }
            }
            Move::Spare(place, s, w) => {
                for i in self.visit(m, place, s) {
                    if m.p.activities[i].hands <= 1 {
                        self.spare[i] |= 1 << w;
                    }
                }
            }
            Move::Gather(place, s, late) => {
                let own = self.visit(m, place, s);
                let at = |x: &u32| own.contains(&(*x as usize));
                let k = if late { self.list.iter().rposition(at) } else { self.list.iter().position(at) };
                let k = k.unwrap_or(0) as u32;
                if late { self.put_off(m, &own, k) } else { self.bring(m, &own, k, false) }
            }
            Move::Leave(i, w) => self.spare[i] |= 1 << w,
            Move::PutOff(i) => {
                let own = self.shown.session[i];
                let now = m.p.sessions.get(own as usize).map_or(Time::MIN, |s| s.to);
                let later = m.p.sessions.iter().map(|s| s.from).filter(|t| *t >= now).min();
                if m.p.activities[i].run.is_none() {
                    self.wait[i] = later.unwrap_or(Time::MIN);
                }
            }
            Move::Sooner(i) => {
                let own = self.shown.session[i];
                let first = self.list.iter().position(|x| self.shown.session[*x as usize] == own);
                self.bring(m, &[i], first.unwrap_or(0) as u32, false);
            }
            Move::Close(s) => self.closed[s as usize] = true,
            Move::Open(s) => self.closed[s as usize] = false,
            Move::Swap(s, t) => {
                self.closed[s as usize] = true;
                self.closed[t as usize] = false;
            }
        }
    }

    /// What found no room comes earlier, with all that it waits for, and nothing holds it back any more.
    ///
    /// D. E. Joslin, D. P. Clements, "Squeaky wheel optimization", JAIR 10 (1999) 353-373: what came off badly is served
    /// earlier.
    pub(super) fn fit_in(&mut self, m: &Model, rng: &mut fastrand::Rng) {
        let Some(i) = self.shown.left.get(rng.usize(..self.shown.left.len().max(1))).map(|i| *i as usize)
        else {
            return;
        };
        let sessions = m.p.sessions.len();
        let mut held = vec![i];
        let mut seen = vec![false; m.n];
        while let Some(k) = held.pop() {
            if std::mem::replace(&mut seen[k], true) {
                continue;
            }
            self.skip[k] = 0;
            self.spare[k] = 0;
            self.spare_unit[k] = u16::MAX;
            self.cap[k] = 3;
            self.shut[m.place[k] * sessions..(m.place[k] + 1) * sessions].fill(false);
            self.floor[2 * m.place[k]..2 * m.place[k] + 2].fill(Time::MIN);
            held.extend(m.preds[k].iter().map(|(q, _)| *q));
        }
        if rng.u8(..4) == 0 {
            self.closed.fill(false);
        }
        let at = self.list.iter().position(|x| *x as usize == i).unwrap_or(0);
        self.bring(m, &[i], rng.usize(..=at) as u32, true);
    }

    /// What is done at a place in a session, but for looks at what runs.
    fn visit(&self, m: &Model, place: usize, session: u32) -> Vec<usize> {
        let here = m.at_place[place].iter().map(|i| *i as usize);
        here.filter(|i| self.shown.session[*i] == session && m.p.activities[*i].run.is_none()).collect()
    }

    fn let_in(&mut self, m: &Model, place: usize, session: u32) {
        self.closed[session as usize] = false;
        self.shut[place * m.p.sessions.len() + session as usize] = false;
    }

    /// These come to a position of the list, and what must come before them no later; where `at_once`, without waiting.
    fn bring(&mut self, m: &Model, own: &[usize], at: u32, at_once: bool) {
        let mut key = vec![0u32; m.n];
        for (k, i) in self.list.iter().enumerate() {
            key[*i as usize] = 2 * k as u32 + 1;
        }
        for i in own {
            key[*i] = key[*i].min(2 * at);
        }
        for i in m.order.iter().rev() {
            for (q, _) in &m.preds[*i] {
                if key[*q] > key[*i] {
                    key[*q] = key[*i];
                    if at_once {
                        self.wait[*q] =
                            if m.p.activities[*q].run.is_none() { Time::MIN } else { self.wait[*q] };
                    }
                }
            }
        }
        if at_once {
            for i in own {
                self.wait[*i] = Time::MIN;
            }
        }
        // Stable: among equals the old order, which has predecessors first.
        self.list.sort_by_key(|i| key[*i as usize]);
    }

    /// These come to a position of the list, and what must come after them no sooner.
    fn put_off(&mut self, m: &Model, own: &[usize], at: u32) {
        let mut key = vec![0u32; m.n];
        for (k, i) in self.list.iter().enumerate() {
            key[*i as usize] = 2 * k as u32;
        }
        for i in own {
            key[*i] = key[*i].max(2 * at + 1);
        }
        for i in &m.order {
            for (s, _) in &m.succs[*i] {
                key[*s] = key[*s].max(key[*i]);
            }
        }
        self.list.sort_by_key(|i| key[*i as usize]);
    }
}
