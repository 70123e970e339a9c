//! People who are there all the time: who may do what, and a crew of those whom others need least.
//!
//! Which sets of people can fill needs is a matroid (J. Edmonds, D. R. Fulkerson, "Transversals and matroid partition",
//! J. Res. NBS 69B (1965) 147-153), so taking people in order of their worth, each where the others can make room for
//! them, gives the crew of least worth.

use super::instance::LANES;
use crate::planner::engine::problem::{Activity, Problem};

/// One kind of need and how many hands have it.
#[derive(Clone, Copy, Debug)]
struct Need {
    kind: usize,
    count: u32,
}

#[derive(Clone, Debug, Default)]
pub(super) struct Crew {
    /// For each kind of need the bits of who can fill it.
    able: Vec<u64>,
    needs: Vec<Vec<Need>>,
    /// Those first whom the work asks for least.
    by_worth: Vec<usize>,
}

/// Does somebody work on it at all?
fn manned(a: &Activity) -> bool {
    a.hands > 0 || a.skills != 0
}

impl Crew {
    /// Nobody asked for: `Some(None)`; `None` where people come and go, or are asked for in other ways.
    pub(super) fn of(p: &Problem) -> Option<Option<Self>> {
        if !p.activities.iter().any(manned) {
            return Some(None);
        }
        let always = |w: &crate::planner::engine::problem::Worker| {
            let last = p.sessions.iter().map(|s| s.to).max();
            let there = |x: &(i32, i32)| x.0 <= p.now && last.map_or(x.1 >= super::FOREVER, |t| t <= x.1);
            !w.skilled_only && w.present.iter().any(there)
        };
        let together = |a: &Activity| a.skills & !a.needs.iter().fold(0, |s, n| s | n) != 0;
        if !p.workers.iter().all(always) || p.activities.iter().any(together) {
            return None;
        }
        let mut crew = Self::default();
        let mut kinds: Vec<u64> = Vec::new();
        for a in &p.activities {
            let mut needs: Vec<Need> = Vec::new();
            let spare = (a.hands as usize).saturating_sub(a.needs.len());
            for mask in a.needs.iter().copied().chain(std::iter::repeat_n(0, spare)) {
                let kind = kinds.iter().position(|k| *k == mask).unwrap_or_else(|| {
                    kinds.push(mask);
                    kinds.len() - 1
                });
                match needs.iter_mut().find(|n| n.kind == kind) {
                    Some(n) => n.count += 1,
                    None => needs.push(Need { kind, count: 1 }),
                }
            }
            crew.needs.push(needs);
        }
        let able = |mask: &u64| {
            let fits = p.workers.iter().enumerate().filter(|(_, w)| mask & !w.skills == 0);
            fits.fold(0u64, |s, (w, _)| s | 1 << w)
        };
        crew.able = kinds.iter().map(able).collect();
        // Minutes asked of each kind, shared among those who can fill it.
        let mut asked = vec![0.0; kinds.len()];
        for (a, needs) in p.activities.iter().zip(&crew.needs) {
            for n in needs {
                asked[n.kind] += f64::from(n.count) * f64::from(a.duration);
            }
        }
        let worth = |w: &usize| -> f64 {
            let kinds = crew.able.iter().zip(&asked).filter(|(able, _)| **able >> w & 1 == 1);
            kinds.map(|(able, asked)| asked / f64::from(able.count_ones())).sum()
        };
        crew.by_worth = (0..p.workers.len()).collect();
        crew.by_worth.sort_by(|a, b| worth(a).total_cmp(&worth(b)).then(a.cmp(b)));
        Some(Some(crew))
    }

    /// What any crew takes of all people, and of those who can fill the kinds that are asked for most, as lanes beside
    /// `taken` others: capacity and need of each activity.
    pub(super) fn lanes(&self, taken: usize, durations: &[i32]) -> Vec<(i32, Vec<i32>)> {
        let all = self.able.iter().fold(0, |s, a| s | a);
        let mut sets: Vec<u64> = vec![all];
        for a in &self.able {
            let joined: Vec<u64> = sets.iter().map(|s| s | a).chain([*a]).collect();
            for s in joined {
                if !sets.contains(&s) && sets.len() < 256 {
                    sets.push(s);
                }
            }
        }
        let lane = |set: &u64| {
            let own = |needs: &Vec<Need>| {
                let within = needs.iter().filter(|n| self.able[n.kind] & !set == 0);
                within.map(|n| n.count as i32).sum::<i32>()
            };
            (set.count_ones() as i32, self.needs.iter().map(own).collect::<Vec<i32>>())
        };
        let mut lanes: Vec<(i32, Vec<i32>)> = sets.iter().map(lane).collect();
        // The scarcest first.
        let load = |l: &(i32, Vec<i32>)| {
            let minutes: i64 = l.1.iter().zip(durations).map(|(n, d)| i64::from(*n) * i64::from(*d)).sum();
            minutes * 1000 / i64::from(l.0.max(1))
        };
        lanes.sort_by_key(|l| std::cmp::Reverse(load(l)));
        lanes.truncate(LANES.saturating_sub(taken));
        lanes
    }

    /// A crew for `j` of those who are free.
    pub(super) fn choose(&self, j: usize, free: u64) -> Option<u64> {
        let needs = &self.needs[j];
        if needs.iter().any(|n| (self.able[n.kind] & free).count_ones() < n.count) {
            return None;
        }
        let mut open: u32 = needs.iter().map(|n| n.count).sum();
        let mut got = [0u64; 16];
        let got = got.get_mut(..needs.len())?;
        for w in self.by_worth.iter().copied().filter(|w| free >> w & 1 == 1) {
            if open == 0 {
                break;
            }
            open -= u32::from(self.enter(needs, w, &mut 0, got));
        }
        (open == 0).then(|| got.iter().fold(0, |s, g| s | g))
    }

    /// Takes somebody in, where need be by giving others another need.
    fn enter(&self, needs: &[Need], w: usize, seen: &mut u32, got: &mut [u64]) -> bool {
        for (k, n) in needs.iter().enumerate() {
            if *seen >> k & 1 == 1 || self.able[n.kind] >> w & 1 == 0 {
                continue;
            }
            *seen |= 1 << k;
            if got[k].count_ones() < n.count {
                got[k] |= 1 << w;
                return true;
            }
            let mut others = got[k];
            while others != 0 {
                let x = others.trailing_zeros() as usize;
                others &= others - 1;
                if self.enter(needs, x, seen, got) {
                    got[k] = got[k] & !(1 << x) | 1 << w;
                    return true;
                }
            }
        }
        false
    }
}
