//! The time-table of a resource, with explanations slot by slot.

use super::super::learn_core::{Lit, NONE};
use super::{Prover, User};

impl Prover<'_> {
    /// What each leaves of a resource where it lies in any case; those that fit there no more move out.
    pub(super) fn time_table(&mut self, r: usize, narrowed: &[u32]) -> bool {
        let i = self.i;
        if narrowed.iter().all(|j| i.need[*j as usize][r] == 0) {
            return true;
        }
        self.refresh();
        // Only where a part of somebody who moved lies can there be less than at the last fixed point.
        let (mut from, mut to) = (i32::MAX, 0);
        for j in narrowed.iter().map(|j| *j as usize).filter(|j| i.need[*j][r] > 0) {
            let part = self.parts[j];
            if part.1 > 0 {
                from = from.min(part.0);
                to = to.max(part.1);
            }
        }
        let mut lowest = i32::MAX;
        for t in from..to {
            let l = self.left[t as usize][r];
            lowest = lowest.min(l);
            if l < 0 {
                let why = self.at(r, t, NONE as usize, i.capacity[t as usize][r]);
                self.core.conflict.clear();
                self.core.conflict.extend(why);
                return false;
            }
        }
        if self.largest[r] <= lowest {
            let user =
                |j: &u32| User { j: *j as usize, duration: i.dur[*j as usize], need: i.need[*j as usize][r] };
            return narrowed.iter().map(user).all(|u| u.need == 0 || self.squeeze(r, u));
        }
        let mut next = narrowed.iter().peekable();
        for k in 0..self.users[r].len() {
            let u = self.users[r][k];
            while next.next_if(|j| (**j as usize) < u.j).is_some() {}
            let moved = next.peek().is_some_and(|j| **j as usize == u.j);
            let meets = u.need > lowest && self.core.low[u.j] < to && self.core.high[u.j] + u.duration > from;
            if (moved || meets) && !self.squeeze(r, u) {
                return false;
            }
        }
        true
    }

    /// What is taken off for parts follows the bounds.
    fn refresh(&mut self) {
        while let Some(j) = self.core.next_moved() {
            if j >= self.i.n {
                continue;
            }
            let (a, b) = (self.core.high[j], self.core.low[j] + self.i.dur[j]);
            let new = if a < b { (a, b) } else { (0, 0) };
            let old = std::mem::replace(&mut self.parts[j], new);
            if new == old {
                continue;
            }
            let need = &self.i.need[j];
            for l in &mut self.left[old.0 as usize..old.1 as usize] {
                l.iter_mut().zip(need).for_each(|(l, n)| *l += n);
            }
            for l in &mut self.left[new.0 as usize..new.1 as usize] {
                l.iter_mut().zip(need).for_each(|(l, n)| *l -= n);
            }
        }
    }

    /// An activity moves out of the slots that have too little left for it.
    fn squeeze(&mut self, r: usize, User { j, duration: d, need }: User) -> bool {
        let i = self.i;
        // Up: the last blocked slot under the earliest position, again until there is none.
        while self.core.low[j] < self.core.high[j] {
            let (l, h) = (self.core.low[j], self.core.high[j]);
            let Some(t) = (l..l + d).rev().find(|t| self.blocked(r, *t, need, (h, l + d))) else { break };
            let cap = i.capacity[t as usize][r] - need;
            let mut why = self.at(r, t, j, cap);
            why.push(self.core.at_least(j, t - d + 1));
            let why = self.core.keep(&why);
            let a = self.core.at_least(j, (t + 1).min(self.core.high[j] + 1));
            if !self.core.set(a, why) {
                return false;
            }
        }
        while self.core.low[j] < self.core.high[j] {
            let (l, h) = (self.core.low[j], self.core.high[j]);
            let Some(t) = (h..h + d).find(|t| self.blocked(r, *t, need, (h, l + d))) else { break };
            let cap = i.capacity[t as usize][r] - need;
            let mut why = self.at(r, t, j, cap);
            why.push(self.core.at_most(j, t));
            let why = self.core.keep(&why);
            let a = self.core.at_most(j, (t - d).max(self.core.low[j] - 1));
            if !self.core.set(a, why) {
                return false;
            }
        }
        true
    }

    /// Few activities that together take more than `cap` at `t`, as bounds that make them cover it.
    fn at(&self, r: usize, t: i32, but: usize, cap: i32) -> Vec<Lit> {
        let there = |u: &&User| u.j != but && self.core.high[u.j] <= t && t < self.core.low[u.j] + u.duration;
        let mut there: Vec<(i32, usize, i32)> =
            self.users[r].iter().filter(there).map(|u| (-u.need, u.j, u.duration)).collect();
        there.sort_unstable();
        let (mut sum, mut out) = (0, Vec::with_capacity(2 * there.len() + 1));
        for (need, j, d) in there {
            if sum > cap {
                break;
            }
            sum -= need;
            out.push(self.core.at_most(j, t));
            out.push(self.core.at_least(j, t - d + 1));
        }
        out
    }

    /// Is there less than `need` left at `t`? Not where the activity's own part (`own`) is taken off already.
    fn blocked(&self, r: usize, t: i32, need: i32, own: (i32, i32)) -> bool {
        !(own.0..own.1).contains(&t) && self.left.get(t as usize).is_some_and(|l| l[r] < need)
    }
}
