//! Serial schedule generation where one time is as good as another: eight slots of a resource in one word, and the same
//! pass for both directions, as a schedule made backward is one made forward of the network turned round.
//!
//! The bits of the slots that fit are gathered from the top bits of eight bytes by one product; where so many fit in a
//! row follows from shifts (D. E. Knuth, The Art of Computer Programming 4A, 7.1.3, "Working with the parts of a word").

use super::instance::{Instance, LANES};
use crate::planner::engine::problem::FAR;

/// The top bit of each slot: stays set while no slot of a difference has gone below zero.
const GUARD: u64 = 0x8080_8080_8080_8080;
const EACH: u64 = 0x0101_0101_0101_0101;
/// Brings the top bits of eight bytes together in the highest.
const GATHER: u64 = 0x0002_0408_1020_4081;
/// Words looked at together, and the longest that is sure to move on from one look to the next.
const LOOK: usize = 3;
const LONGEST: i32 = (LOOK * 8 - 8) as i32;
/// Predecessors that stand in the activity itself.
const NEAR: usize = 3;
/// The bytes below the eighth, the seventh and so on.
const BELOW: [u64; 9] = {
    let mut all = [u64::MAX; 9];
    let mut k = 0;
    while k < 8 {
        all[k] = (1 << (8 * k)) - 1;
        k += 1;
    }
    all
};
/// Before any time, whatever time it is added to.
const LONG_AGO: i32 = -FAR;

/// One activity, with all that a pass asks of it side by side.
#[derive(Clone, Debug)]
struct Work<const R: usize> {
    need: [u64; R],
    near: [(u32, i32); NEAR],
    /// More predecessors, in [`Net::far`].
    far: (u32, u32),
    duration: i32,
    /// Until the end of all that comes after it.
    tail: i32,
    /// Shifts that leave the slots from which on all of it fits.
    shifts: [u8; 4],
}

/// Activities in one direction of time.
#[derive(Clone, Debug)]
struct Net<const R: usize> {
    works: Vec<Work<R>>,
    far: Vec<(u32, i32)>,
}

impl<const R: usize> Net<R> {
    fn new(i: &Instance, before: &[Vec<(u32, i32)>], tail: &[i32]) -> Self {
        let mut far: Vec<(u32, i32)> = Vec::new();
        let work = |j: usize| {
            let own = &before[j];
            let mut near = [(j as u32, LONG_AGO); NEAR];
            for (n, b) in near.iter_mut().zip(own) {
                *n = *b;
            }
            let from = far.len() as u32;
            far.extend(own.iter().skip(NEAR));
            let mut have = 1;
            let shifts = std::array::from_fn(|_| {
                let by = have.min(i.dur[j] - have).max(0);
                have += by;
                by as u8
            });
            Work {
                need: std::array::from_fn(|r| i.need[j][r] as u64 * EACH),
                near,
                far: (from, far.len() as u32),
                duration: i.dur[j],
                tail: tail[j],
                shifts,
            }
        };
        Self { works: (0..i.n).map(work).collect(), far }
    }

    /// Places a list in which what comes before is first; the end, or `None` where what comes after one of them ends
    /// later than `most`.
    fn place(&self, free: &mut Free<R>, list: &[u32], start: &mut [i32], most: i32) -> Option<i32> {
        free.clear();
        let mut end = 0;
        let start = start.get_mut(..self.works.len())?;
        for j in list {
            let w = self.works.get(*j as usize)?;
            let mut t = 0;
            for (p, lag) in &w.near {
                t = t.max(start[*p as usize].wrapping_add(*lag));
            }
            if w.far.0 != w.far.1 {
                for (p, lag) in &self.far[w.far.0 as usize..w.far.1 as usize] {
                    t = t.max(start[*p as usize] + lag);
                }
            }
            if w.duration > 0 {
                t = free.first(w, t)?;
            }
            if t > most - w.tail {
                return None;
            }
            if w.duration > 0 {
                free.take(w, t as usize)?;
            }
            start[*j as usize] = t;
            end = end.max(t + w.duration);
        }
        Some(end)
    }
}

