//! A prover: time-table propagation with explanations over learned clauses, guided by the best schedule known.
//!
//! A. Schutt, T. Feydy, P. J. Stuckey, M. G. Wallace, "Explaining the cumulative propagator", Constraints 16 (2011)
//! 250-282 (pointwise explanations); precedence choices for pairs that cannot run together.

use super::learn_core::{Core, Lit, NONE, Why, not};
use crate::planner::engine::lean::bounds;
use crate::planner::engine::lean::instance::{Instance, LANES};
use fastrand::Rng;

/// More clauses' room than this many literals is not worth its memory.
const MOST_ATOMS: usize = 6_000_000;
/// On larger problems a proof is out of reach.
const MOST_ACTIVITIES: usize = 400;
/// Pairs of activities that get a variable of their own.
const MOST_PAIRS: usize = 3_000;

pub(super) enum Outcome {
    /// A schedule that ends before the limit.
    Found(Vec<i32>),
    /// None ends before the limit.
    Proven,
    /// The share of conflicts is used up.
    Open,
}

pub(super) struct Prover<'a> {
    i: &'a Instance,
    core: Core,
    /// Activities by resource.
    users: Vec<Vec<usize>>,
    /// Units left a slot by resource, and the part of each user that is taken off for it.
    left: Vec<Vec<i32>>,
    parts: Vec<Vec<(i32, i32)>>,
    guide: Vec<i32>,
    pairs: Vec<(usize, usize)>,
    rng: Rng,
    end: usize,
    luby: u32,
    until_restart: u64,
    most: usize,
}

impl<'a> Prover<'a> {
    /// Looks for a schedule that ends before `best`; `None` where that is too large to try.
    pub(super) fn new(i: &'a Instance, best: i32, start: &[i32], seed: u64) -> Option<Self> {
        if i.n > MOST_ACTIVITIES {
            return None;
        }
        let mut low = bounds::heads(i);
        let mut high: Vec<i32> = bounds::tails(i).iter().map(|t| (best - t).max(0)).collect();
        low.push(0);
        high.push(best);
        let mut guide = start.to_vec();
        guide.push(best);
        Self::within(i, low, high, guide, seed)
    }

    /// Looks for a schedule in which everything starts between these times.
    pub(super) fn between(i: &'a Instance, low: &[i32], high: &[i32], seed: u64) -> Option<Self> {
        let with_end = |t: &[i32]| t.iter().copied().chain([0]).collect::<Vec<i32>>();
        Self::within(i, with_end(low), with_end(high), with_end(low), seed)
    }

    /// Bounds of all starts and of the end.
    fn within(
        i: &'a Instance,
        mut low: Vec<i32>,
        mut high: Vec<i32>,
        guide: Vec<i32>,
        seed: u64,
    ) -> Option<Self> {
        let width = usize::try_from(high.iter().copied().max()?).ok()? + 2;
        let after = bounds::reach(i);
        let most: [i32; LANES] = std::array::from_fn(|r| i.capacity.iter().map(|c| c[r]).max().unwrap_or(0));
        let mut pairs = Vec::new();
        for a in 0..i.n {
            for b in a + 1..i.n {
                let clash = (0..LANES)
                    .any(|r| i.need[a][r] > 0 && i.need[b][r] > 0 && i.need[a][r] + i.need[b][r] > most[r]);
                let apart = low[a] + i.dur[a] > high[b] || low[b] + i.dur[b] > high[a];
                if clash && !apart && !after[a][b] && !after[b][a] {
                    pairs.push((a, b));
                }
            }
        }
        if pairs.len() > MOST_PAIRS {
            pairs.clear();
        }
        let vars = i.n + 1 + pairs.len();
        if vars * width > MOST_ATOMS {
            return None;
        }
        low.resize(vars, 0);
        high.resize(vars, 1);
        if low.iter().zip(&high).any(|(l, h)| l > h) {
            return None;
        }
        let mut core = Core::new(low, high, width);
        for j in 0..i.n {
            for (s, lag) in &i.succs[j] {
                core.edge(j, *s as usize, *lag, NONE);
            }
            if i.work[j] {
                core.edge(j, i.n, i.dur[j], NONE);
            }
        }
        for (k, (a, b)) in pairs.iter().enumerate() {
            let first = core.at_least(i.n + 1 + k, 1);
            core.edge(*a, *b, i.dur[*a], first);
            core.edge(*b, *a, i.dur[*b], not(first));
        }
        let users: Vec<Vec<usize>> =
            (0..LANES).map(|r| (0..i.n).filter(|j| i.need[*j][r] > 0).collect()).collect();
        let cap = |t: usize, r: usize| i.capacity.get(t).map_or(i32::MAX / 2, |c| c[r]);
        let last = (0..i.n).map(|j| core.high[j] + i.dur[j]).max().unwrap_or(0).max(width as i32) as usize;
        let left = (0..LANES).map(|r| (0..=last).map(|t| cap(t, r)).collect()).collect();
        let parts = users.iter().map(|u| vec![(0, 0); u.len()]).collect();
        Some(Self {
            i,
            core,
            users,
            left,
            parts,
            guide,
            pairs,
            rng: Rng::with_seed(seed),
            end: i.n,
            luby: 0,
            until_restart: 0,
            most: 20_000,
        })
    }

