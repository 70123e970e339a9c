//! A population of schedules, crossed in time segments and justified.
//!
//! S. Hartmann, "A competitive genetic algorithm for resource-constrained project scheduling", Naval Research
//! Logistics 45 (1998) 733-750 (activity lists); D. Debels, M. Vanhoucke, "A bi-population based genetic algorithm for
//! the resource-constrained project scheduling problem", LNCS 3483 (2005) 378-387 (the middle of one parent's schedule
//! with the outer parts in the other's order; right-justified parents have children built forward, here justified at
//! once into the one population).

use super::instance::Instance;
use super::schedule::Scheduler;
use fastrand::Rng;

/// One schedule: its starts are its genes.
#[derive(Clone, Debug)]
pub(super) struct Member {
    pub(super) end: i32,
    pub(super) start: Vec<i32>,
}

pub(super) struct Island<'a> {
    pub(super) s: Scheduler<'a>,
    rng: Rng,
    tail: Vec<i32>,
    members: Vec<Member>,
    size: usize,
    pub(super) best: Option<Member>,
    list: Vec<u16>,
    old: Vec<i32>,
    fresh: Vec<i32>,
    /// Where each activity stands in the list.
    at: Vec<usize>,
    /// A child that ends later when first built is not worth justifying.
    limit: i32,
    stale: u64,
}

impl<'a> Island<'a> {
    /// An island of `size` members.
    pub(super) fn new(i: &'a Instance, tail: Vec<i32>, seed: u64, size: usize) -> Self {
        Self {
            s: Scheduler::new(i),
            rng: Rng::with_seed(seed),
            tail,
            members: Vec::new(),
            size,
            best: None,
            list: Vec::new(),
            old: Vec::new(),
            fresh: vec![0; i.n],
            at: vec![0; i.n],
            limit: i32::MAX,
            stale: 0,
        }
    }

    /// Makes schedules until `passes` more have been spent or `goal` is met.
    pub(super) fn run(&mut self, passes: u64, goal: i32) {
        let until = self.s.passes + passes;
        while self.s.passes < until && self.best.as_ref().is_none_or(|b| b.end > goal) {
            if self.members.len() < self.size {
                self.sample();
            } else if self.stale > 60 * self.size as u64 {
                self.renew();
            } else {
                self.cross();
            }
        }
    }

    /// A random list biased to long tails.
    fn sample(&mut self) {
        self.limit = i32::MAX;
        let i = self.s.i;
        let spread =
            if self.members.is_empty() && self.best.is_none() { 0.0 } else { 0.15 + 0.5 * self.rng.f64() };
        let most = self.tail.iter().copied().max().unwrap_or(1).max(1);
        // Tail keys fall along every edge only where lags are longer than nothing; rank breaks ties.
        let mut open: Vec<usize> = i.preds.iter().map(Vec::len).collect();
        let mut key: Vec<f64> = Vec::with_capacity(i.n);
        for t in &self.tail {
            key.push(f64::from(*t) + spread * f64::from(most) * self.rng.f64());
        }
        let mut ready: Vec<usize> = (0..i.n).filter(|j| open[*j] == 0).collect();
        self.list.clear();
        while let Some(k) = (0..ready.len()).max_by(|a, b| key[ready[*a]].total_cmp(&key[ready[*b]])) {
            let j = ready.swap_remove(k);
            self.list.push(j as u16);
            for (x, _) in &i.succs[j] {
                open[*x as usize] -= 1;
                if open[*x as usize] == 0 {
                    ready.push(*x as usize);
                }
            }
        }
        if let Some(m) = self.build() {
            self.keep(&m);
            self.members.push(m);
        }
    }

    /// Schedules the current list and justifies the result.
    fn build(&mut self) -> Option<Member> {
        let list = std::mem::take(&mut self.list);
        let end = self.s.forward(&list, &mut self.fresh);
        self.list = list;
        let end = end.filter(|t| *t <= self.limit)?;
        let end = self.s.justify(&mut self.fresh, &mut self.old, end);
        Some(self.member(end))
    }

    fn member(&self, end: i32) -> Member {
        Member { end, start: self.fresh.clone() }
    }

