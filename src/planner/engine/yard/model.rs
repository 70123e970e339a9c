//! A problem made ready for decoding: neighbours, order, tails, set-up levels.

use super::blocks::{Block, blocks};
use super::rows::{INSIDE, NOWHERE};
use crate::planner::engine::order;
use crate::planner::engine::problem::{FAR, Lag, Problem, ProblemError, Session, Time, Window};

/// One step of what a move may cost: which kinds of move are paid.
#[derive(Clone, Copy, Debug)]
pub(super) struct Level {
    pub(super) minutes: Time,
    pub(super) place: bool,
    pub(super) tool: bool,
}

pub(super) struct Model<'a> {
    pub(super) p: &'a Problem,
    pub(super) n: usize,
    pub(super) order: Vec<usize>,
    pub(super) preds: Vec<Vec<(usize, Lag)>>,
    pub(super) succs: Vec<Vec<(usize, Lag)>>,
    /// Longest path of durations and waits from an activity's start to the end.
    pub(super) tail: Vec<Time>,
    /// Cheapest first.
    pub(super) levels: [Level; 4],
    /// For each level as the most costly one: minutes of the cheapest move of people, of tools; `None`: not allowed.
    pub(super) cheapest: [(Option<Time>, Option<Time>); 4],
    /// Successors bound by a latest time or the same day.
    pub(super) tight: Vec<Vec<usize>>,
    /// Sessions in which something is done or begun already.
    pub(super) used: Vec<bool>,
    /// What is placed together or not at all, and the block of each activity.
    pub(super) blocks: Vec<Block>,
    pub(super) block_of: Vec<Option<u16>>,
    /// For each place with activities that come before all that is up there: where that is kept.
    pub(super) climb_at: Vec<Option<u16>>,
    pub(super) climb_places: usize,
    /// How many places there are, and each activity's among them.
    pub(super) places: usize,
    pub(super) place: Vec<usize>,
    /// The activities of each place that are not fixed.
    pub(super) at_place: Vec<Vec<u32>>,
    pub(super) end_of_time: Time,
    /// Lies on a circle of waits.
    pub(super) circle: Vec<bool>,
    /// Is never placed: held, or on a circle.
    pub(super) out: Vec<bool>,
    /// Nothing may start before what it waits for.
    pub(super) forward: bool,
}

