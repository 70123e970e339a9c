//! What an activity started and another looks at: until then some worker is there, and one of a resource is taken.

use super::blocks::Block;
use super::decode::{Decoder, presence};
use super::model::Model;
use super::rows::NO_SESSION;
use super::state::{Spot, State};
use crate::planner::engine::problem::{Activity, Lag, Time};

impl Decoder<'_, '_> {
    /// Is somebody there from the end of what started it until `t`, and room until `end`?
    pub(super) fn watched(&self, a: &Activity, t: Time, end: Time) -> bool {
        let Some(run) = a.run else { return true };
        let started = self.state.spots[run.from];
        if !started.placed() {
            return true;
        }
        let until = held_until(self.m, run.from, started);
        if self.state.profiles[run.takes].lacking_until(until, end, 1).is_some() {
            return false;
        }
        // What was watched before now is over.
        let fixed = self.m.p.activities[run.from].fixed.is_some();
        let from = if fixed { started.end.max(self.m.p.now) } else { started.end };
        let workers = &self.m.p.workers;
        let alone = |from: Time| workers.iter().all(|w| presence(&w.present, from, t).is_none());
        from >= t || workers.is_empty() || (fixed && started.session == NO_SESSION) || !alone(from)
    }
}

/// Until when what starts a run takes its resource by itself.
fn held_until(m: &Model, i: usize, spot: Spot) -> Time {
    let session = Some(spot.session).filter(|s| *s != NO_SESSION);
    let wait = m.p.activities[i].holds.iter().map(|h| m.p.wait(h.wait, session)).max();
    spot.end.saturating_add(wait.unwrap_or(0))
}

impl State {
    /// Takes the resource from there to the end of the look.
    pub(super) fn keep_running(&mut self, m: &Model, i: usize, spot: Spot, sign: i32) {
        let Some(run) = m.p.activities[i].run else { return };
        let started = self.spots[run.from];
        if started.placed() {
            self.profiles[run.takes].take(held_until(m, run.from, started), spot.end, sign);
        }
    }
}

/// Minutes from the beginning of a block to its end at least, with what runs in it.
pub(super) fn needed(m: &Model, block: &Block) -> Time {
    let items = &block.items;
    let waits = |i: &usize| {
        let run = m.p.activities[*i].run?;
        let own = m.preds[*i].iter().find(|(q, _)| *q == run.from)?;
        Some(match own.1 {
            Lag::FinishStart { wait, .. } if items.contains(&run.from) => super::reach::least(m, wait),
            _ => 0,
        })
    };
    items.iter().map(|i| m.p.activities[*i].duration + waits(i).unwrap_or(0)).sum()
}