    /// In a new best everything starts as soon as it can.
    fn keep(&mut self, m: &Member) {
        if self.best.as_ref().is_none_or(|b| m.end < b.end) {
            self.stale = 0;
            let mut m = m.clone();
            self.s.sort(|j| m.start[j] as u32, false);
            if let Some(end) = self.s.again(&mut self.fresh)
                && end <= m.end
            {
                m = self.member(end);
            }
            self.best = Some(m);
        }
    }

    /// Takes in a schedule found elsewhere.
    pub(super) fn adopt(&mut self, m: &Member) {
        self.keep(m);
        if self.members.len() >= self.size
            && let Some(k) = (0..self.members.len()).max_by_key(|k| self.members[*k].end)
        {
            self.members[k] = m.clone();
        }
    }

    /// Most of a population that has gone stale is drawn anew.
    fn renew(&mut self) {
        self.stale = 0;
        self.members.sort_by_key(|m| m.end);
        let keep = self.rng.usize(..=1 + self.size / 10);
        self.members.truncate(keep);
    }

    fn pick(&mut self) -> usize {
        let (a, b) = (self.rng.usize(..self.members.len()), self.rng.usize(..self.members.len()));
        let key = |k: usize| self.members[k].end;
        if key(a) <= key(b) { a } else { b }
    }

    fn cross(&mut self) {
        let father = self.pick();
        let mut mother = self.pick();
        for _ in 0..4 {
            if mother != father {
                break;
            }
            mother = self.pick();
        }
        let span = self.members[father].end.max(2);
        // A segment of a tenth to a half of the schedule.
        let len = self.rng.i32(span / 10..=span / 2);
        let from = self.rng.i32(0..=span - len);
        let (f, m) = (&self.members[father], &self.members[mother]);
        let to = from + len;
        let (fs, ms) = (&f.start, &m.start);
        const ZONE: u32 = 1 << 15;
        self.s.sort(
            |j| {
                let t = fs[j];
                let key = if t < from {
                    ms[j] as u32
                } else if t > to {
                    2 * ZONE + ms[j] as u32
                } else {
                    ZONE + t as u32
                };
                key.min(0x1_ffff)
            },
            false,
        );
        self.list.clear();
        self.list.extend_from_slice(self.s.sorted());
        self.shake();
        // One this much worse is seldom saved by justification (1 to 5 per cent tried on published files of 120).
        let worse = self.members[father].end.max(self.members[mother].end);
        self.limit = worse + worse / 50;
        self.stale += 1;
        let Some(child) = self.build() else { return };
        self.keep(&child);
        self.place(child, father, mother);
    }

    /// Moves a few activities within what their neighbours in the network leave them.
    fn shake(&mut self) {
        let i = self.s.i;
        for (k, j) in self.list.iter().enumerate() {
            self.at[*j as usize] = k;
        }
        let times = if self.rng.u8(..) < 240 { 1 + self.rng.usize(..8) } else { 0 };
        for _ in 0..times {
            let j = self.rng.usize(..i.n);
            let from = self.at[j];
            let lo = i.preds[j].iter().map(|p| self.at[p.0 as usize] + 1).max().unwrap_or(0);
            let hi = i.succs[j].iter().map(|s| self.at[s.0 as usize]).min().unwrap_or(i.n) - 1;
            let to = self.rng.usize(lo..=hi);
            if to > from {
                self.list[from..=to].rotate_left(1);
            } else {
                self.list[to..=from].rotate_right(1);
            }
            for k in from.min(to)..=from.max(to) {
                self.at[self.list[k] as usize] = k;
            }
        }
    }

    /// A child takes the place of the worse parent where it is better, or of a random worse member.
    fn place(&mut self, child: Member, father: usize, mother: usize) {
        let key = |m: &Member| m.end;
        if self.members.iter().any(|m| key(m) == key(&child) && m.start == child.start) {
            return;
        }
        let worse = if key(&self.members[father]) >= key(&self.members[mother]) { father } else { mother };
        if key(&child) <= key(&self.members[worse]) {
            self.members[worse] = child;
            return;
        }
        let other = self.rng.usize(..self.members.len());
        if key(&child) < key(&self.members[other]) {
            self.members[other] = child;
        }
    }
}
