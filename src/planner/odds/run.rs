//! One run: people work through the plan's order, and decide anew whenever something took longer or a day was lost.
//!
//! A parallel schedule generation scheme (R. Kolisch, EJOR 90, 1996, 320-333): at each moment whatever can be begun is
//! begun, in the plan's order. A step is not begun where it would not be done in its light and session. What had to
//! follow the same day and did not is done again. A step over several pieces that no session of the week to come has room
//! for is done in parts of whole pieces, decided anew whenever it may be begun.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::chances::Draw;
use super::fits::in_time;
use super::frame::{Frame, bit};
use super::hands::Choice;
use crate::planner::engine::{FAR, Mode, Time, Window};

/// How often a step is done again for the sake of what must follow it.
pub(super) const MOST_REPEATS: u8 = 8;

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum At {
    Out,
    Waits,
    Runs,
    Over,
}

/// Someone, or a ladder: free from when, and where it was last.
#[derive(Clone, Copy, Default)]
pub(super) struct Mover {
    pub(super) free: Time,
    pub(super) session: Option<u32>,
    pub(super) place: Option<u32>,
}

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Outcome {
    /// End of the last work; nothing where it is not done by the last session.
    pub(super) finish: Option<Time>,
    /// All work done and the rehearsal held before lights on.
    pub(super) in_time: bool,
}

/// Scratch space of a run, used again for each.
pub(super) struct Run<'f, 'a> {
    pub(super) f: &'f Frame<'a>,
    pub(super) at: Vec<At>,
    pub(super) pending: Vec<usize>,
    pub(super) ready: Vec<Time>,
    pub(super) ends: Vec<Time>,
    pub(super) session: Vec<Option<u32>>,
    pub(super) repeats: Vec<u8>,
    /// Minutes left, and pieces left (1 where there are none to count).
    pub(super) minutes: Vec<Time>,
    pub(super) left: Vec<i64>,
    /// Pieces and minutes of the part that runs, or ran last.
    pub(super) doing: Vec<(i64, Time)>,
    pub(super) lost: Vec<bool>,
    /// What holds at the moment looked at: each calendar's window, and until when each person who is there stays.
    pub(super) open: Vec<Option<Window>>,
    pub(super) stays: Vec<Time>,
    /// The longest of these.
    pub(super) longest_stay: Time,
    pub(super) workers: Vec<Mover>,
    pub(super) units: Vec<Mover>,
    pub(super) used: Vec<i32>,
    pub(super) modes: Vec<(u32, u32)>,
    /// (rank, step) of what waits for nothing any more, by class.
    pub(super) free: Vec<Vec<(u32, usize)>>,
    /// How far each class was looked at, and whether what it asks for is open at the moment.
    pub(super) seen: Vec<usize>,
    pub(super) may: Vec<bool>,
    pub(super) running: BinaryHeap<Reverse<(Time, usize)>>,
    pub(super) holds: BinaryHeap<Reverse<(Time, usize, i32)>>,
    pub(super) moments: BinaryHeap<Reverse<Time>>,
}

impl<'f, 'a> Run<'f, 'a> {
    pub(super) fn new(f: &'f Frame<'a>) -> Self {
        let n = f.part.len();
        Self {
            f,
            at: vec![At::Out; n],
            pending: vec![0; n],
            ready: vec![0; n],
            ends: vec![0; n],
            session: vec![None; n],
            repeats: vec![0; n],
            minutes: vec![0; n],
            left: vec![1; n],
            doing: vec![(1, 0); n],
            lost: Vec::new(),
            open: Vec::new(),
            stays: Vec::new(),
            longest_stay: Time::MIN,
            workers: Vec::new(),
            units: Vec::new(),
            used: Vec::new(),
            modes: Vec::new(),
            free: vec![Vec::new(); f.classes.len()],
            seen: vec![0; f.classes.len()],
            may: vec![true; f.classes.len()],
            running: BinaryHeap::new(),
            holds: BinaryHeap::new(),
            moments: BinaryHeap::new(),
        }
    }

    /// Draws what the run meets: minutes of each step, and the sessions lost.
    pub(super) fn draw(&mut self, draw: Draw) {
        let f = self.f;
        let acts = f.problem.activities.iter();
        let drawn = acts.zip(&f.key).zip(&f.guess).map(|((a, k), g)| draw.minutes(*k, a.duration, *g));
        self.minutes.clear();
        self.minutes.extend(drawn);
        self.left.clear();
        self.left.extend(f.pieces.iter().map(|p| p.as_ref().map_or(1, |p| p.left)));
        self.doing.clear();
        self.doing.extend(self.left.iter().copied().zip(self.minutes.iter().copied()));
        self.lost.clear();
        self.lost.extend(f.session_key.iter().zip(&f.lost).map(|(k, p)| draw.happens(*k, *p)));
    }

