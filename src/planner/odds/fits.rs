//! Whether a step can be begun at a moment of a run, and how much of it.

use super::frame::{Asks, Frame, Tie};
use super::hands::Choice;
use super::run::{At, Run};
use crate::planner::engine::{Activity, Mode, Time, Window};

/// Minutes for which people wait for a session long enough for all of a step, rather than begin it in parts.
const WEEK: Time = 7 * 1440;

impl Run<'_, '_> {
    /// The pieces done at once from `now` on and their minutes: all that is left where a session of the week to come has
    /// room for it, otherwise as many whole ones as the window has room for.
    fn part(&self, i: usize, a: &Activity, window: &Window, now: Time) -> Option<(i64, Time)> {
        let (left, all) = (*self.left.get(i)?, *self.minutes.get(i)?);
        let Some(p) = self.f.pieces.get(i).and_then(Option::as_ref) else { return Some((left, all)) };
        let ahead = p.rooms.get(p.rooms.partition_point(|r| r.0 <= now)..)?;
        if ahead.iter().take_while(|r| r.0 <= now.saturating_add(WEEK)).any(|r| all <= r.1) {
            return Some((left, all));
        }
        let setup = &self.f.problem.setup;
        let set = if a.tools.is_empty() { 0 } else { setup.tool_minutes };
        let start = (now + a.place.map_or(0, |_| setup.place_minutes + set)).max(window.from);
        let mut stays = self.stays.clone();
        stays.sort_unstable_by(|x, y| y.cmp(x));
        let last = (a.hands as usize).max(usize::from(a.not_alone) * 2).checked_sub(1);
        let until = last.map_or(Some(window.to), |k| stays.get(k).map(|t| window.to.min(*t)))?;
        // A single piece too long for any session is never done.
        let room = i64::from(until) - i64::from(start);
        let n = (room * left / i64::from(all.max(1))).min(left);
        (n > 0).then(|| (n, ((i64::from(all) * n + left - 1) / left) as Time))
    }

    /// Late in a session most of what waits is too long for whoever stays longest: seen before anything is looked up.
    fn too_long(&self, i: usize, a: &Activity, window: &Window, now: Time) -> bool {
        let whole = self.f.pieces.get(i).is_some_and(Option::is_none);
        let end = now.max(window.from) + self.minutes.get(i).copied().unwrap_or(0);
        whole && (end > window.to || (a.hands > 0 && end > self.longest_stay))
    }

    /// Who, with what, until when and how much of it, if `i` can be begun now. A step for several that only waits for
    /// busy people keeps later ones from taking those who are free past `keep_until`.
    pub(super) fn try_begin(
        &self,
        i: usize,
        now: Time,
        keep_until: &mut Time,
    ) -> Option<(Choice, Time, (i64, Time))> {
        let f = self.f;
        let a = f.problem.activities.get(i)?;
        let window = self.window(f.asks.get(i)?)?;
        if self.too_long(i, a, &window, now) {
            return None;
        }
        if self.in_round(i, window.session) || !self.round_fits(i, &window, now) {
            return None;
        }
        let part = self.part(i, a, &window, now)?;
        let minutes = part.1;
        let room = |(r, amount): (usize, i32)| {
            let cap = f.problem.resources.get(r).map_or(0, |x| x.capacity);
            self.used.get(r).is_some_and(|u| u + amount <= cap)
        };
        let fits = a.demands.iter().copied().all(room)
            && a.holds.iter().all(|h| room((h.resource, h.amount)))
            && a.modes.iter().all(|(r, mode)| {
                self.modes
                    .get(*r)
                    .is_some_and(|(off, on)| if *mode == Mode::Off { *on == 0 } else { *off == 0 })
            });
        if !fits {
            return None;
        }
        let choice = self.choose(i, a, &window, now, minutes, keep_until)?;
        let start = (now + choice.setup).max(window.from);
        let end = start + minutes;
        if end > window.to || (end > *keep_until && choice.workers != 0) {
            return None;
        }
        for tie in f.ties.get(i).into_iter().flatten() {
            if !self.can_follow(tie, end) {
                return None;
            }
        }
        Some((choice, end, part))
    }

    /// The window of a step's calendar that is open now, or will be within its moving.
    pub(super) fn window(&self, a: &Asks) -> Option<Window> {
        let w = self.open.get(a.calendar?).copied().flatten()?;
        self.held_then(a, &w).then_some(w)
    }

    /// Weather takes a session's outdoor work, not what is done indoors.
    fn held_then(&self, a: &Asks, w: &Window) -> bool {
        a.indoors || self.lost.get(w.session as usize) != Some(&true)
    }

    /// Whether what is tied can follow a step that ends at `end`.
    fn can_follow(&self, tie: &Tie, end: Time) -> bool {
        let f = self.f;
        let over = |i: &usize| matches!(self.at.get(*i), Some(At::Over | At::Runs | At::Out));
        let Some((a, asks)) = f.problem.activities.get(tie.then).zip(f.asks.get(tie.then)) else {
            return true;
        };
        let from = end.saturating_add(tie.wait.minutes).max(a.release.unwrap_or(end));
        let minutes = self.minutes.get(tie.then).copied().unwrap_or(0);
        let windows = a.calendar.and_then(|c| f.problem.calendars.get(c));
        tie.others.iter().all(over)
            && windows.is_some_and(|ws| {
                let later = ws.get(ws.partition_point(|w| w.to <= from)..).unwrap_or_default();
                later
                    .iter()
                    .take_while(|w| in_time(f, tie, end, w.from.max(from)))
                    .any(|w| self.held_then(asks, w) && w.from.max(from) + minutes <= w.to)
            })
    }
}

/// Whether a start at `t` still follows an end at `end` as the tie asks.
pub(super) fn in_time(f: &Frame, tie: &Tie, end: Time, t: Time) -> bool {
    tie.within.is_none_or(|w| t <= end.saturating_add(w))
        && (!tie.same_day || f.problem.day(t) == f.problem.day(end))
}
