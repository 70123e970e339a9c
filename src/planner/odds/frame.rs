//! What all runs share: the problem, the plan's order, and which step waits for which.

use chrono::{DateTime, Utc};

use super::OddsRequest;
use super::chances::{Guess, number};
use super::rounds::{Round, rounds};
use crate::planner::engine::{Lag, Problem, Time, Wait};
use crate::planner::items::{Prepared, rooms};
use crate::planner::map::{Mapped, map, minutes};
use crate::planner::plan::{Plan, minutes_of};
use crate::steps::{Light, Role, State, Step};

/// A step that must be over first.
#[derive(Clone, Copy)]
pub(super) struct Pred {
    pub(super) before: usize,
    pub(super) wait: Wait,
}

/// A step that must follow on the same day, or within a time.
pub(super) struct Tie {
    pub(super) then: usize,
    pub(super) wait: Wait,
    pub(super) within: Option<Time>,
    pub(super) same_day: bool,
    /// Steps that must be over before the first is begun, or it is begun in vain.
    pub(super) others: Vec<usize>,
}

/// A step over several pieces, which is done in parts where no session has room for all of them.
pub(super) struct Pieces {
    pub(super) left: i64,
    /// Ends of the stretches it may lie in, and the minutes of work that they have room for.
    pub(super) rooms: Vec<(Time, Time)>,
}

/// What is looked at of a step at every moment.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Asks {
    pub(super) calendar: Option<usize>,
    pub(super) hands: bool,
    pub(super) indoors: bool,
}

/// The class of what has to follow something in time: it is looked at before all others.
pub(super) const TIED: usize = 0;

/// The yard as the runs see it.
pub(super) struct Frame<'a> {
    pub(super) problem: Problem,
    pub(super) origin: DateTime<Utc>,
    pub(super) steps: Vec<&'a Step>,
    /// Takes part: open or begun, neither held back nor left out.
    pub(super) part: Vec<bool>,
    /// Takes part and counts for "in time".
    pub(super) due: Vec<bool>,
    pub(super) preds: Vec<Vec<Pred>>,
    pub(super) succs: Vec<Vec<usize>>,
    pub(super) ties: Vec<Vec<Tie>>,
    /// For each step, the steps whose tie it is at the end of.
    pub(super) tied_to: Vec<Vec<(usize, usize)>>,
    pub(super) rank: Vec<u32>,
    /// What is done in one session or begun again, and which of them a step is in.
    pub(super) rounds: Vec<Round>,
    pub(super) round_of: Vec<Option<usize>>,
    /// Of each resource, the rounds in which it stays off.
    pub(super) rounds_off: Vec<Vec<usize>>,
    /// Minutes of the longest session to come.
    pub(super) longest: Time,
    pub(super) asks: Vec<Asks>,
    /// Steps that ask for the same can be begun at the same moments: the class of each, and what a class asks for. What
    /// is tied to something is of class [`TIED`], whatever it asks for.
    pub(super) class: Vec<usize>,
    pub(super) classes: Vec<Asks>,
    /// Of steps with several pieces left.
    pub(super) pieces: Vec<Option<Pieces>>,
    /// Whom the plan gives each step, as bits.
    pub(super) planned: Vec<u64>,
    pub(super) key: Vec<u64>,
    pub(super) guess: Vec<Guess>,
    pub(super) session_key: Vec<u64>,
    pub(super) lost: Vec<f64>,
    /// Moments at which something may become possible, whatever is done.
    pub(super) moments: Vec<Time>,
    pub(super) lights_on: Time,
    /// Steps held back or left out: not counted.
    pub(super) not_counted: usize,
}

