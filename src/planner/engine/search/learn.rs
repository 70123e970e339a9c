//! A prover: time-table propagation with explanations over learned clauses, guided by the best schedule known.
//!
//! A. Schutt, T. Feydy, P. J. Stuckey, M. G. Wallace, "Explaining the cumulative propagator", Constraints 16 (2011)
//! 250-282 (pointwise explanations); precedence choices for pairs that cannot run together.

mod time_table;

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

/// An activity that needs a resource.
#[derive(Clone, Copy)]
struct User {
    j: usize,
    duration: i32,
    need: i32,
}

pub(super) struct Prover<'a> {
    i: &'a Instance,
    core: Core,
    /// Activities by resource.
    users: Vec<Vec<User>>,
    /// The most that one of them needs.
    largest: [i32; LANES],
    /// Units left a slot, and the part of each activity that is taken off for it.
    left: Vec<[i32; LANES]>,
    parts: Vec<(i32, i32)>,
    /// Whose bounds were narrowed since the last look.
    narrowed: Vec<u32>,
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
        let last = high.iter().copied().max()?;
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
        low.resize(vars, 0);
        high.resize(vars, 1);
        if low.iter().zip(&high).any(|(l, h)| l > h) {
            return None;
        }
        if low.iter().zip(&high).map(|(l, h)| (h - l) as usize).sum::<usize>() > MOST_ATOMS {
            return None;
        }
        let mut core = Core::new(low, high);
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
        let user = |j: usize, r: usize| User { j, duration: i.dur[j], need: i.need[j][r] };
        let users: Vec<Vec<User>> =
            (0..LANES).map(|r| (0..i.n).map(|j| user(j, r)).filter(|u| u.need > 0).collect()).collect();
        let last = (0..i.n).map(|j| core.high[j] + i.dur[j]).max().unwrap_or(0).max(last + 2) as usize;
        let left = (0..=last).map(|t| i.capacity.get(t).copied().unwrap_or([i32::MAX / 2; LANES])).collect();
        let largest = |r: usize| users[r].iter().map(|u| u.need).max().unwrap_or(0);
        Some(Self {
            i,
            core,
            largest: std::array::from_fn(largest),
            users,
            left,
            parts: vec![(0, 0); i.n],
            narrowed: Vec::with_capacity(i.n),
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
            let mut narrowed = std::mem::take(&mut self.narrowed);
            narrowed.clear();
            narrowed.extend((0..self.i.n as u32).filter(|j| self.core.touched[*j as usize]));
            self.core.touched.fill(false);
            let mark = self.core.changes();
            let fine = self.windows(&narrowed) && (0..LANES).all(|r| self.time_table(r, &narrowed));
            self.narrowed = narrowed;
            if !fine {
                return false;
            }
            if self.core.changes() == mark {
                return true;
            }
        }
    }

    /// Starts move out of stretches in which they fit no window.
    fn windows(&mut self, narrowed: &[u32]) -> bool {
        for j in narrowed.iter().map(|j| *j as usize) {
            let Some(t) = self.i.table[j] else { continue };
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
                let why = self.core.at_most(j, first);
                let why = self.core.keep(&[why]);
                let a = self.core.at_most(j, to);
                if !self.core.set(a, why) {
                    return false;
                }
            }
        }
        true
    }
}
