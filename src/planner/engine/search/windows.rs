//! Parts of a schedule solved anew: what lies in a window of time is let go, all before it stays, all after it has to
//! begin one slot earlier, and a learner finds whether the window has room for that.
//!
//! M. Palpant, C. Artigues, P. Michelon, "LSSPER: solving the resource-constrained project scheduling problem with large
//! neighbourhood search", Annals of Operations Research 131 (2004) 237-257 (parts solved exactly, the rest fixed).

use super::learn::{Outcome, Prover};
use crate::planner::engine::lean::instance::Instance;
use fastrand::Rng;

/// Fewest and most activities let go at once.
const FEWEST: f64 = 8.0;
const MOST: f64 = 100.0;
/// Conflicts spent on one window, and what laying it out costs beside them.
const CONFLICTS: u64 = 150;
const LAYING_OUT: u64 = 4;

/// A schedule as early and as late as it goes, and its end.
pub(super) struct Look {
    pub(super) early: Vec<i32>,
    pub(super) late: Vec<i32>,
    pub(super) end: i32,
}

/// Where an activity is while a window is solved.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    Fixed(i32),
    Free(usize),
}

pub(super) struct Windows<'a> {
    i: &'a Instance,
    rng: Rng,
    /// Activities let go at once: more where nothing is found too soon, fewer where it takes too long.
    size: f64,
    spent: u64,
}

impl<'a> Windows<'a> {
    /// `None` where a part can't be moved as it is: then what lies after a window can't begin a slot earlier.
    pub(super) fn new(i: &'a Instance, seed: u64) -> Option<Self> {
        let fit = i.shiftable && i.shape.iter().all(Option::is_none);
        fit.then(|| Self { i, rng: Rng::with_seed(seed), size: 30.0, spent: 0 })
    }

    /// Conflicts so far, and what laying out the windows cost.
    pub(super) fn spent(&self) -> u64 {
        self.spent
    }

    /// Looks for a schedule that ends earlier, through windows by chance, for about so many conflicts.
    pub(super) fn run(&mut self, look: &Look, share: u64) -> Option<Vec<i32>> {
        let until = self.spent + share;
        while self.spent < until {
            if let Some(found) = self.one(look) {
                return Some(found);
            }
        }
        None
    }

    fn one(&mut self, look: &Look) -> Option<Vec<i32>> {
        self.spent += LAYING_OUT;
        let (from, to) = self.window(look);
        let part = Part::new(self.i, look, from, to);
        let Some((part, sub)) = part else {
            self.size = (self.size * 1.01).min(MOST);
            return None;
        };
        let mut prover = Prover::between(&sub, &part.low, &part.high, self.rng.u64(..))?;
        let outcome = prover.run(CONFLICTS);
        self.spent += prover.conflicts();
        match outcome {
            Outcome::Found(start) => Some(part.whole(&start)),
            Outcome::Proven => {
                self.size = (self.size * 1.02).min(MOST);
                None
            }
            Outcome::Open => {
                self.size = (self.size * 0.95).max(FEWEST);
                None
            }
        }
    }

    /// A stretch of time that about so many activities may lie in.
    fn window(&mut self, look: &Look) -> (i32, i32) {
        let i = self.i;
        let t = self.rng.i32(0..look.end.max(1));
        // How far a window must reach to both sides of `t` to let each go.
        let mut far: Vec<i32> =
            (0..i.n).map(|j| (t - look.early[j] - i.dur[j]).max(look.late[j] - t)).collect();
        far.sort_unstable();
        let least = (self.size * 0.6) as usize;
        let many = self.rng.usize(least..=(self.size * 1.4) as usize).clamp(1, i.n) - 1;
        let reach = far[many].max(0) + 1;
        (t - reach, t + reach)
    }
}

/// What is let go of a schedule, as a problem of its own.
struct Part {
    /// Where everything is: what is fixed, or its number in the part.
    place: Vec<Place>,
    /// Times of the part count from here.
    base: i32,
    low: Vec<i32>,
    high: Vec<i32>,
}

