//! Yards in the search: orders with patience, windows skipped and preferences, decoded one activity after the other.

use super::bounds;
use super::decode::Decoder;
use super::evaluate;
use super::genes::Genes;
use super::model::Model;
use super::moves::moves;
use super::reasons;
use super::start;
use crate::planner::engine::problem::{Problem, ProblemError, Time};
use crate::planner::engine::schedule::{Control, Limits, Placed, Solution, Unplaced};
use crate::planner::engine::search::{self, Member, NEVER, Scheme, Score, Spread};
use fastrand::Rng;

/// Solves any problem.
pub(in crate::planner::engine) fn solve(
    p: &Problem,
    limits: &Limits,
    control: &Control,
) -> Result<Solution, ProblemError> {
    let m = Model::new(p)?;
    let order: Vec<u32> = m.order.iter().map(|i| *i as u32).collect();
    let ask = search::Ask {
        p,
        order: &order,
        bound: control.bound.map_or_else(|| bounds::bounds(&m), |b| b.0),
        firsts: start::genes(&m, control.kept),
        spread: spread(&m, limits.schedules),
        learn: None,
    };
    let make = || Yard { m: &m, decoder: Decoder::new(&m) };
    // Every order can be decoded, if with everything left out.
    Ok(search::run(&ask, &make, limits, control).unwrap_or_default())
}

/// What no schedule can better.
pub(in crate::planner::engine) fn bound(p: &Problem) -> Result<Score, ProblemError> {
    Model::new(p).map(|m| bounds::bounds(&m))
}

/// Parents twice as good as chance need few members.
fn spread(m: &Model, budget: u64) -> Spread {
    let members = (budget / 8).isqrt().clamp(1, 40) as usize;
    // Short rounds while there is little to lose by a look at the clock, longer ones for small problems.
    let round = (80_000 / m.n.max(1) as u64).clamp(4, 1_600);
    let patience = 40 + 2 * m.n as u64;
    Spread { makers: 4, share: 1, members, patience, round, crossed: 192, justified: 0 }
}

struct Yard<'m, 'p> {
    m: &'m Model<'p>,
    decoder: Decoder<'m, 'p>,
}

impl Scheme for Yard<'_, '_> {
    type Genes = Genes;

    fn next(&self) -> Vec<Vec<u32>> {
        self.m.succs.iter().map(|s| s.iter().map(|x| x.0 as u32).collect()).collect()
    }

    fn duration(&self, j: usize) -> Time {
        self.m.p.activities[j].duration
    }

    fn unordered(&self) -> bool {
        !self.m.forward
    }

    fn overlapping(&self) -> bool {
        true
    }

    fn shiftable(&self) -> bool {
        false
    }

    fn forward(&mut self, genes: &mut Genes, start: &mut [Time]) -> Option<Score> {
        self.decoder.decode(genes);
        evaluate::settle(self.m, &mut self.decoder.state);
        let spots = &self.decoder.state.spots;
        for (t, s) in start.iter_mut().zip(spots) {
            *t = if s.placed() { s.start } else { NEVER };
        }
        let shown = &mut genes.shown;
        shown.movers.clear();
        shown.movers.extend(spots.iter().enumerate().filter(|(_, s)| s.setup > 0).map(|(i, _)| i as u32));
        shown.session.clear();
        shown.session.extend(spots.iter().map(|s| s.session));
        shown.idle.clear();
        evaluate::waiting(self.m, &self.decoder.state, |i, w, minutes| {
            if minutes >= LONG {
                shown.idle.push((i, w as u8));
            }
        });
        shown.left.clear();
        let (p, preds, out) = (&self.m.p, &self.m.preds, &self.m.out);
        let lost = |i: &usize| !spots[*i].placed() && !out[*i] && p.activities[*i].fixed.is_none();
        let lost = (0..self.m.n).filter(lost);
        let first = lost.filter(|i| preds[*i].iter().all(|(q, _)| spots[*q].placed()));
        shown.left.extend(first.map(|i| i as u32));
        shown.workers.clear();
        shown.workers.extend(spots.iter().map(|s| s.workers));
        Some(evaluate::score(self.m, &self.decoder.state))
    }

    fn end(&self, score: &Score) -> Time {
        score[if self.m.p.finish_first { 3 } else { 4 }] as Time
    }

    /// The best with a few changes, or many; small problems also by chance alone.
    fn sample(&self, rng: &mut Rng, best: Option<&Genes>) -> Genes {
        let Some(best) = best else { return start::genes(self.m, None).swap_remove(0) };
        let m = self.m;
        let changes = match rng.u8(..4) {
            0 if m.n <= SMALL => return start::by_chance(m, rng, best),
            1 => 2 * m.n.min(50),
            _ => rng.usize(2..8),
        };
        let mut genes = best.clone();
        for _ in 0..changes {
            genes.vary(m, rng);
        }
        genes
    }

    fn mix(&self, genes: &mut Genes, mother: &Genes, own: &dyn Fn(usize) -> bool) {
        genes.mix(mother, own);
    }

    /// Mostly one deliberate change of what the schedule shows, as often as not with others by chance (by chance alone three
    /// plans of the demo with four seeds gave 710 minutes, so 623).
    fn vary(&mut self, genes: &mut Genes, rng: &mut Rng) {
        if rng.u8(..) < 218 {
            let all = moves(self.m, genes);
            if !all.is_empty() {
                genes.change(self.m, all[rng.usize(..all.len())]);
                if rng.bool() {
                    return;
                }
            }
        }
        genes.vary(self.m, rng);
        while rng.u8(..) < 60 {
            genes.vary(self.m, rng);
        }
    }

    fn fit_in(&mut self, genes: &mut Genes, rng: &mut Rng) {
        genes.fit_in(self.m, rng);
    }

    fn hand_out(&mut self, mut best: Member<Genes>) -> (Vec<Option<Placed>>, Vec<Unplaced>) {
        self.forward(&mut best.genes, &mut best.start);
        let unplaced = (0..self.m.n)
            .filter(|i| !self.decoder.state.spots[*i].placed())
            .map(|i| Unplaced { activity: i, reason: reasons::why(self.m, &self.decoder, i) })
            .collect();
        (evaluate::placed(&self.decoder.state), unplaced)
    }
}

/// Waiting for so many minutes is worth a change.
const LONG: i64 = 3;

/// Up to so many activities there is time to look around.
pub(super) const SMALL: usize = 60;
