//! Seeded islands that vary orders and genes; the same answer whatever the number of threads.
//!
//! Iterated local search over activity lists with a decoder (S. Hartmann, R. Kolisch, "Experimental evaluation of
//! state-of-the-art heuristics for the RCPSP", EJOR 127 (2000) 394-407, section on list-based local search); the
//! islands take over the best of all at fixed schedule counts.

use super::bounds;
use super::decode::Decoder;
use super::evaluate::{self, Score};
use super::genes::{Genes, Shown};
use super::model::Model;
use super::reasons;
use super::start;
use crate::planner::engine::problem::{FAR, Problem, ProblemError};
use crate::planner::engine::schedule::{
    Control, Goal, Goals, Limits, Progress, Solution, StoppedBy, Unplaced,
};
use fastrand::Rng;
use rayon::prelude::*;

/// A fixed number, whatever the machine.
const ISLANDS: usize = 4;
/// How far back late acceptance looks (E. K. Burke, Y. Bykov, "The late acceptance hill-climbing heuristic", EJOR 258
/// (2017) 70-78).
const LATE: u64 = 15;
/// Without a better schedule for this many, an island goes back to its best.
const PATIENCE: u64 = 40;
/// Up to so many activities there is time to look around: islands part for a while, and start afresh by chance.
const SMALL: usize = 60;

struct Island<'m, 'p> {
    m: &'m Model<'p>,
    decoder: Decoder<'m, 'p>,
    rng: Rng,
    now: (Score, Genes),
    best: (Score, Genes),
    stale: u64,
    used: u64,
    /// The decoder holds the schedule of `now`.
    fresh: bool,
    /// What the schedule of `now` shows.
    shown: Shown,
    /// Scores of the last schedules kept, for late acceptance.
    late: Vec<Score>,
}

impl Island<'_, '_> {
    fn judge(&mut self, g: &Genes) -> Score {
        self.used += 1;
        self.decoder.decode(g);
        evaluate::settle(self.m, &mut self.decoder.state);
        evaluate::score(self.m, &self.decoder.state)
    }

    /// Remembers what the schedule just decoded, which is `now`, shows.
    fn look(&mut self) {
        self.fresh = true;
        let spots = &self.decoder.state.spots;
        let movers = spots.iter().enumerate().filter(|(_, s)| s.setup > 0).map(|(i, _)| i as u32);
        self.shown.movers.clear();
        self.shown.movers.extend(movers);
        self.shown.session.clear();
        self.shown.session.extend(spots.iter().map(|s| s.session));
    }

    fn offer(&mut self, g: Genes, score: Score) {
        let k = (self.used % LATE) as usize;
        if self.late.len() < LATE as usize {
            self.late.resize(LATE as usize, self.now.0);
        }
        let fine = score <= self.now.0 || score <= self.late[k];
        if fine {
            self.stale = if score < self.now.0 { 0 } else { self.stale + 1 };
            if score < self.best.0 {
                self.best = (score, g.clone());
                self.stale = 0;
            }
            self.now = (score, g);
            self.look();
        } else {
            self.fresh = false;
            self.stale += 1;
        }
        self.late[k] = self.now.0;
    }

    fn round(&mut self, schedules: u64, goal: &Score) {
        for _ in 0..schedules {
            if self.best.0 <= *goal {
                return;
            }
            if self.stale > PATIENCE + 2 * self.m.n as u64 {
                self.stale = 0;
                // Not always near the best: a few changes fall back into it.
                let mut g = self.best.1.clone();
                let changes = match self.rng.u8(..4) {
                    0 if self.m.n <= SMALL => {
                        g = start::by_chance(self.m, &mut self.rng, &g);
                        0
                    }
                    1 => 2 * self.m.n.min(50),
                    _ => self.rng.usize(2..8),
                };
                for _ in 0..changes {
                    g.vary(self.m, &mut self.rng, &self.shown);
                }
                let s = self.judge(&g);
                if s < self.best.0 {
                    self.best = (s, g.clone());
                }
                self.late.fill(s);
                self.look();
                self.now = (s, g);
                continue;
            }
            let mut g = self.now.1.clone();
            if self.fresh && self.m.forward && self.rng.u8(..16) == 0 {
                let spots = &self.decoder.state.spots;
                g.sort_as(|i| spots[i].start);
            } else {
                g.vary(self.m, &mut self.rng, &self.shown);
            }
            while self.rng.u8(..) < 215 {
                g.vary(self.m, &mut self.rng, &self.shown);
            }
            let s = self.judge(&g);
            self.offer(g, s);
        }
    }
}

