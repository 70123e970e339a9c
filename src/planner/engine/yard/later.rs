//! Work that somebody waits after comes later within its session, so that they wait less or come later themselves.
//!
//! V. Valls, F. Ballestín, S. Quintanilla, "Justification and RCPSP: a technique that pays", EJOR 165 (2005) 375-386: one
//! activity after the other as late as what follows lets it, the last first; here within one session, nobody else's.

use super::decode::{Decoder, presence};
use super::rows::NO_SESSION;
use super::state::bits;
use crate::planner::engine::problem::{FAR, Lag, Time};

impl Decoder<'_, '_> {
    /// No goal but the waiting changes.
    pub(super) fn wait_less(&mut self) {
        let m = self.m;
        if !m.p.setup.waiting {
            return;
        }
        let worked = m.p.activities.iter().zip(&self.state.spots).filter(|(a, s)| a.work && s.placed());
        let finish = worked.map(|(_, s)| s.end).max().unwrap_or(FAR);
        let spots = &self.state.spots;
        let moves = |i: &u32| {
            let (i, a) = (*i as usize, &m.p.activities[*i as usize]);
            let block = m.block_of[i].map(|b| &m.blocks[usize::from(b)]);
            // What is kept off until then would be for longer.
            let free = a.fixed.is_none() && m.climb(i).is_none() && block.is_none_or(|b| !b.opens(i));
            free && spots[i].placed() && spots[i].session != NO_SESSION && spots[i].workers != 0
        };
        self.later.clear();
        self.later.extend((0..m.n as u32).filter(moves));
        self.later.sort_unstable_by_key(|i| std::cmp::Reverse((spots[*i as usize].start, *i)));
        for k in 0..self.later.len() {
            let i = self.later[k] as usize;
            let mut by = self.room_after(i, finish);
            while by > 0 && !self.put_later(i, by) {
                by /= 2;
            }
        }
    }

    /// By how much it may come later for all that comes before and after it, and for whoever does it.
    fn room_after(&self, i: usize, finish: Time) -> Time {
        let m = self.m;
        let (a, s) = (&m.p.activities[i], self.state.spots[i]);
        let (mut by, mut waits) = (FAR, false);
        let people = m.p.workers.len();
        let units = s.units.iter().filter(|u| **u != u16::MAX).map(|u| people + usize::from(*u));
        for o in bits(s.workers).chain(units) {
            let Some((before, next)) = self.state.rows[o].around(i as u32, s.start) else { return 0 };
            let near = next.filter(|e| e.session == s.session);
            // Who does nothing after it would come to wait before it.
            if o < people && near.is_none() && before.is_some_and(|e| e.session == s.session) {
                return 0;
            }
            by = by.min(next.map_or(FAR, |e| e.lead - s.end));
            waits |= o < people && near.is_some();
            if by <= 0 {
                return 0;
            }
        }
        if !waits {
            return 0;
        }
        let windows = m.windows(i);
        let w = windows.partition_point(|w| w.to < s.end);
        let limits = [
            windows.get(w).map(|w| w.to),
            a.deadline,
            m.p.due.filter(|d| a.group.is_some() && s.end <= *d),
            Some(finish).filter(|_| a.work),
        ];
        let end = limits.into_iter().flatten().min().unwrap_or(FAR);
        by = by.min(end - s.end);
        for (x, lag) in &m.succs[i] {
            let other = self.state.spots[*x];
            by = by.min(match lag {
                _ if !other.placed() => FAR,
                Lag::FinishStart { wait, same_day, .. } => {
                    let wait = m.p.wait(*wait, Some(s.session));
                    let far = other.start - wait - s.end;
                    if *same_day && m.p.day(s.end + by.min(far)) != m.p.day(s.end) { 0 } else { far }
                }
                Lag::StartStart { min } => other.start.saturating_sub(*min) - s.start,
            });
        }
        for (q, lag) in &m.preds[i] {
            if let Lag::FinishStart { within, same_day, .. } = lag {
                let ended = self.state.spots[*q].end;
                by = within.map_or(by, |x| by.min(ended + x - s.start));
                if *same_day && m.p.day(s.start + by) != m.p.day(s.start) {
                    return 0;
                }
            }
        }
        by
    }

    /// Puts it so much later where there is room for it, in its row as it stood.
    fn put_later(&mut self, i: usize, by: Time) -> bool {
        let m = self.m;
        let a = &m.p.activities[i];
        let old = self.state.spots[i];
        let new = super::state::Spot { start: old.start + by, end: old.end + by, ..old };
        let there = |w: usize| presence(&m.p.workers[w].present, new.start - new.setup, new.end).is_some();
        if !bits(new.workers).all(there) {
            return false;
        }
        let look = |x: &&(usize, Lag)| m.p.activities[x.0].run.is_some_and(|r| r.from == i);
        let look = m.succs[i].iter().find(look).map(|x| x.0).filter(|j| self.state.spots[*j].placed());
        if let Some(j) = look {
            self.state.keep_running(m, j, self.state.spots[j], -1);
        }
        self.state.take_back(m, i);
        let fits = self.room_at(a, new.start, new.session, new.setup).is_ok();
        self.state.put(m, i, if fits { new } else { old });
        if let Some(j) = look {
            self.state.keep_running(m, j, self.state.spots[j], 1);
        }
        fits
    }
}