    pub(super) fn conflicts(&self) -> u64 {
        self.core.conflicts
    }

    /// A better schedule was found elsewhere.
    pub(super) fn tighten(&mut self, best: i32, start: &[i32]) -> bool {
        self.core.back(0);
        self.guide[..start.len()].copy_from_slice(start);
        let l = self.core.at_most(self.end, best - 1);
        self.core.set(l, Why::Decision)
    }

    /// Searches for `share` conflicts.
    pub(super) fn run(&mut self, share: u64) -> Outcome {
        let until = self.core.conflicts + share;
        loop {
            if self.propagate() {
                if self.until_restart <= self.core.conflicts && self.core.level() > 0 {
                    self.restart();
                    continue;
                }
                let Some(l) = self.branch() else {
                    let start = self.core.low[..self.i.n].to_vec();
                    return Outcome::Found(start);
                };
                self.core.decide(l);
            } else {
                if !self.core.learn() {
                    return Outcome::Proven;
                }
                if self.core.conflicts >= until {
                    return Outcome::Open;
                }
            }
        }
    }

    fn restart(&mut self) {
        self.core.back(0);
        self.luby += 1;
        // 1 1 2 1 1 2 4 ... times 100.
        let mut k = self.luby;
        let step = loop {
            if (k + 1).is_power_of_two() {
                break k.div_ceil(2);
            }
            k -= (1 << k.ilog2()) - 1;
        };
        self.until_restart = self.core.conflicts + 100 * u64::from(step.max(1));
        self.core.forget(self.most);
        self.most += 20;
    }

    /// Mostly the most active bound, on the side of the best schedule; otherwise the earliest start.
    fn branch(&mut self) -> Option<Lit> {
        if let Some(atom) = self.core.next() {
            let (v, k) = self.core.atom(atom);
            let up = if v <= self.i.n {
                self.luby % 4 == 3 && self.guide[v] >= k
            } else {
                let (a, b) = self.pairs[v - self.i.n - 1];
                self.guide[a] < self.guide[b]
            };
            return Some(if up { atom } else { not(atom) });
        }
        let mut pick: Option<((i32, i32), usize)> = None;
        for v in 0..self.i.n {
            let (l, h) = (self.core.low[v], self.core.high[v]);
            if l < h {
                let key = (l, h + self.rng.i32(..2));
                if pick.is_none_or(|p| key < p.0) {
                    pick = Some((key, v));
                }
            }
        }
        if let Some((_, v)) = pick {
            return Some(self.core.at_most(v, self.core.low[v]));
        }
        let end = self.end;
        (self.core.low[end] < self.core.high[end]).then(|| self.core.at_most(end, self.core.low[end]))
    }

    fn propagate(&mut self) -> bool {
        loop {
            if !self.core.propagate() {
                return false;
            }
            let touched: Vec<bool> = self.core.touched[..self.i.n].to_vec();
            self.core.touched.fill(false);
            let mark = self.core.changes();
            if !self.windows(&touched) {
                return false;
            }
            for r in 0..LANES {
                if self.users[r].iter().any(|j| touched[*j]) && !self.time_table(r, &touched) {
                    return false;
                }
            }
            if self.core.changes() == mark {
                return true;
            }
        }
    }

    /// Starts move out of stretches in which they fit no window.
    fn windows(&mut self, touched: &[bool]) -> bool {
        for (j, moved) in touched.iter().enumerate() {
            let Some(t) = self.i.table[j].filter(|_| *moved) else { continue };
            let (next, last) = (&self.i.next_fit[t as usize], &self.i.last_fit[t as usize]);
            let (l, h) = (self.core.low[j], self.core.high[j]);
            let to = next[l as usize];
            if to > l {
                // From the first start that does not fit.
                let first = last[l as usize] + 1;
                let why = self.core.at_least(j, first);
                let why = self.core.keep(&[why]);
                let a = self.core.at_least(j, to);
                if !self.core.set(a, why) {
                    return false;
                }
            }
            let to = last[h as usize];
            if to < h {
                let first = next[h as usize] - 1;
                let top = self.core.width as i32 - 2;
                let why = self.core.at_most(j, first.min(top));
                let why = self.core.keep(&[why]);
                let a = self.core.at_most(j, to);
                if !self.core.set(a, why) {
                    return false;
                }
            }
        }
        true
    }

