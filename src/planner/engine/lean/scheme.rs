//! Lean problems in the search: an order is all there is to vary.

use super::bounds;
use super::instance::{self, Instance};
use super::plain::{Plain, Space};
use super::slots::Slots;
use crate::planner::engine::problem::{Problem, ProblemError};
use crate::planner::engine::schedule::{Control, Limits, Placed, Solution, Unplaced};
use crate::planner::engine::search::{self, Member, NEVER, Scheme, Score, Spread};
use fastrand::Rng;

/// Solves a lean problem; `None` where it is more than that.
pub(in crate::planner::engine) fn solve(
    p: &Problem,
    limits: &Limits,
    control: &Control,
) -> Result<Option<Solution>, ProblemError> {
    let Some(i) = instance::pack(p)? else { return Ok(None) };
    let tail = bounds::tails(&i);
    let order: Vec<u32> = i.by_rank.iter().map(|j| u32::from(*j)).collect();
    let plain = Plain::of(&i, &tail);
    let make = || Lean {
        p,
        i: &i,
        slots: Slots::new(&i),
        plain: plain.as_ref().map(Space::new),
        tail: &tail,
        at: vec![0; i.n],
        most: NEVER,
    };
    let first = make().list(|t, _| t);
    let bound = control.bound.map_or_else(|| row(p, &i, bounds::lower(&i)), |b| b.0);
    let ask = search::Ask {
        p,
        order: &order,
        bound,
        firsts: vec![first],
        spread: spread(limits.schedules, i.n),
        // It knows no shapes, and what it proves is proven of this problem alone.
        learn: (i.of.is_empty() && control.bound.is_none()).then_some(&i),
    };
    Ok(search::run(&ask, &make, limits, control))
}

/// What no schedule can better; `None` where the problem is more than lean.
pub(in crate::planner::engine) fn bound(p: &Problem) -> Result<Option<Score>, ProblemError> {
    Ok(instance::pack(p)?.map(|i| row(p, &i, bounds::lower(&i))))
}

/// One population, whatever the budget (four of their own with as many schedules were 1.64 per cent over best known on
/// published files of 120, so 1.13; 0.16 and 0.13 on those of 60; one that starts with 100 and grows with the root of the
/// schedules 2.14 on the harder of 120, so 1.61, and one that grows on from 350 no better in three seconds).
fn spread(budget: u64, n: usize) -> Spread {
    // More schedules feed more members; each is met by chance often enough to be worth its place.
    let members = budget.isqrt().clamp(16, 350) as usize;
    let patience = 60 * members as u64;
    // What is learned beside a round finds less the larger a problem is (longer rounds were 1.50 per cent over best known
    // on the harder of 120, so 1.61; without any learning those of 60 are worse).
    let round = if n <= 80 { 500 } else { 2_000 };
    Spread { makers: 4, share: 4, members, patience, round, crossed: 256, justified: 256 }
}

fn row(p: &Problem, i: &Instance, end: i32) -> Score {
    let end = i64::from(end + i.origin);
    if p.finish_first { [0, 0, 0, end, 0] } else { [0, 0, 0, 0, end] }
}

struct Lean<'a> {
    p: &'a Problem,
    i: &'a Instance,
    slots: Slots<'a>,
    /// Where the problem is plain enough for it.
    plain: Option<Space<'a>>,
    tail: &'a [i32],
    at: Vec<usize>,
    /// No later end is of use.
    most: i32,
}

impl Lean<'_> {
    /// A list by falling keys of the tails.
    fn list<K: PartialOrd + Copy>(&self, mut key: impl FnMut(i32, usize) -> K) -> Vec<u32> {
        let i = self.i;
        // Tail keys fall along every edge only where lags are longer than nothing.
        let mut open: Vec<usize> = i.preds.iter().map(Vec::len).collect();
        let key: Vec<K> = self.tail.iter().enumerate().map(|(j, t)| key(*t, j)).collect();
        let mut ready: Vec<usize> = (0..i.n).filter(|j| open[*j] == 0).collect();
        let mut list = Vec::with_capacity(i.n);
        let by = |a: &usize, b: &usize| key[*a].partial_cmp(&key[*b]).unwrap_or(std::cmp::Ordering::Equal);
        while let Some(k) = (0..ready.len()).max_by(|a, b| by(&ready[*a], &ready[*b])) {
            let j = ready.swap_remove(k);
            list.push(j as u32);
            for (x, _) in &i.succs[j] {
                open[*x as usize] -= 1;
                if open[*x as usize] == 0 {
                    ready.push(*x as usize);
                }
            }
        }
        list
    }
}