/// What is free, eight slots of each resource in a word.
#[derive(Clone, Debug)]
pub(super) struct Free<const R: usize> {
    slots: Vec<[u64; R]>,
    full: [u64; R],
    /// From this word on all is free.
    used: usize,
}

impl<const R: usize> Free<R> {
    fn clear(&mut self) {
        let used = self.used.min(self.slots.len());
        self.slots[..used].fill(self.full);
        self.used = 0;
    }

    /// The first time from `t` on with room all along; `None` beyond the slots.
    fn first(&self, w: &Work<R>, t: i32) -> Option<i32> {
        let mut word = (t >> 3) as usize;
        let mut seen = t as u32 & 7;
        loop {
            let look: &[[u64; R]; LOOK] = self.slots.get(word..word + LOOK)?.try_into().ok()?;
            let mut fits = 0u32;
            for (k, slots) in look.iter().enumerate() {
                let mut all = GUARD;
                for (f, n) in slots.iter().zip(&w.need) {
                    all &= f.wrapping_sub(*n);
                }
                fits |= ((all.wrapping_mul(GATHER) >> 56) as u32) << (8 * k);
            }
            fits &= u32::MAX << seen;
            for s in w.shifts {
                fits &= fits >> (s & 31);
            }
            if fits != 0 {
                return Some((8 * word) as i32 + fits.trailing_zeros() as i32);
            }
            let next = LOOK as i32 * 8 + 1 - w.duration;
            word += (next >> 3) as usize;
            seen = next as u32 & 7;
        }
    }

    /// Takes what it needs from `t` on.
    fn take(&mut self, w: &Work<R>, t: usize) -> Option<()> {
        let (mut from, mut to, mut word) = (t & 7, (t & 7) + w.duration as usize, t >> 3);
        loop {
            let own = BELOW[to.min(8)] & !BELOW[from];
            for (f, n) in self.slots.get_mut(word)?.iter_mut().zip(&w.need) {
                *f = f.wrapping_sub(n & own);
            }
            word += 1;
            if to <= 8 {
                self.used = self.used.max(word);
                return Some(());
            }
            (from, to) = (0, to - 8);
        }
    }
}

/// A problem in both directions; `R` resources.
#[derive(Clone, Debug)]
pub(super) struct Both<const R: usize> {
    ahead: Net<R>,
    back: Net<R>,
    full: [u64; R],
    words: usize,
}

impl<const R: usize> Both<R> {
    fn new(i: &Instance, tail: &[i32]) -> Self {
        // Turned round, an activity starts where it ended.
        let turned = |j: usize| {
            let lag = |(s, lag): &(u32, i32)| (*s, lag + i.dur[*s as usize] - i.dur[j]);
            i.succs[j].iter().map(lag).collect()
        };
        let before: Vec<Vec<(u32, i32)>> = (0..i.n).map(turned).collect();
        let room = i.capacity.first().copied().unwrap_or_default();
        Self {
            ahead: Net::new(i, &i.preds, tail),
            back: Net::new(i, &before, &i.dur),
            full: std::array::from_fn(|r| (room[r] as u64 * EACH) | GUARD),
            words: i.slots as usize / 8 + 2 * LOOK,
        }
    }

    fn free(&self) -> Free<R> {
        Free { slots: vec![self.full; self.words], full: self.full, used: 0 }
    }
}

/// A problem that is plain, and how many resources its passes look at.
#[derive(Clone, Debug)]
pub(super) enum Plain {
    Four(Both<4>),
    Eight(Both<LANES>),
}

impl Plain {
    /// `None` where something depends on the time, or is more than a byte or a look can hold.
    pub(super) fn of(i: &Instance, tail: &[i32]) -> Option<Self> {
        let small = i.capacity.first().is_some_and(|c| c.iter().all(|x| *x <= 0x7f));
        let short = i.dur.iter().all(|d| *d <= LONGEST);
        let fit = i.shiftable && small && short && i.shape.iter().all(Option::is_none);
        let four = i.need.iter().all(|n| n[4..].iter().all(|x| *x == 0));
        match (fit, four) {
            (false, _) => None,
            (true, true) => Some(Self::Four(Both::new(i, tail))),
            (true, false) => Some(Self::Eight(Both::new(i, tail))),
        }
    }
}

