//! An exact search that shares nothing with the engine: activities enter in order of their starts, every session,
//! crew, unit (and, if asked, every start) is tried, and only what cannot beat the given row is cut off.

use super::check;
use ladderday::planner::engine::{Lag, Placed, Problem};

/// Every time of the generated problems is a multiple of this, and so is every start worth trying.
const STEP: usize = 60;

pub(super) struct Exact<'a> {
    p: &'a Problem,
    /// Try every start of a window, not only the first that fits (needed where later can be better).
    every_start: bool,
    placed: Vec<Option<Placed>>,
    best: [i64; 5],
    pub(super) found: Option<Vec<Option<Placed>>>,
    pub(super) nodes: u64,
    most: u64,
}

/// A row better than `than`; `None` where there is none; `Err` where the search is longer than `most` nodes.
pub(super) fn better(
    p: &Problem,
    than: [i64; 5],
    every_start: bool,
    most: u64,
) -> Result<Option<[i64; 5]>, ()> {
    let n = p.activities.len();
    let mut x = Exact { p, every_start, placed: vec![None; n], best: than, found: None, nodes: 0, most };
    x.go(i32::MIN, 0);
    if x.nodes > most {
        return Err(());
    }
    Ok(x.found.map(|_| x.best))
}

impl Exact<'_> {
    fn go(&mut self, last: i32, after: usize) {
        self.nodes += 1;
        if self.nodes > self.most {
            return;
        }
        let now = check::row(self.p, &self.placed);
        // What is done in one go is done as a whole or not at all.
        let whole = self.p.stretches.iter().all(|s| {
            let many = s.activities.iter().filter(|i| self.placed[**i].is_some()).count();
            many == 0 || many == s.activities.len()
        });
        if whole && now < self.best {
            self.best = now;
            self.found = Some(self.placed.clone());
        }
        if self.least() >= self.best {
            return;
        }
        for i in 0..self.p.activities.len() {
            if self.placed[i].is_some() || self.p.activities[i].held {
                continue;
            }
            let lag_ok = self.p.edges.iter().filter(|e| e.succ == i).all(|e| self.placed[e.pred].is_some());
            if !lag_ok {
                continue;
            }
            self.each(i, last, after);
        }
    }

    /// What the row cannot fall below whatever is added.
    fn least(&self) -> [i64; 5] {
        let p = self.p;
        let mut worth = 0;
        for (g, group) in p.groups.iter().enumerate() {
            let late = p.activities.iter().zip(&self.placed).any(|(a, x)| {
                a.group == Some(g) && x.as_ref().is_some_and(|x| p.due.is_some_and(|d| x.end > d))
            });
            worth += if late { 0 } else { group.worth };
        }
        let now = check::row(p, &self.placed);
        let mut setup = now[3];
        // A place where nobody has been yet costs at least one more move, if all are to be placed.
        let mut fresh: Vec<u32> = Vec::new();
        for (i, a) in p.activities.iter().enumerate() {
            let Some(k) = a.place.filter(|_| a.hands > 0 || a.skills != 0) else { continue };
            let been =
                (0..self.placed.len()).any(|j| self.placed[j].is_some() && p.activities[j].place == Some(k));
            if self.placed[i].is_none() && !been && !fresh.contains(&k) {
                fresh.push(k);
            }
        }
        if self.best[1] == 0 {
            setup += fresh.len() as i64 * i64::from(p.setup.place_minutes);
        }
        [-worth, 0, now[2], setup, now[4]]
    }

    fn each(&mut self, i: usize, last: i32, after: usize) {
        let p = self.p;
        let a = &p.activities[i];
        let hands = a.hands.max(u32::from(a.skills != 0));
        let crews: Vec<Vec<usize>> = (0u32..1 << p.workers.len())
            .filter(|m| m.count_ones() == hands)
            .map(|m| (0..p.workers.len()).filter(|w| m >> w & 1 == 1).collect::<Vec<_>>())
            .filter(|c| a.skills & !c.iter().fold(0, |s, w: &usize| s | p.workers[*w].skills) == 0)
            .collect();
        let mut sets: Vec<Vec<usize>> = vec![Vec::new()];
        for need in &a.tools {
            sets = sets
                .iter()
                .flat_map(|s| {
                    need.iter()
                        .filter(|u| !s.contains(u))
                        .map(|u| [&s[..], &[*u]].concat())
                        .collect::<Vec<_>>()
                })
                .collect();
        }
        let windows = a.calendar.map(|c| p.calendars[c].clone()).unwrap_or_default();
        for w in &windows {
            for crew in &crews {
                for units in &sets {
                    for start in (w.from.max(last)..=w.to - a.duration).step_by(STEP) {
                        if start == last && i < after {
                            continue;
                        }
                        if self.fits(i, start, w.session, crew, units) {
                            self.go(start, i);
                            self.placed[i] = None;
                            if !self.every_start || self.nodes > self.most {
                                break;
                            }
                        }
                    }
                }
            }
        }
    }

    /// Puts it there if nothing speaks against it.
    fn fits(&mut self, i: usize, start: i32, session: u32, crew: &[usize], units: &[usize]) -> bool {
        self.nodes += 1;
        let p = self.p;
        let a = &p.activities[i];
        let end = start + a.duration;
        let early = p.edges.iter().filter(|e| e.succ == i).any(|e| {
            let q = self.placed[e.pred].as_ref();
            q.is_none_or(|q| match e.lag {
                Lag::StartStart { min } => start < q.start + min,
                Lag::FinishStart { wait, within, same_day } => {
                    start < q.end + p.wait(wait, q.session)
                        || within.is_some_and(|x| start > q.end + x)
                        || same_day && p.day(q.end) != p.day(start)
                }
            })
        });
        if early {
            return false;
        }
        let x = Placed {
            start,
            end,
            setup: 0,
            session: Some(session),
            workers: crew.to_vec(),
            units: units.to_vec(),
        };
        self.placed[i] = Some(x);
        let need = check::moves(p, &self.placed);
        if let Some(x) = &mut self.placed[i] {
            x.setup = need[i];
        }
        if self.clashes(i) {
            self.placed[i] = None;
            return false;
        }
        true
    }

    fn clashes(&self, i: usize) -> bool {
        let mut bad = Vec::new();
        let all: Vec<(usize, &Placed)> =
            self.placed.iter().enumerate().filter_map(|(k, x)| x.as_ref().map(|x| (k, x))).collect();
        let Some(x) = &self.placed[i] else { return true };
        check::one(self.p, i, x, &mut bad);
        let from = self.p.activities[i].run.and_then(|r| self.placed[r.from].as_ref());
        if let Some(from) = from {
            check::watched(self.p, (i, x), from, &mut bad);
        }
        for (j, y) in all.iter().filter(|o| o.0 != i) {
            if bad.is_empty() {
                check::pair(self.p, (i, x), (*j, y), &mut bad);
            }
        }
        if bad.is_empty() {
            check::resources(self.p, &all, &mut bad);
        }
        !bad.is_empty()
    }
}