impl Scheme for Lean<'_> {
    type Genes = Vec<u32>;

    fn next(&self) -> Vec<Vec<u32>> {
        self.i.succs.iter().map(|s| s.iter().map(|x| x.0).collect()).collect()
    }

    fn duration(&self, j: usize) -> i32 {
        self.i.dur[j]
    }

    fn unordered(&self) -> bool {
        false
    }

    fn overlapping(&self) -> bool {
        self.i.overlapping
    }

    fn shiftable(&self) -> bool {
        self.i.shiftable
    }

    fn forward(&mut self, genes: &mut Vec<u32>, start: &mut [i32]) -> Option<Score> {
        let end = match &mut self.plain {
            Some(plain) => plain.forward(genes, start, self.most),
            None => self.slots.forward(genes, start, (self.tail, self.most)),
        };
        end.map(|end| row(self.p, self.i, end))
    }

    fn backward(&mut self, list: &[u32], start: &mut [i32], end: i32) -> bool {
        match &mut self.plain {
            Some(plain) => plain.backward(list, start, end),
            None => self.slots.backward(list, start, end),
        }
    }

    fn end(&self, score: &Score) -> i32 {
        (score[3] + score[4]) as i32 - self.i.origin
    }

    /// One this much worse is seldom saved by justification (1 to 5 per cent tried on published files of 120).
    fn hope(&mut self, worse: Option<&Score>) {
        self.most = worse.map_or(NEVER, |w| self.end(w) + self.end(w) / 50);
    }

    /// A random list biased to long tails.
    fn sample(&self, rng: &mut Rng, _: Option<&Vec<u32>>) -> Vec<u32> {
        let spread = 0.15 + 0.5 * rng.f64();
        let most = f64::from(self.tail.iter().copied().max().unwrap_or(1).max(1));
        self.list(|t, _| f64::from(t) + spread * most * rng.f64())
    }

    fn mix(&self, _: &mut Vec<u32>, _: &Vec<u32>, _: &dyn Fn(usize) -> bool) {}

    /// Moves a few activities within what their neighbours in the network leave them.
    fn vary(&mut self, list: &mut Vec<u32>, rng: &mut Rng) {
        let i = self.i;
        let at = &mut self.at;
        for (k, j) in list.iter().enumerate() {
            at[*j as usize] = k;
        }
        let times = if rng.u8(..) < 240 { 1 + rng.usize(..8) } else { 0 };
        for _ in 0..times {
            let j = rng.usize(..i.n);
            let from = at[j];
            let lo = i.preds[j].iter().map(|p| at[p.0 as usize] + 1).max().unwrap_or(0);
            let hi = i.succs[j].iter().map(|s| at[s.0 as usize]).min().unwrap_or(i.n) - 1;
            let to = rng.usize(lo..=hi);
            if to > from {
                list[from..=to].rotate_left(1);
            } else {
                list[to..=from].rotate_right(1);
            }
            for k in from.min(to)..=from.max(to) {
                at[list[k] as usize] = k;
            }
        }
    }

    fn hand_out(&mut self, mut best: Member<Vec<u32>>) -> (Vec<Option<Placed>>, Vec<Unplaced>) {
        if self.i.crew.is_some() {
            self.forward(&mut best.genes, &mut best.start);
        }
        let (p, i) = (self.p, self.i);
        let workers = |j: usize| {
            let own = self.slots.crew.get(j).copied().unwrap_or(0);
            (0..p.workers.len()).filter(|w| own >> w & 1 == 1).collect()
        };
        let placed = (0..p.activities.len()).map(|j| {
            let start = best.start[i.of.get(j).map_or(j, |k| *k as usize)] + i.origin;
            let session = p.activities[j].calendar.and_then(|c| {
                let w = &p.calendars[c];
                w.get(w.partition_point(|w| w.from <= start).checked_sub(1)?).map(|w| w.session)
            });
            let end = start + p.activities[j].duration;
            Some(Placed { start, end, session, workers: workers(j), ..Placed::default() })
        });
        (placed.collect(), Vec::new())
    }
}