    pub(super) fn go(&mut self, draw: Draw) -> Outcome {
        self.draw(draw);
        self.begin();
        let f = self.f;
        let mut fixed = f.moments.iter().copied().peekable();
        let mut left = self.at.iter().zip(&f.due).filter(|(a, d)| **d && **a != At::Over).count();
        let mut now = f.problem.now;
        loop {
            while let Some(Reverse((end, i))) = self.running.peek().copied().filter(|r| r.0.0 <= now) {
                self.running.pop();
                let over = self.end(i, end);
                left -= usize::from(over && f.due.get(i) == Some(&true));
            }
            while let Some(Reverse((_, r, amount))) = self.holds.peek().copied().filter(|h| h.0.0 <= now) {
                self.holds.pop();
                if let Some(u) = self.used.get_mut(r) {
                    *u -= amount;
                }
            }
            if left == 0 {
                break;
            }
            left += self.begin_what_can(now);
            let own = self.running.peek().map(|r| r.0.0);
            while fixed.next_if(|t| *t <= now).is_some() {}
            while self.moments.peek().is_some_and(|t| t.0 <= now) {
                self.moments.pop();
            }
            let held = self.holds.peek().map(|h| h.0.0);
            let told = self.moments.peek().map(|t| t.0);
            let Some(next) = [own, held, told, fixed.peek().copied()].into_iter().flatten().min() else {
                break;
            };
            // Something of no minutes ends at the moment it begins.
            now = next.max(now);
        }
        self.outcome(left)
    }

    fn outcome(&self, left: usize) -> Outcome {
        let f = self.f;
        let over = |i: usize| f.due.get(i) == Some(&true);
        let last = |work: bool| {
            let ends = (0..self.ends.len()).filter(|i| over(*i));
            ends.filter(|i| !work || f.problem.activities.get(*i).is_some_and(|a| a.work))
                .filter_map(|i| self.ends.get(i).copied())
                .max()
        };
        // Work alone decides the finish; it may be done where the rehearsal is not.
        let work_left = (0..self.at.len()).any(|i| {
            let work = f.problem.activities.get(i).is_some_and(|a| a.work);
            over(i) && work && self.at.get(i) != Some(&At::Over)
        });
        let finish = (!work_left).then(|| last(true).unwrap_or(f.problem.now));
        let in_time = left == 0 && last(false).is_none_or(|t| t <= f.lights_on);
        Outcome { finish, in_time }
    }

    /// Takes resources and modes for a step, or gives them back.
    pub(super) fn take(&mut self, i: usize, on: bool) {
        let Some(a) = self.f.problem.activities.get(i) else { return };
        for (r, amount) in &a.demands {
            if let Some(u) = self.used.get_mut(*r) {
                *u += if on { *amount } else { -*amount };
            }
        }
        for (r, mode) in &a.modes {
            let Some(m) = self.modes.get_mut(*r) else { continue };
            let count = if *mode == Mode::Off { &mut m.0 } else { &mut m.1 };
            *count = if on { *count + 1 } else { count.saturating_sub(1) };
        }
    }

    /// The part of a step that runs is over; true where nothing is left of the step.
    fn end(&mut self, i: usize, end: Time) -> bool {
        self.take(i, false);
        let (pieces, minutes) = self.doing.get(i).copied().unwrap_or((1, 0));
        if let (Some(n), Some(m)) = (self.left.get_mut(i), self.minutes.get_mut(i)) {
            *n = (*n - pieces).max(0);
            *m = (*m - minutes).max(0);
            if *n > 0 {
                if let (Some(s), Some(r)) = (self.at.get_mut(i), self.ready.get_mut(i)) {
                    (*s, *r) = (At::Waits, end);
                }
                self.put_free(i);
                return false;
            }
        }
        if let (Some(s), Some(e)) = (self.at.get_mut(i), self.ends.get_mut(i)) {
            (*s, *e) = (At::Over, end);
        }
        self.free_after(i, end);
        true
    }

    /// Tells what waits for `i` that it is over.
    pub(super) fn free_after(&mut self, i: usize, end: Time) {
        let f = self.f;
        for then in f.succs.get(i).into_iter().flatten() {
            let waits = f.preds.get(*then).into_iter().flatten().filter(|p| p.before == i);
            let wait = waits
                .map(|p| f.problem.wait(p.wait, self.session.get(i).copied().flatten()))
                .max()
                .unwrap_or(0);
            let (Some(n), Some(r)) = (self.pending.get_mut(*then), self.ready.get_mut(*then)) else {
                continue;
            };
            *n = n.saturating_sub(1);
            *r = (*r).max(end.saturating_add(wait));
            if *n == 0 && self.at.get(*then) == Some(&At::Waits) && end >= f.problem.now {
                self.put_free(*then);
            }
        }
    }

