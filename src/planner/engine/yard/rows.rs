//! The row of one person or tool unit: what it does one after the other, and where.

use crate::planner::engine::problem::Time;

/// No place: neither moves nor breaks a row.
pub(super) const NOWHERE: u32 = u32::MAX;
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

impl Row {
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
        for e in self.entries.get(i..).unwrap_or(&[]) {
            if e.session == session {
                if e.place != NOWHERE {
                    if e.place != place && !e.paid {
                        return None;
                    }
                    break;
                }
            } else if e.start >= bounds.1 {
                break;
            }
        }
        Some(Stand { free_from, moves: self.place_before(i, session, bounds.0) != place })
    }

    pub(super) fn insert(&mut self, e: Entry) {
        let i = self.entries.partition_point(|o| (o.start, o.end) <= (e.start, e.end));
        self.entries.insert(i, e);
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