impl Part {
    /// `None` where there is no room whatever is tried.
    fn new(i: &Instance, look: &Look, from: i32, to: i32) -> Option<(Self, Instance)> {
        let mut free: Vec<usize> = Vec::new();
        let mut place = vec![Place::Fixed(0); i.n];
        for j in i.by_rank.iter().map(|j| *j as usize) {
            place[j] = if look.early[j] + i.dur[j] <= from {
                Place::Fixed(look.early[j])
            } else if look.late[j] >= to {
                Place::Fixed(look.late[j] - 1)
            } else {
                free.push(j);
                Place::Free(free.len() - 1)
            };
        }
        let n = free.len();
        let (mut low, mut high) = (vec![0; n], vec![0; n]);
        for (k, j) in free.iter().enumerate() {
            let latest = if i.work[*j] { look.end - 1 - i.dur[*j] } else { look.end - 1 };
            high[k] = i.succs[*j].iter().fold(latest, |t, (s, lag)| match place[*s as usize] {
                Place::Fixed(at) => t.min(at - lag),
                Place::Free(_) => t,
            });
            low[k] = i.preds[*j].iter().fold(i.release[*j], |t, (p, lag)| match place[*p as usize] {
                Place::Fixed(at) => t.max(at + lag),
                Place::Free(q) => t.max(low[q] + lag),
            });
        }
        for (k, j) in free.iter().enumerate().rev() {
            for (s, lag) in &i.succs[*j] {
                if let Place::Free(q) = place[*s as usize] {
                    high[k] = high[k].min(high[q] - lag);
                }
            }
            if low[k] > high[k] {
                return None;
            }
        }
        let fixed = |j: usize| match place[j] {
            Place::Fixed(at) => Some(at),
            Place::Free(_) => None,
        };
        // What is early before the window and late after it may be too close to each other.
        for j in 0..i.n {
            let Some(at) = fixed(j) else { continue };
            if at < 0 || i.succs[j].iter().any(|(s, lag)| fixed(*s as usize).is_some_and(|t| t < at + lag)) {
                return None;
            }
        }
        let base = low.iter().copied().min()?;
        let until = (0..n).map(|k| high[k] + i.dur[free[k]]).max()?;
        let mut capacity = i.capacity[base as usize..=until as usize].to_vec();
        for j in (0..i.n).filter(|j| i.packed[*j] != 0) {
            let Some(at) = fixed(j) else { continue };
            let (a, b) = ((at - base).max(0), (at + i.dur[j] - base).min(capacity.len() as i32));
            for slot in capacity.get_mut(a as usize..b.max(a) as usize).into_iter().flatten() {
                for (left, need) in slot.iter_mut().zip(&i.need[j]) {
                    *left -= need;
                    if *left < 0 {
                        return None;
                    }
                }
            }
        }
        for t in low.iter_mut().chain(&mut high) {
            *t -= base;
        }
        let within = |edges: &[(u32, i32)]| -> Vec<(u32, i32)> {
            let own = |(s, lag): &(u32, i32)| match place[*s as usize] {
                Place::Free(q) => Some((q as u32, *lag)),
                Place::Fixed(_) => None,
            };
            edges.iter().filter_map(own).collect()
        };
        let work = |j: &usize| (i.dur[*j], i.need[*j]);
        let lags = |j: &usize| (within(&i.preds[*j]), within(&i.succs[*j]));
        let sub = Instance::bare(free.iter().map(work).unzip(), free.iter().map(lags).unzip(), capacity);
        Some((Self { place, base, low, high }, sub))
    }

    /// The whole schedule with these starts of the part.
    fn whole(&self, start: &[i32]) -> Vec<i32> {
        let at = |p: &Place| match p {
            Place::Fixed(at) => *at,
            Place::Free(k) => start[*k] + self.base,
        };
        self.place.iter().map(at).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::planner::engine::lean::instance::pack;
    use crate::planner::engine::problem::{Activity, Edge, Problem, Resource};

    /// Twelve of three slots each, in three chains, laid out one after the other.
    fn in_a_row(capacity: i32) -> (Instance, Look) {
        let mut p = Problem::default();
        p.resources.push(Resource { capacity, ..Resource::default() });
        let one = Activity { duration: 3, demands: vec![(0, 1)], work: true, ..Activity::default() };
        p.activities = vec![one; 12];
        p.edges = (0..9).map(|k| Edge::after(k, k + 3, 0)).collect();
        let early: Vec<i32> = (0..12).map(|k| 3 * k).collect();
        let i = pack(&p).unwrap().unwrap();
        (i, Look { late: early.clone(), early, end: 36 })
    }

    #[test]
    fn what_is_found_is_shorter_and_keeps_order_and_room() {
        let (i, look) = in_a_row(2);
        for seed in 0..20 {
            let mut windows = Windows::new(&i, seed).unwrap();
            windows.size = FEWEST;
            let start = windows.run(&look, 5_000).unwrap();
            assert!(start.iter().all(|t| *t >= 0 && t + 3 < 36), "{start:?}");
            assert!((0..9).all(|k| start[k] + 3 <= start[k + 3]), "{start:?}");
            let at_once = |t: i32| start.iter().filter(|s| **s <= t && t < **s + 3).count();
            assert!((0..36).all(|t| at_once(t) <= 2), "{start:?}");
        }
    }

    #[test]
    fn nothing_is_found_where_there_is_no_room() {
        let (i, look) = in_a_row(1);
        assert_eq!(Windows::new(&i, 1).unwrap().run(&look, 2_000), None);
    }
}
