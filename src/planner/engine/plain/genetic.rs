//! A population of schedules, crossed in time segments and justified.
//!
//! S. Hartmann, "A competitive genetic algorithm for resource-constrained project scheduling", Naval Research
//! Logistics 45 (1998) 733-750 (activity lists); D. Debels, M. Vanhoucke, "A decomposition-based genetic algorithm for
//! the resource-constrained project-scheduling problem", Operations Research 55 (2007) 457-469 (the middle of one
//! parent's schedule with the outer parts in the other's order); V. Valls, F. Ballestín, S. Quintanilla, "A hybrid
//! genetic algorithm for the RCPSP", EJOR 185 (2008) 495-508 (busy segments are what is worth passing on).

use super::instance::{Instance, LANES};
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
    busy: Vec<i64>,
    stale: u64,
}

impl<'a> Island<'a> {
    pub(super) fn new(i: &'a Instance, tail: Vec<i32>, seed: u64, budget: u64) -> Self {
        // More schedules feed more members; each is met by chance often enough to be worth its place.
        let size = ((budget as f64).sqrt() / 5.0) as usize;
        Self {
            s: Scheduler::new(i),
            rng: Rng::with_seed(seed),
            tail,
            members: Vec::new(),
            size: size.clamp(16, 120),
            best: None,
            list: Vec::new(),
            old: Vec::new(),
            fresh: vec![0; i.n],
            busy: Vec::new(),
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
        let end = end?;
        let end = self.s.justify(&mut self.fresh, &mut self.old, end);
        Some(self.member(end))
    }

    fn member(&self, end: i32) -> Member {
        Member { end, start: self.fresh.clone() }
    }

    /// A member from starts found elsewhere.
    pub(super) fn member_of(&mut self, end: i32, start: &[i32]) -> Member {
        self.fresh.copy_from_slice(start);
        self.member(end)
    }

    fn keep(&mut self, m: &Member) {
        if self.best.as_ref().is_none_or(|b| m.end < b.end) {
            self.best = Some(m.clone());
            self.stale = 0;
        }
    }

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
        // The busiest of a few segments of a tenth to a half of the schedule.
        let len = self.rng.i32(span / 10..=span / 2);
        let mut from = self.rng.i32(0..=span - len);
        if self.rng.bool() {
            self.use_of(father);
            let other = self.rng.i32(0..=span - len);
            let sum = |a: i32| self.busy[(a + len) as usize] - self.busy[a as usize];
            if sum(other) > sum(from) {
                from = other;
            }
        }
        let (f, m) = (&self.members[father], &self.members[mother]);
        let to = from + len;
        let shake = self.rng.u8(..) < 240;
        let (fs, ms) = (&f.start, &m.start);
        const ZONE: u32 = 1 << 15;
        let rng = &mut self.rng;
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
        if shake {
            let times = 1 + rng.usize(..8);
            for _ in 0..times {
                self.shift_one();
            }
        }
        let Some(child) = self.build() else { return };
        self.stale += 1;
        self.keep(&child);
        self.place(child, father, mother);
    }

    /// Moves one activity within what its neighbours in the network leave it.
    fn shift_one(&mut self) {
        let i = self.s.i;
        let at = self.rng.usize(..i.n);
        let j = self.list[at];
        let lo = self.list[..at]
            .iter()
            .rposition(|x| i.succs[*x as usize].iter().any(|s| s.0 == u32::from(j)))
            .map_or(0, |k| k + 1);
        let hi = self.list[at + 1..]
            .iter()
            .position(|x| i.preds[*x as usize].iter().any(|p| p.0 == u32::from(j)))
            .map_or(i.n - 1, |k| at + k);
        let to = self.rng.usize(lo..=hi);
        if to > at {
            self.list[at..=to].rotate_left(1);
        } else {
            self.list[to..=at].rotate_right(1);
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

    /// Running sum of resource use over time of a member, in shares of capacity.
    fn use_of(&mut self, k: usize) {
        let i = self.s.i;
        let m = &self.members[k];
        self.busy.clear();
        self.busy.resize(m.end as usize + 3, 0);
        let cap = i.capacity.first().copied().unwrap_or([1; LANES]);
        for j in 0..i.n {
            let share: i64 =
                (0..LANES).map(|r| i64::from(i.need[j][r]) * 1000 / i64::from(cap[r].max(1))).sum();
            self.busy[m.start[j] as usize] += share;
            self.busy[(m.start[j] + i.dur[j]) as usize] -= share;
        }
        for _ in 0..2 {
            let mut sum = 0;
            for b in &mut self.busy {
                sum += *b;
                *b = sum;
            }
        }
    }
}