/// Solves a problem on the full path.
pub(in super::super) fn solve(
    p: &Problem,
    limits: &Limits,
    control: &Control,
) -> Result<Solution, ProblemError> {
    let m = Model::new(p)?;
    let bound = bounds::bounds(&m);
    let starts = start::genes(&m, control.kept);
    let decoder = Decoder::new(&m);
    let mut first = Island {
        m: &m,
        decoder,
        rng: Rng::with_seed(limits.seed),
        now: ([i64::MAX; 5], starts[0].clone()),
        best: ([i64::MAX; 5], starts[0].clone()),
        stale: 0,
        used: 0,
        fresh: false,
        shown: Shown::default(),
        late: Vec::new(),
    };
    let mut stopped_by = StoppedBy::Schedules;
    // The kept order comes first and gives way only to something better.
    for g in starts {
        if first.used > 0 && (first.used >= limits.schedules || first.best.0 <= bound) {
            break;
        }
        if first.used > 0 && (control.stop)() {
            stopped_by = StoppedBy::Stop;
            break;
        }
        let s = first.judge(&g);
        first.offer(g, s);
    }
    let mut best = first.best.clone();
    let mut used = first.used;
    let tell = |best: &Score, used: u64| {
        (control.progress)(Progress { schedules: used, of: limits.schedules, goals: goals(p, best, &bound) });
    };
    tell(&best.0, used);
    if stopped_by == StoppedBy::Schedules && best.0 > bound && used < limits.schedules {
        let mut islands: Vec<Island> = (0..ISLANDS as u64)
            .map(|k| Island {
                m: &m,
                decoder: Decoder::new(&m),
                rng: Rng::with_seed(limits.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15).wrapping_add(k + 1)),
                now: best.clone(),
                best: best.clone(),
                stale: 0,
                used: 0,
                fresh: false,
                shown: Shown::default(),
                late: Vec::new(),
            })
            .collect();
        // Short rounds while there is little to lose by a look at the clock, longer ones for small problems.
        let round = (20_000 / m.n.max(1) as u64).clamp(1, 400);
        let mut rounds = 0u64;
        loop {
            if best.0 <= bound {
                break;
            }
            if used >= limits.schedules {
                break;
            }
            if (control.stop)() {
                stopped_by = StoppedBy::Stop;
                break;
            }
            let share = round.min((limits.schedules - used).div_ceil(ISLANDS as u64));
            islands.par_iter_mut().for_each(|i| i.round(share, &bound));
            used = first.used + islands.iter().map(|i| i.used).sum::<u64>();
            let top = islands.iter().map(|i| i.best.0).min().unwrap_or(best.0);
            if let Some(i) = islands.iter().find(|i| i.best.0 == top)
                && top < best.0
            {
                best = i.best.clone();
            }
            rounds += 1;
            // Small problems: the worse half starts again from the best now and then; large ones: all, every round.
            if m.n > SMALL || rounds.is_multiple_of(8) {
                for (k, i) in islands.iter_mut().enumerate() {
                    if i.best.0 > best.0 && (m.n > SMALL || k % 2 == 1) {
                        i.best = best.clone();
                        i.now = best.clone();
                        i.stale = 0;
                        i.late.clear();
                        i.fresh = false;
                    }
                }
            }
            tell(&best.0, used);
        }
    }
    if best.0 <= bound && stopped_by != StoppedBy::Stop {
        stopped_by = StoppedBy::Bound;
    }
    let score = first.judge(&best.1);
    let unplaced = (0..m.n)
        .filter(|i| !first.decoder.state.spots[*i].placed())
        .map(|i| Unplaced { activity: i, reason: reasons::why(&m, &first.decoder, i) })
        .collect();
    Ok(Solution {
        placed: evaluate::placed(&first.decoder.state),
        unplaced,
        goals: goals(p, &score, &bound),
        schedules: used,
        stopped_by,
    })
}

fn goals(p: &Problem, s: &Score, bound: &Score) -> Goals {
    let total: i64 = p.groups.iter().map(|g| g.worth).sum();
    let goal = |k: usize| Goal { value: s[k], bound: bound[k].min(s[k]) };
    let (given, finish) = if p.finish_first { (goal(4), goal(3)) } else { (goal(3), goal(4)) };
    Goals {
        worth: Goal { value: total - s[0], bound: total - bound[0].min(s[0]) },
        unplaced: goal(1),
        days_over: goal(2),
        given,
        finish: Goal { value: finish.value.min(i64::from(FAR)), ..finish },
    }
}
