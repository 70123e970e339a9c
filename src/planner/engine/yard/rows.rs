//! The row of one person or tool unit: what it does one after the other, and where.

use crate::planner::engine::problem::Time;

/// No place: neither moves nor breaks a row.
pub(super) const NOWHERE: u32 = u32::MAX;
/// Without a place where that breaks a row: who comes out of it moves, who goes there does not.
pub(super) const INSIDE: u32 = u32::MAX - 1;
/// No session: an activity without a calendar.
pub(super) const NO_SESSION: u32 = u32::MAX;

/// One activity in a row. Busy from `lead` (moving) to `end`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Entry {
    pub(super) lead: Time,
    pub(super) start: Time,
    pub(super) end: Time,
    pub(super) place: u32,
    pub(super) session: u32,
    pub(super) activity: u32,
    /// The move to its place is paid for, so that another place may come before it.
    pub(super) paid: bool,
    /// Somebody went up for it.
    pub(super) up: bool,
}

/// Sorted by start, then end.
#[derive(Clone, Debug, Default)]
pub(super) struct Row {
    pub(super) entries: Vec<Entry>,
}

/// How an owner stands towards an activity at a given time.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stand {
    /// Free from here to the activity's end.
    pub(super) free_from: Time,
    /// It would come from another place, or is used first in this session.
    pub(super) moves: bool,
}

/// What an owner is asked for: a stretch of `duration` at `place`, not before `from` with the moving before it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gap {
    pub(super) session: u32,
    pub(super) bounds: (Time, Time),
    pub(super) place: u32,
    pub(super) duration: Time,
    pub(super) from: Time,
    /// Minutes of a move; `None`: it may not move.
    pub(super) lead: Option<Time>,
}

impl Row {
    /// The first start within `t..=last` at which this owner is free for the gap; [`Time::MAX`] where there is none.
    pub(super) fn first_fit(&self, t: Time, last: Time, gap: &Gap) -> Time {
        let mut i = self.entries.partition_point(|e| (e.start, e.end) <= (t, t));
        let mut there = self.place_before(i, gap.session, gap.bounds.0);
        let mut free = i.checked_sub(1).and_then(|k| self.entries.get(k)).map_or(Time::MIN, |e| e.end);
        loop {
            let next = self.entries.get(i);
            let start = if gap.place >= INSIDE || there == gap.place {
                Some(t.max(free))
            } else {
                gap.lead.map(|lead| t.max(free.max(gap.from).saturating_add(lead)))
            };
            if let Some(start) =
                start.filter(|s| next.is_none_or(|e| e.lead >= s.saturating_add(gap.duration)))
            {
                if start > last {
                    return Time::MAX;
                }
                if self.may_precede(i, gap.place, gap.session, gap.bounds.1) {
                    return start;
                }
            }
            let Some(e) = next.filter(|e| e.end <= last) else { return Time::MAX };
            if e.session == gap.session && e.place != NOWHERE {
                there = e.place;
            }
            free = free.max(e.end);
            i += 1;
        }
    }

    /// Can another place come before entry `i`: is the next of this session with a place at this one, or paid?
    fn may_precede(&self, i: usize, place: u32, session: u32, to: Time) -> bool {
        for e in self.entries.get(i..).unwrap_or(&[]) {
            if e.session == session {
                if e.place != NOWHERE {
                    return e.place == place || e.paid || e.place == INSIDE;
                }
            } else if e.start >= to {
                break;
            }
        }
        true
    }

    /// The place of the last activity with one before entry `i` in this session.
    pub(super) fn place_before(&self, i: usize, session: u32, from: Time) -> u32 {
        for e in self.entries.get(..i).unwrap_or(&[]).iter().rev() {
            if e.session == session {
                if e.place != NOWHERE {
                    return e.place;
                }
            } else if e.end <= from {
                break;
            }
        }
        NOWHERE
    }

    /// Would something that starts at `start`, `up` or not, leave what is done up at each place one unbroken run?
    pub(super) fn keeps_climbs(&self, start: Time, place: u32, session: u32, up: bool) -> bool {
        let i = self.entries.partition_point(|e| (e.start, e.end) <= (start, start));
        let (before, after) = self.entries.split_at(i.min(self.entries.len()));
        let mut before = before.iter().rev().filter(|e| e.session == session);
        let mut after = after.iter().filter(|e| e.session == session);
        let (prev, next) = (before.next(), after.next());
        if let (Some(p), Some(n)) = (prev, next)
            && p.up
            && n.up
            && p.place == n.place
        {
            return up && place == p.place;
        }
        let there = |e: &Entry| e.up && e.place == place;
        // Who came down, or goes up elsewhere, is not up there a second time.
        !up || ((prev.is_none_or(there) || !before.any(there))
            && (next.is_none_or(there) || !after.any(there)))
    }

    /// Can an activity lie at `start..end`? `None` where it clashes or would break the row after it.
    pub(super) fn stand(
        &self,
        start: Time,
        end: Time,
        place: u32,
        session: u32,
        bounds: (Time, Time),
    ) -> Option<Stand> {
        let i = self.entries.partition_point(|e| (e.start, e.end) <= (start, start));
        // An entry that starts with this one is no clash only where it takes no time.
        let before = i.checked_sub(1).and_then(|k| self.entries.get(k));
        let free_from = before.map_or(Time::MIN, |e| e.end);
        if free_from > start || self.entries.get(i).is_some_and(|e| e.lead < end) {
            return None;
        }
        if place == NOWHERE {
            return Some(Stand { free_from, moves: false });
        }
        if !self.may_precede(i, place, session, bounds.1) {
            return None;
        }
        let moves = place != INSIDE && self.place_before(i, session, bounds.0) != place;
        Some(Stand { free_from, moves })
    }

    pub(super) fn insert(&mut self, e: Entry) {
        let i = self.entries.partition_point(|o| (o.start, o.end) <= (e.start, e.end));
        self.entries.insert(i, e);
    }

    pub(super) fn remove(&mut self, activity: u32, start: Time) {
        let from = self.entries.partition_point(|e| e.start < start);
        let at = self.entries.get(from..).and_then(|l| l.iter().position(|e| e.activity == activity));
        if let Some(k) = at {
            self.entries.remove(from + k);
        }
    }

    /// The smallest end of an entry after `t`.
    pub(super) fn next_end(&self, t: Time) -> Option<Time> {
        let i = self.entries.partition_point(|e| e.end <= t);
        self.entries.get(i).map(|e| e.end)
    }

    /// The longest free stretch within `from..to`.
    pub(super) fn longest_gap(&self, from: Time, to: Time) -> Time {
        let i = self.entries.partition_point(|e| e.end <= from);
        let (mut at, mut best) = (from, 0);
        for e in self.entries.get(i..).unwrap_or(&[]) {
            if e.lead >= to {
                break;
            }
            best = best.max(e.lead - at);
            at = at.max(e.end);
        }
        best.max(to - at)
    }
}