/// Working space of one maker.
#[derive(Clone, Debug)]
pub(super) enum Space<'a> {
    Four(&'a Both<4>, Free<4>),
    Eight(&'a Both<LANES>, Free<LANES>),
}

impl<'a> Space<'a> {
    pub(super) fn new(p: &'a Plain) -> Self {
        match p {
            Plain::Four(b) => Self::Four(b, b.free()),
            Plain::Eight(b) => Self::Eight(b, b.free()),
        }
    }

    /// Places a list forward; the end, or `None` where what comes after one of them ends later than `most`.
    pub(super) fn forward(&mut self, list: &[u32], start: &mut [i32], most: i32) -> Option<i32> {
        match self {
            Self::Four(b, free) => b.ahead.place(free, list, start, most),
            Self::Eight(b, free) => b.ahead.place(free, list, start, most),
        }
    }

    /// Places a list backward from `end` on, what comes after first; `false` where it does not fit.
    pub(super) fn backward(&mut self, list: &[u32], start: &mut [i32], end: i32) -> bool {
        match self {
            Self::Four(b, free) => b.back.place(free, list, start, end).map(|_| turn(&b.back, start, end)),
            Self::Eight(b, free) => b.back.place(free, list, start, end).map(|_| turn(&b.back, start, end)),
        }
        .is_some()
    }
}

/// Times to the end become times from the start.
fn turn<const R: usize>(net: &Net<R>, start: &mut [i32], end: i32) {
    for (t, w) in start.iter_mut().zip(&net.works) {
        *t = end - *t - w.duration;
    }
}

#[cfg(test)]
mod tests {
    use super::super::bounds;
    use super::super::instance::pack;
    use super::super::slots::Slots;
    use super::*;
    use crate::planner::engine::problem::{Activity, Edge, Lag, Problem, Resource};
    use fastrand::Rng;

    /// Activities by chance, those with a larger number after some of those with a smaller one.
    fn by_chance(rng: &mut Rng) -> Problem {
        let mut p = Problem::default();
        let resources = rng.usize(1..=LANES);
        p.resources =
            (0..resources).map(|_| Resource { capacity: rng.i32(1..=127), ..Resource::default() }).collect();
        let n = rng.usize(1..40);
        for k in 0..n {
            let demands = (0..resources).filter(|_| rng.bool()).collect::<Vec<usize>>();
            let demands = demands.into_iter().map(|r| (r, rng.i32(0..=p.resources[r].capacity))).collect();
            let duration = rng.i32(0..=LONGEST);
            p.activities.push(Activity { duration, demands, work: true, ..Activity::default() });
            for _ in 0..rng.usize(0..6).min(k) {
                let pred = rng.usize(..k);
                let lag = Lag::StartStart { min: rng.i32(0..=30) };
                p.edges.push(if rng.bool() { Edge::after(pred, k, 0) } else { Edge { pred, succ: k, lag } });
            }
        }
        p
    }

    #[test]
    fn every_pass_is_that_of_single_slots() {
        let mut rng = Rng::new();
        rng.seed(7);
        for case in 0..400 {
            let i = pack(&by_chance(&mut rng)).unwrap().unwrap();
            let tail = bounds::tails(&i);
            let plain = Plain::of(&i, &tail).unwrap();
            let (mut space, mut slots) = (Space::new(&plain), Slots::new(&i));
            let list: Vec<u32> = (0..i.n as u32).collect();
            let (mut fast, mut slow) = (vec![0; i.n], vec![0; i.n]);
            let end = space.forward(&list, &mut fast, i32::MAX);
            assert_eq!(end, slots.forward(&list, &mut slow, (&tail, i32::MAX)), "case {case}");
            assert_eq!(fast, slow, "case {case}");
            let end = end.unwrap();
            assert_eq!(space.forward(&list, &mut fast, end - 1), None, "case {case}");
            let back: Vec<u32> = list.iter().rev().copied().collect();
            for most in [end, end - 1, end / 2] {
                let fits = space.backward(&back, &mut fast, most);
                assert_eq!(fits, slots.backward(&back, &mut slow, most), "case {case}, {most} of {end}");
                assert!(!fits || fast == slow, "case {case}, {most} of {end}");
            }
        }
    }
}