    pub(super) fn put_free(&mut self, i: usize) {
        if self.at.get(i) != Some(&At::Waits) {
            return;
        }
        let row = (self.f.rank.get(i).copied().unwrap_or(u32::MAX), i);
        if let Some(list) = self.f.class.get(i).and_then(|c| self.free.get_mut(*c))
            && let Err(at) = list.binary_search(&row)
        {
            list.insert(at, row);
        }
        if let Some(ready) = self.ready.get(i) {
            self.moments.push(Reverse(*ready));
        }
    }

    /// Begins whatever can be begun; how many steps that were over are open again.
    fn begin_what_can(&mut self, now: Time) -> usize {
        let f = self.f;
        let mut again = 0;
        let mut keep_until = FAR;
        self.look(now);
        let mut nobody = self.nobody_free(now);
        while let Some((class, i)) = self.next_free(nobody) {
            let seen = self.seen.get(class).copied().unwrap_or(0);
            if self.ready.get(i).is_none_or(|r| *r > now) {
                self.pass(class);
                continue;
            }
            if let Some(first) = self.expired(i, now) {
                again += self.repeat(first, now);
                self.seen.fill(0);
                continue;
            }
            let left = self.left_round(i);
            if !left.is_empty() {
                for k in left {
                    again += self.repeat(k, now);
                }
                self.seen.fill(0);
                continue;
            }
            if nobody && f.asks.get(i).is_some_and(|a| a.hands) {
                self.pass(class);
                continue;
            }
            match self.try_begin(i, now, &mut keep_until) {
                Some((choice, end, part)) => {
                    if let Some(list) = self.free.get_mut(class) {
                        list.remove(seen);
                    }
                    if let Some(d) = self.doing.get_mut(i) {
                        *d = part;
                    }
                    self.start(i, end, &choice);
                    nobody = self.nobody_free(now);
                }
                None => self.pass(class),
            }
        }
        again
    }

    /// What `i` had to follow in time, and can't any more.
    fn expired(&self, i: usize, now: Time) -> Option<usize> {
        let f = self.f;
        let ties = f.tied_to.get(i)?;
        ties.iter()
            .filter_map(|(first, nth)| Some((*first, f.ties.get(*first)?.get(*nth)?)))
            .find(|(first, tie)| {
                let end = self.ends.get(*first).copied().unwrap_or(now);
                self.repeats.get(*first).is_some_and(|r| *r < MOST_REPEATS) && !in_time(f, tie, end, now)
            })
            .map(|(first, _)| first)
    }

    /// Opens `first` again, so that what follows it can; whatever waits for it and is not begun waits anew.
    fn repeat(&mut self, first: usize, now: Time) -> usize {
        let f = self.f;
        if let Some(r) = self.repeats.get_mut(first) {
            *r += 1;
        }
        // Of a step done in parts only the last is done again.
        if let (Some(n), Some(m), Some(d)) =
            (self.left.get_mut(first), self.minutes.get_mut(first), self.doing.get(first))
        {
            (*n, *m) = *d;
        }
        for then in f.succs.get(first).into_iter().flatten() {
            if let Some(n) = self.pending.get_mut(*then) {
                *n += 1;
            }
            if let Some(list) = f.class.get(*then).and_then(|c| self.free.get_mut(*c)) {
                list.retain(|row| row.1 != *then);
            }
        }
        if let (Some(s), Some(r)) = (self.at.get_mut(first), self.ready.get_mut(first)) {
            (*s, *r) = (At::Waits, now);
        }
        if self.pending.get(first) == Some(&0) {
            self.put_free(first);
        }
        usize::from(f.due.get(first) == Some(&true))
    }

    fn start(&mut self, i: usize, end: Time, choice: &Choice) {
        let f = self.f;
        let Some(a) = f.problem.activities.get(i) else { return };
        for (w, m) in self.workers.iter_mut().enumerate().filter(|(w, _)| choice.workers & bit(*w) != 0) {
            let place =
                if a.place.is_some() || m.session != Some(choice.session) { a.place } else { m.place };
            debug_assert!(w < 64);
            *m = Mover { free: end, session: Some(choice.session), place };
        }
        for u in &choice.units {
            if let Some(m) = self.units.get_mut(*u) {
                *m = Mover { free: end, session: Some(choice.session), place: a.place };
            }
        }
        self.take(i, true);
        for h in &a.holds {
            let until = end.saturating_add(f.problem.wait(h.wait, Some(choice.session)));
            if let Some(u) = self.used.get_mut(h.resource) {
                *u += h.amount;
                self.holds.push(Reverse((until, h.resource, h.amount)));
            }
        }
        if let (Some(s), Some(x)) = (self.at.get_mut(i), self.session.get_mut(i)) {
            (*s, *x) = (At::Runs, Some(choice.session));
        }
        self.running.push(Reverse((end, i)));
    }
}