impl<'a> Frame<'a> {
    pub(super) fn new(ask: &OddsRequest<'a, '_>) -> Option<Self> {
        let OddsRequest { request, plan, followed, chances, without, .. } = *ask;
        let on = plan.lights_on.filter(|_| plan.told.sessions)?;
        let Prepared { calendar, equipment, items, bound, .. } = Prepared::new(request);
        let Mapped { mut problem, origin, worker_names, .. } =
            map(request, &calendar, &equipment, &items, &bound);
        let n = items.len();
        // The rest of a divided step is no step of its own: a run does the whole step, in parts.
        problem.activities.truncate(n);
        problem.edges.retain(|e| e.pred < n && e.succ < n);
        for (item, a) in items.iter().zip(&mut problem.activities).filter(|(i, _)| i.part.is_some()) {
            let of = item.step.of.unwrap_or(0);
            a.duration = minutes_of(item.step, of - item.done, of) as Time;
        }
        let pieces = items.iter().map(|i| {
            let left = i.step.of.filter(|_| i.state == State::Open).map_or(0, |of| of - i.done);
            // What lies after lights on helps nobody to be in time.
            let rooms = || {
                let all = rooms(request, &calendar, &equipment, i.step, origin);
                all.filter(|r| r.0 <= minutes(origin, on, false)).collect()
            };
            (left > 1).then(|| Pieces { left, rooms: rooms() })
        });
        let pieces = pieces.collect();
        let lights_on = minutes(origin, on, false);
        let out: Vec<bool> = items
            .iter()
            .map(|i| {
                let left_out = i.step.placement.is_some_and(|p| without.contains(&p));
                let watch = i.step.role == Role::Watch;
                i.state == State::Held || (i.state == State::Open && (left_out || watch))
            })
            .collect();
        let part: Vec<bool> = items
            .iter()
            .zip(&out)
            .map(|(i, out)| {
                let open = matches!(i.state, State::Open | State::Doing);
                open && !out
            })
            .collect();
        let due = (0..n)
            .map(|i| {
                let later = problem.activities.get(i).and_then(|a| a.release).is_some_and(|r| r >= lights_on);
                let counts =
                    items.get(i).is_some_and(|i| matches!(i.step.role, Role::Work | Role::Rehearsal));
                part.get(i) == Some(&true) && counts && !later
            })
            .collect();
        let steps: Vec<&Step> = items.iter().map(|i| &**i.step).collect();
        let (rounds, round_of) = rounds(&problem, &steps, &part);
        let ahead = problem.sessions.iter().map(|s| s.to - s.from.max(problem.now));
        let longest = ahead.max().unwrap_or(0);
        let mut frame = Self {
            rounds,
            round_of,
            rounds_off: Vec::new(),
            longest,
            lights_on,
            preds: vec![Vec::new(); n],
            succs: vec![Vec::new(); n],
            ties: (0..n).map(|_| Vec::new()).collect(),
            tied_to: vec![Vec::new(); n],
            rank: ranks(followed, &items),
            pieces,
            asks: items
                .iter()
                .zip(&problem.activities)
                .map(|(i, a)| Asks {
                    calendar: a.calendar,
                    hands: a.hands > 0,
                    indoors: i.step.light == Light::Indoors,
                })
                .collect(),
            class: Vec::new(),
            classes: Vec::new(),
            planned: items
                .iter()
                .map(|i| {
                    let people = followed.step(&i.step.key).map(|p| p.people.as_slice()).unwrap_or_default();
                    let at = |name: &String| worker_names.iter().position(|w| w == name);
                    people.iter().filter_map(at).fold(0, |bits, w| bits | bit(w))
                })
                .collect(),
            key: items.iter().map(|i| number(i.step.key.as_str().as_bytes())).collect(),
            guess: items.iter().map(|i| chances.guess(i.step)).collect(),
            session_key: calendar.sessions.iter().map(|s| number(s.id.0.as_bytes())).collect(),
            lost: calendar
                .sessions
                .iter()
                .map(|s| chances.lost_in(s.from.with_timezone(&calendar.zone)))
                .collect(),
            moments: Vec::new(),
            steps,
            not_counted: items.iter().zip(&out).filter(|(i, out)| **out && i.step.role == Role::Work).count(),
            part,
            due,
            origin,
            problem,
        };
        frame.order(&out);
        frame.surround();
        frame.tie();
        frame.classify();
        frame.moments();
        Some(frame)
    }