    fn time_table(&mut self, r: usize, touched: &[bool]) -> bool {
        let i = self.i;
        let users = std::mem::take(&mut self.users[r]);
        let mut left = std::mem::take(&mut self.left[r]);
        let fine = self.time_table_of(i, r, &users, touched, &mut left);
        self.users[r] = users;
        self.left[r] = left;
        fine
    }

    fn time_table_of(
        &mut self,
        i: &Instance,
        r: usize,
        users: &[usize],
        touched: &[bool],
        left: &mut [i32],
    ) -> bool {
        // Only where a part of somebody who moved lies can there be less than at the last fixed point.
        let (mut from, mut to) = (i32::MAX, 0);
        for (k, j) in users.iter().enumerate() {
            let (a, b) = (self.core.high[*j], self.core.low[*j] + i.dur[*j]);
            let new = if a < b { (a, b) } else { (0, 0) };
            let old = self.parts[r][k];
            if new != old {
                for l in &mut left[old.0 as usize..old.1 as usize] {
                    *l += i.need[*j][r];
                }
                for l in &mut left[new.0 as usize..new.1 as usize] {
                    *l -= i.need[*j][r];
                }
                self.parts[r][k] = new;
            }
            if touched[*j] && new.1 > 0 {
                from = from.min(new.0);
                to = to.max(new.1);
            }
        }
        let mut lowest = i32::MAX;
        for t in from..to {
            let l = left[t as usize];
            lowest = lowest.min(l);
            if l < 0 {
                let why = self.at(i, r, users, t, NONE as usize, i.capacity[t as usize][r]);
                self.core.conflict.clear();
                self.core.conflict.extend(why);
                return false;
            }
        }
        for j in users.iter().copied() {
            let (d, need) = (i.dur[j], i.need[j][r]);
            let meets = need > lowest && self.core.low[j] < to && self.core.high[j] + d > from;
            if !touched[j] && !meets {
                continue;
            }
            // Up: the last blocked slot under the earliest position, again until there is none.
            while self.core.low[j] < self.core.high[j] {
                let (l, h) = (self.core.low[j], self.core.high[j]);
                let Some(t) = (l..l + d).rev().find(|t| blocked(left, *t, need, (h, l + d))) else { break };
                let cap = i.capacity[t as usize][r] - need;
                let mut why = self.at(i, r, users, t, j, cap);
                why.push(self.core.at_least(j, t - d + 1));
                let why = self.core.keep(&why);
                let a = self.core.at_least(j, (t + 1).min(self.core.high[j] + 1));
                if !self.core.set(a, why) {
                    return false;
                }
            }
            while self.core.low[j] < self.core.high[j] {
                let (l, h) = (self.core.low[j], self.core.high[j]);
                let Some(t) = (h..h + d).find(|t| blocked(left, *t, need, (h, l + d))) else { break };
                let cap = i.capacity[t as usize][r] - need;
                let mut why = self.at(i, r, users, t, j, cap);
                why.push(self.core.at_most(j, t));
                let why = self.core.keep(&why);
                let a = self.core.at_most(j, (t - d).max(self.core.low[j] - 1));
                if !self.core.set(a, why) {
                    return false;
                }
            }
        }
        true
    }

    /// Few activities that together take more than `cap` at `t`, as bounds that make them cover it.
    fn at(&mut self, i: &Instance, r: usize, users: &[usize], t: i32, but: usize, cap: i32) -> Vec<Lit> {
        let mut there: Vec<(i32, usize)> = users
            .iter()
            .copied()
            .filter(|k| *k != but && self.core.high[*k] <= t && t < self.core.low[*k] + i.dur[*k])
            .map(|k| (-i.need[k][r], k))
            .collect();
        there.sort_unstable();
        let (mut sum, mut out) = (0, Vec::with_capacity(2 * there.len()));
        for (need, k) in there {
            if sum > cap {
                break;
            }
            sum -= need;
            out.push(self.core.at_most(k, t));
            out.push(self.core.at_least(k, t - i.dur[k] + 1));
        }
        out
    }
}

/// Is there less than `need` left at `t`? Not where the activity's own part (`own`) is taken off already.
fn blocked(left: &[i32], t: i32, need: i32, own: (i32, i32)) -> bool {
    if t >= own.0 && t < own.1 {
        return false;
    }
    left.get(t as usize).is_some_and(|l| *l < need)
}
