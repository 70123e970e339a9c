//! What must follow soon: latest starts, asking for a later predecessor, and what comes before a climb all at once.

use super::decode::{Ask, Decoder};
use super::genes::Genes;
use crate::planner::engine::problem::{FAR, Lag, Time};

impl Decoder<'_, '_> {
    /// The latest start, and the predecessor that sets it.
    pub(super) fn latest(&self, i: usize) -> (Time, Option<usize>) {
        let a = &self.m.p.activities[i];
        let mut best = (a.deadline.map_or(FAR, |d| d - a.duration), None);
        for (q, lag) in &self.m.preds[i] {
            let Lag::FinishStart { within, same_day, .. } = lag else { continue };
            let s = self.state.spots[*q];
            if !s.placed() || self.m.p.activities[*q].fixed.as_ref().is_some_and(|f| f.done) {
                continue;
            }
            let by_within = within.map(|w| s.end.saturating_add(w));
            let by_day = same_day.then(|| self.day_end(s.end));
            for t in by_within.into_iter().chain(by_day) {
                if t < best.0 {
                    best = (t, Some(*q));
                }
            }
        }
        best
    }

    /// The last minute of the local day of `t`.
    fn day_end(&self, t: Time) -> Time {
        let cuts = &self.m.p.midnights;
        if cuts.is_empty() {
            return t.div_euclid(1440) * 1440 + 1439;
        }
        cuts.get(cuts.partition_point(|c| *c <= t)).map_or(FAR, |c| c - 1)
    }

    /// Activity `i` came too late after `q`: asks for a later `q`.
    pub(super) fn push_back(&mut self, i: usize, q: usize, est: Time, g: &Genes) -> bool {
        let a = &self.m.p.activities[i];
        if self.m.p.activities[q].fixed.is_some() {
            return false;
        }
        let lst = a.deadline.map_or(FAR, |d| d - a.duration);
        let ask = Ask { est, lst, skip: g.skip[i], only: None, patient: true };
        let Some(spot) = self.find(i, &ask, g) else { return false };
        self.push_for(i, q, spot.start);
        true
    }

    /// Asks for a `q` so late that `i` may start at `start`.
    pub(super) fn push_for(&mut self, i: usize, q: usize, start: Time) {
        let own = self.state.spots[q];
        let mut to = own.start + 1;
        for (p, lag) in &self.m.preds[i] {
            let Lag::FinishStart { within, same_day, .. } = lag else { continue };
            if *p == q {
                let by_within = within.map_or(Time::MIN, |w| start - w);
                let day_start = if self.m.p.midnights.is_empty() {
                    start.div_euclid(1440) * 1440
                } else {
                    let cuts = &self.m.p.midnights;
                    cuts.partition_point(|c| *c <= start).checked_sub(1).map_or(-FAR, |k| cuts[k])
                };
                let by_day = if *same_day { day_start } else { Time::MIN };
                to = to.max(by_within.max(by_day).saturating_sub(own.end - own.start));
            }
        }
        self.push[q] = self.push[q].max(to);
    }

    /// All else that comes before somebody goes up at the place follows in the same session, where what it is done for
    /// can follow too; then come those.
    pub(super) fn with_mates(&mut self, i: usize, k: usize, session: u32, g: &Genes) {
        let m = self.m;
        let mut then: Vec<usize> = Vec::new();
        for j in m.at_place[m.place[i]].iter().map(|j| *j as usize) {
            let a = &m.p.activities[j];
            if !a.before_up || self.tried[j] || m.out[j] || g.skip[j] > 0 || self.waits(j) {
                continue;
            }
            let follows = |s: &usize| {
                let others = m.preds[*s].iter().filter(|(q, _)| *q != j);
                others.into_iter().all(|(q, _)| self.state.spots[*q].placed())
            };
            if !m.tight[j].iter().all(follows) {
                continue;
            }
            let Some(est) = self.ready(j) else { continue };
            let ask = Ask { est, lst: self.latest(j).0, skip: 0, only: Some(session), patient: true };
            if let Some(spot) = self.find(j, &ask, g) {
                self.try_once(j, k);
                self.state.put(m, j, spot);
                then.extend(&m.tight[j]);
            }
        }
        self.stack.extend(then.iter().rev());
    }
}