    /// Who waits for whom; what is left out or held back is bridged, its own wait falls away.
    fn order(&mut self, out: &[bool]) {
        let n = self.part.len();
        let mut direct: Vec<Vec<Pred>> = vec![Vec::new(); n];
        for e in &self.problem.edges {
            if let (Lag::FinishStart { wait, .. }, Some(list)) = (e.lag, direct.get_mut(e.succ)) {
                list.push(Pred { before: e.pred, wait });
            }
        }
        for i in 0..n {
            let mut seen = vec![false; n];
            let mut todo: Vec<Pred> = direct.get(i).cloned().unwrap_or_default();
            while let Some(p) = todo.pop() {
                if !out.get(p.before).copied().unwrap_or(false) {
                    if let Some(list) = self.preds.get_mut(i) {
                        list.push(p);
                    }
                    if let Some(list) = self.succs.get_mut(p.before) {
                        list.push(i);
                    }
                } else if seen.get_mut(p.before).is_some_and(|s| !std::mem::replace(s, true)) {
                    todo.extend(direct.get(p.before).into_iter().flatten());
                }
            }
        }
    }

    fn tie(&mut self) {
        let n = self.part.len();
        for e in &self.problem.edges {
            let Lag::FinishStart { wait, within, same_day } = e.lag else { continue };
            let both = self.part.get(e.pred) == Some(&true) && self.part.get(e.succ) == Some(&true);
            if !both || (within.is_none() && !same_day) {
                continue;
            }
            // What comes between the two may be open when the first is begun.
            let mut after = vec![false; n];
            let mut todo = vec![e.pred];
            while let Some(i) = todo.pop() {
                if after.get_mut(i).is_some_and(|a| !std::mem::replace(a, true)) {
                    todo.extend(self.succs.get(i).into_iter().flatten());
                }
            }
            let between = |p: usize| after.get(p).copied().unwrap_or(false);
            let others = self
                .preds
                .get(e.succ)
                .into_iter()
                .flatten()
                .map(|p| p.before)
                .filter(|p| !between(*p) && self.part.get(*p) == Some(&true))
                .collect();
            if let Some(list) = self.ties.get_mut(e.pred) {
                list.push(Tie { then: e.succ, wait, within, same_day, others });
                let nth = list.len() - 1;
                if let Some(back) = self.tied_to.get_mut(e.succ) {
                    back.push((e.pred, nth));
                }
            }
        }
        // Two that end in the same step at once don't wait for each other.
        let firsts: Vec<Vec<usize>> =
            self.tied_to.iter().map(|l| l.iter().map(|(p, _)| *p).collect()).collect();
        for tie in self.ties.iter_mut().flatten() {
            tie.others.retain(|o| !firsts.get(tie.then).is_some_and(|f| f.contains(o)));
        }
    }

    fn classify(&mut self) {
        let none = Asks { calendar: None, hands: false, indoors: false };
        let mut distinct: Vec<Asks> = self.asks.clone();
        distinct.sort_unstable();
        distinct.dedup();
        let class = |(asks, tied): (&Asks, &Vec<(usize, usize)>)| {
            if tied.is_empty() { 1 + distinct.binary_search(asks).unwrap_or(0) } else { TIED }
        };
        self.class = self.asks.iter().zip(&self.tied_to).map(class).collect();
        self.classes = std::iter::once(none).chain(distinct).collect();
    }

    fn moments(&mut self) {
        let p = &self.problem;
        let set_up = p.setup.place_minutes + p.setup.tool_minutes;
        let mut all: Vec<Time> = vec![p.now];
        all.extend(p.sessions.iter().map(|s| s.from));
        all.extend(p.workers.iter().flat_map(|w| w.present.iter().map(|s| s.0)));
        all.extend(p.activities.iter().filter_map(|a| a.release));
        for w in p.calendars.iter().flatten() {
            all.extend([w.from - set_up, w.from - p.setup.place_minutes, w.from]);
        }
        all.extend(p.midnights.iter().copied());
        all.retain(|t| *t >= p.now);
        all.sort_unstable();
        all.dedup();
        self.moments = all;
    }
}

/// The plan's order; what it could not place comes last.
fn ranks(plan: &Plan, items: &[crate::planner::map::Item]) -> Vec<u32> {
    let at: std::collections::BTreeMap<_, u32> =
        plan.steps.iter().zip(0..).map(|(p, n)| (&p.step.key, n)).collect();
    items.iter().map(|i| at.get(&i.step.key).copied().unwrap_or(u32::MAX)).collect()
}

pub(super) const fn bit(worker: usize) -> u64 {
    if worker < 64 { 1 << worker } else { 0 }
}
