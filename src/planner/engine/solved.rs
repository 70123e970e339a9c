//! A solution as numbers, to be kept and read again beside the problem that it solves.

use super::schedule::{Goal, Goals, Placed, Reason, Solution, StoppedBy, Unplaced};

/// So many numbers tell one placed activity before its workers and units.
const HEAD: usize = 6;

/// A solution as numbers.
pub fn to_numbers(s: &Solution) -> Vec<i64> {
    let stopped = match s.stopped_by {
        StoppedBy::Schedules => 0,
        StoppedBy::Bound => 1,
        StoppedBy::Stop => 2,
    };
    let mut all = vec![s.schedules as i64, stopped];
    for g in goals(s.goals) {
        all.extend([g.value, g.bound]);
    }
    all.extend([s.placed.len() as i64, s.unplaced.len() as i64]);
    for p in &s.placed {
        let Some(p) = p else {
            all.push(-1);
            continue;
        };
        let session = p.session.map_or(-1, i64::from);
        all.extend([p.workers.len() as i64, p.units.len() as i64, i64::from(p.start), i64::from(p.end)]);
        all.extend([i64::from(p.setup), session]);
        all.extend(p.workers.iter().chain(&p.units).map(|x| *x as i64));
    }
    for u in &s.unplaced {
        all.push(u.activity as i64);
        all.extend(reason(u.reason));
    }
    all
}

/// The solution that [`to_numbers`] told; nothing of any other numbers.
pub fn from_numbers(all: &[i64]) -> Option<Solution> {
    let mut rest = Rest(all);
    let schedules = u64::try_from(rest.next()?).ok()?;
    let stopped_by = match rest.next()? {
        0 => StoppedBy::Schedules,
        1 => StoppedBy::Bound,
        _ => return None,
    };
    let mut goal = || Some(Goal { value: rest.next()?, bound: rest.next()? });
    let (worth, unplaced, days_over, given, finish) = (goal()?, goal()?, goal()?, goal()?, goal()?);
    let goals = Goals { worth, unplaced, days_over, given, finish };
    let (n, out) = (rest.index()?, rest.index()?);
    let mut placed = Vec::with_capacity(n.min(all.len()));
    for _ in 0..n {
        let left_out = rest.0.first() == Some(&-1);
        placed.push(if left_out { rest.next().and(None) } else { Some(rest.placed()?) });
    }
    let mut left = Vec::with_capacity(out.min(all.len()));
    for _ in 0..out {
        left.push(Unplaced { activity: rest.index()?, reason: rest.reason()? });
    }
    rest.0.is_empty().then_some(Solution { placed, unplaced: left, goals, schedules, stopped_by })
}

const fn goals(g: Goals) -> [Goal; 5] {
    [g.worth, g.unplaced, g.days_over, g.given, g.finish]
}

fn reason(r: Reason) -> [i64; 4] {
    match r {
        Reason::Held => [0, 0, 0, 0],
        Reason::Circle => [1, 0, 0, 0],
        Reason::PredecessorUnplaced(q) => [2, q as i64, 0, 0],
        Reason::NoWindow => [3, 0, 0, 0],
        Reason::NoWindowLongEnough { longest, needed } => [4, i64::from(longest), i64::from(needed), 0],
        Reason::TooLate { earliest } => [5, i64::from(earliest), 0, 0],
        Reason::Deadline { deadline, earliest } => [6, i64::from(deadline), i64::from(earliest), 0],
        Reason::Within(q) => [7, q as i64, 0, 0],
        Reason::Hands { needed, most } => [8, i64::from(needed), i64::from(most), 0],
        Reason::Skill { bit } => [9, i64::from(bit), 0, 0],
        Reason::Needs => [10, 0, 0, 0],
        Reason::Alone => [11, 0, 0, 0],
        Reason::NoTool { need } => [12, need as i64, 0, 0],
        Reason::Capacity { resource, needed, most } => {
            [13, resource as i64, i64::from(needed), i64::from(most)]
        }
        Reason::Taken => [14, 0, 0, 0],
    }
}

/// What is still to be read.
struct Rest<'a>(&'a [i64]);

impl Rest<'_> {
    fn next(&mut self) -> Option<i64> {
        let (first, rest) = self.0.split_first()?;
        self.0 = rest;
        Some(*first)
    }

    fn index(&mut self) -> Option<usize> {
        self.next().and_then(|x| usize::try_from(x).ok())
    }

    fn time(&mut self) -> Option<i32> {
        self.next().and_then(|x| i32::try_from(x).ok())
    }

    fn placed(&mut self) -> Option<Placed> {
        let (workers, units) = (self.index()?, self.index()?);
        if self.0.len() < HEAD - 2 + workers.saturating_add(units) {
            return None;
        }
        let (start, end, setup) = (self.time()?, self.time()?, self.time()?);
        let session = match self.next()? {
            -1 => None,
            s => Some(u32::try_from(s).ok()?),
        };
        let mut list = |n: usize| (0..n).map(|_| self.index()).collect::<Option<Vec<usize>>>();
        Some(Placed { start, end, setup, session, workers: list(workers)?, units: list(units)? })
    }

    fn reason(&mut self) -> Option<Reason> {
        let (tag, a, b, c) = (self.next()?, self.next()?, self.next()?, self.next()?);
        let time = |x: i64| i32::try_from(x).ok();
        let count = |x: i64| u32::try_from(x).ok();
        let index = |x: i64| usize::try_from(x).ok();
        Some(match tag {
            0 => Reason::Held,
            1 => Reason::Circle,
            2 => Reason::PredecessorUnplaced(index(a)?),
            3 => Reason::NoWindow,
            4 => Reason::NoWindowLongEnough { longest: time(a)?, needed: time(b)? },
            5 => Reason::TooLate { earliest: time(a)? },
            6 => Reason::Deadline { deadline: time(a)?, earliest: time(b)? },
            7 => Reason::Within(index(a)?),
            8 => Reason::Hands { needed: count(a)?, most: count(b)? },
            9 => Reason::Skill { bit: count(a)? },
            10 => Reason::Needs,
            11 => Reason::Alone,
            12 => Reason::NoTool { need: index(a)? },
            13 => Reason::Capacity { resource: index(a)?, needed: time(b)?, most: time(c)? },
            14 => Reason::Taken,
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_solution_is_read_back_and_a_cut_one_is_not() {
        let reasons = [
            Reason::Held,
            Reason::PredecessorUnplaced(3),
            Reason::NoWindowLongEnough { longest: 5, needed: 70 },
            Reason::Deadline { deadline: -4, earliest: 9 },
            Reason::Hands { needed: 3, most: 1 },
            Reason::Capacity { resource: 2, needed: 9, most: 4 },
            Reason::Taken,
        ];
        let placed =
            Placed { start: -5, end: 7, setup: 2, session: Some(1), workers: vec![0, 4], units: vec![2] };
        let s = Solution {
            placed: vec![None, Some(placed), Some(Placed::default())],
            unplaced: reasons.iter().map(|r| Unplaced { activity: 0, reason: *r }).collect(),
            goals: Goals { worth: Goal { value: 4, bound: 9 }, ..Goals::default() },
            schedules: 2000,
            stopped_by: StoppedBy::Bound,
        };
        let numbers = to_numbers(&s);
        assert_eq!(from_numbers(&numbers), Some(s));
        for n in 0..numbers.len() {
            assert_eq!(from_numbers(&numbers[..n]), None, "cut after {n}");
        }
    }
}
