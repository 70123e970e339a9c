//! What is looked at together at a moment of a run: which classes of steps are open, who is free, which step is next.

use super::frame::TIED;
use super::run::{Mover, Run};
use crate::planner::engine::Time;

impl Run<'_, '_> {
    /// What holds at `now` for every step alike.
    pub(super) fn look(&mut self, now: Time) {
        let p = &self.f.problem;
        let lead = p.setup.place_minutes + p.setup.tool_minutes;
        self.open.clear();
        self.open.extend(p.calendars.iter().map(|c| {
            let w = c.get(c.partition_point(|w| w.to <= now)).copied()?;
            let there = p.sessions.get(w.session as usize).is_some_and(|s| s.from <= now);
            (w.from <= now + lead && there).then_some(w)
        }));
        self.stays.clear();
        self.stays.extend(p.workers.iter().map(|w| {
            let come = w.present.partition_point(|s| s.0 <= now);
            come.checked_sub(1).and_then(|k| w.present.get(k)).map_or(Time::MIN, |s| s.1)
        }));
        self.longest_stay = self.stays.iter().copied().max().unwrap_or(Time::MIN);
        self.seen.fill(0);
        let mut may = std::mem::take(&mut self.may);
        may.clear();
        may.extend(self.f.classes.iter().map(|a| self.window(a).is_some()));
        self.may = may;
    }

    pub(super) fn nobody_free(&self, now: Time) -> bool {
        let free = |(m, until): (&Mover, &Time)| m.free <= now && *until >= now;
        !self.workers.iter().zip(&self.stays).any(free)
    }

    /// The next of what waits for nothing, with its class: what is tied first, then in the plan's order; without looking at
    /// classes that are closed or ask for people where nobody is free.
    pub(super) fn next_free(&self, nobody: bool) -> Option<(usize, usize)> {
        let head = |c: usize| self.free.get(c)?.get(*self.seen.get(c)?).copied();
        if let Some((_, i)) = head(TIED) {
            return Some((TIED, i));
        }
        let open = |c: &usize| {
            self.may.get(*c) == Some(&true) && !(nobody && self.f.classes.get(*c).is_some_and(|a| a.hands))
        };
        let heads = (TIED + 1..self.free.len()).filter(open).filter_map(|c| Some((head(c)?, c)));
        heads.min().map(|((_, i), c)| (c, i))
    }

    pub(super) fn pass(&mut self, class: usize) {
        if let Some(n) = self.seen.get_mut(class) {
            *n += 1;
        }
    }
}
