//! How every run begins: what is done is over, what is begun goes on.

use std::cmp::Reverse;

use super::run::{At, Mover, Run};

impl Run<'_, '_> {
    /// The state at `now`: what is done is over, what is begun goes on with its people.
    pub(super) fn begin(&mut self) {
        let f = self.f;
        let p = &f.problem;
        self.running.clear();
        self.holds.clear();
        self.moments.clear();
        self.free.iter_mut().for_each(Vec::clear);
        self.workers.clear();
        self.workers.resize(p.workers.len(), Mover::default());
        self.units.clear();
        self.units.resize(p.units, Mover::default());
        for m in self.workers.iter_mut().chain(&mut self.units) {
            m.free = p.now;
        }
        self.used.clear();
        self.used.resize(p.resources.len(), 0);
        self.modes.clear();
        self.modes.resize(p.mode_resources, (0, 0));
        self.repeats.fill(0);
        for i in 0..f.part.len() {
            let (Some(a), Some(part)) = (p.activities.get(i), f.part.get(i)) else { continue };
            let before = f.preds.get(i).map_or(0, Vec::len);
            let state = match (&a.fixed, part) {
                (Some(x), true) if !x.done => At::Runs,
                (_, true) => At::Waits,
                _ => At::Out,
            };
            let ready = a.release.map_or(p.now, |r| r.max(p.now));
            for (list, value) in [(&mut self.ready, ready), (&mut self.ends, p.now)] {
                if let Some(x) = list.get_mut(i) {
                    *x = value;
                }
            }
            if let (Some(s), Some(n)) = (self.at.get_mut(i), self.pending.get_mut(i)) {
                (*s, *n) = (state, before);
            }
            if let Some(s) = self.session.get_mut(i) {
                *s = None;
            }
        }
        for i in 0..f.part.len() {
            let Some(fixed) = p.activities.get(i).and_then(|a| a.fixed.as_ref()) else { continue };
            if let Some(s) = self.session.get_mut(i) {
                *s = fixed.session;
            }
            let place = p.activities.get(i).and_then(|a| a.place);
            let end = if fixed.done { fixed.end } else { fixed.end.max(p.now) };
            for w in &fixed.workers {
                if let Some(m) = self.workers.get_mut(*w).filter(|_| !fixed.done || place.is_some()) {
                    *m = Mover { free: m.free.max(end), session: fixed.session, place };
                }
            }
            if fixed.done {
                self.free_after(i, fixed.end);
            } else {
                self.take(i, true);
                self.running.push(Reverse((end, i)));
            }
        }
        for i in 0..f.part.len() {
            if self.pending.get(i) == Some(&0) {
                self.put_free(i);
            }
        }
    }
}