impl<'a> Model<'a> {
    pub(super) fn new(p: &'a Problem) -> Result<Self, ProblemError> {
        order::check(p)?;
        let (_, circle) = order::order_and_circles(p);
        let n = p.activities.len();
        let (blocks, block_of, first) = blocks(p, &circle);
        let pairs: Vec<(usize, usize)> =
            p.edges.iter().map(|e| (e.pred, e.succ)).chain(first.iter().copied()).collect();
        let (order, _) = order::order_of(n, &pairs);
        let out: Vec<bool> =
            p.activities.iter().zip(&circle).map(|(a, c)| a.held || (*c && a.fixed.is_none())).collect();
        let mut preds = vec![Vec::new(); n];
        let mut succs = vec![Vec::new(); n];
        let mut tight = vec![Vec::new(); n];
        // Edges among what is never placed would only close the circle again.
        for e in p.edges.iter().filter(|e| !(circle[e.pred] && circle[e.succ])) {
            preds[e.succ].push((e.pred, e.lag));
            succs[e.pred].push((e.succ, e.lag));
            if matches!(e.lag, Lag::FinishStart { within, same_day, .. } if within.is_some() || same_day) {
                tight[e.pred].push(e.succ);
            }
        }
        // Only the order is asked for: a block is begun when all that it waits for is placed.
        for (q, i) in first {
            preds[i].push((q, Lag::StartStart { min: -FAR }));
            succs[q].push((i, Lag::StartStart { min: -FAR }));
        }
        let mut tail = vec![0; n];
        for i in order.iter().rev() {
            let own = p.activities[*i].duration;
            let after = |(s, lag): &(usize, Lag)| match lag {
                Lag::FinishStart { wait, .. } => own.saturating_add(wait.minutes).saturating_add(tail[*s]),
                Lag::StartStart { min } => min.saturating_add(tail[*s]),
            };
            let far = succs[*i].iter().map(after).max().unwrap_or(0);
            tail[*i] = far.max(own);
        }
        let s = p.setup;
        let mut levels =
            [(false, false), (true, false), (false, true), (true, true)].map(|(place, tool)| Level {
                minutes: if place { s.place_minutes } else { 0 } + if tool { s.tool_minutes } else { 0 },
                place,
                tool,
            });
        levels.sort_by_key(|l| (l.minutes, l.place, l.tool));
        let cheapest = [0, 1, 2, 3].map(|most| {
            let least = |paid: fn(&Level) -> bool| {
                levels[..=most].iter().filter(|l| paid(l)).map(|l| l.minutes).min()
            };
            (least(|l| l.place), least(|l| l.tool))
        });
        let end_of_time = p.sessions.iter().map(|s| s.to).max().unwrap_or(FAR);
        let mut all: Vec<u32> = p.activities.iter().filter_map(|a| a.place).collect();
        all.sort_unstable();
        all.dedup();
        let place: Vec<usize> = p
            .activities
            .iter()
            .map(|a| a.place.and_then(|x| all.binary_search(&x).ok()).unwrap_or(0))
            .collect();
        let mut at_place = vec![Vec::new(); all.len().max(1)];
        for (i, _) in p.activities.iter().enumerate().filter(|(_, a)| a.place.is_some() && a.fixed.is_none())
        {
            at_place[place[i]].push(i as u32);
        }
        let mut climb_at = vec![None; all.len().max(1)];
        let mut climb_places = 0;
        for (i, _) in p.activities.iter().enumerate().filter(|(_, a)| a.before_up && a.place.is_some()) {
            if climb_at[place[i]].is_none() {
                climb_at[place[i]] = u16::try_from(climb_places).ok();
                climb_places += 1;
            }
        }
        // People are there already in the session that runs: it costs nothing more and is not given up.
        let runs = |s: &Session| s.from < p.now && p.now < s.to;
        let mut used: Vec<bool> = p.sessions.iter().map(runs).collect();
        for s in p.activities.iter().filter_map(|a| a.fixed.as_ref()?.session) {
            if let Some(u) = used.get_mut(s as usize) {
                *u = true;
            }
        }
        let forward = p.edges.iter().all(|e| match e.lag {
            Lag::FinishStart { wait, .. } => {
                let table = wait.table.and_then(|t| p.wait_tables.get(t));
                wait.minutes >= 0 && table.is_none_or(|t| t.iter().all(|w| *w >= 0))
            }
            Lag::StartStart { min } => min >= 0,
        });
        Ok(Self {
            forward,
            circle,
            out,
            used,
            blocks,
            block_of,
            climb_at,
            climb_places,
            places: all.len().max(1),
            place,
            at_place,
            p,
            n,
            order,
            preds,
            succs,
            tail,
            levels,
            cheapest,
            tight,
            end_of_time,
        })
    }

    /// The windows of an activity; one endless window where it has no calendar.
    pub(super) fn windows(&self, a: usize) -> &[Window] {
        const ANY: [Window; 1] = [Window { from: -FAR, to: FAR, session: super::rows::NO_SESSION }];
        self.p.activities[a].calendar.map_or(&ANY, |c| &self.p.calendars[c])
    }

    /// Where an activity's floor is kept, see [`super::genes::Genes::floor`].
    pub(super) fn kind(&self, a: usize) -> usize {
        2 * self.place[a] + usize::from(!self.p.activities[a].tools.is_empty())
    }

    /// Where a worker is during an activity.
    pub(super) fn worker_place(&self, a: usize) -> u32 {
        let inside = if self.p.setup.inside_breaks { INSIDE } else { NOWHERE };
        self.p.activities[a].place.unwrap_or(inside)
    }

    /// Where the climbs at an activity's place are kept, see [`super::state::State::climbs`].
    pub(super) fn climb(&self, a: usize) -> Option<usize> {
        let own = &self.p.activities[a];
        own.place.filter(|_| own.up || own.before_up)?;
        self.climb_at[self.place[a]].map(usize::from)
    }

    /// The bounds of a session; set-up lies within them too.
    pub(super) fn bounds(&self, session: u32) -> (Time, Time) {
        self.p.sessions.get(session as usize).map_or((-FAR, FAR), |s| (s.from, s.to))
    }

    /// The earliest start after placed predecessors, given their start, end and session.
    pub(super) fn ready(
        &self,
        a: usize,
        now: Time,
        place: impl Fn(usize) -> Option<(Time, Time, Option<u32>)>,
    ) -> Result<Time, usize> {
        let mut est = self.p.activities[a].release.unwrap_or(now).max(now);
        for (q, lag) in &self.preds[a] {
            let Some((start, end, session)) = place(*q) else { return Err(*q) };
            est = est.max(match lag {
                Lag::FinishStart { wait, .. } => end.saturating_add(self.p.wait(*wait, session)),
                Lag::StartStart { min } => start.saturating_add(*min),
            });
        }
        Ok(est)
    }
}
