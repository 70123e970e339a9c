//! Rounds of a box and tests that run by themselves: done in one session, and begun again where they were left.

use super::frame::Frame;
use super::run::{At, MOST_REPEATS, Run};
use crate::domain::StepDeed;
use crate::planner::engine::{FAR, Mode, Problem, Time, Window};
use crate::steps::Step;

/// What is done in one session, or begun again.
pub(super) struct Round {
    pub(super) items: Vec<usize>,
    /// The box that stays off meanwhile.
    off: Option<usize>,
    /// What is done again where it was left: off, tag and look, or the start of the test.
    again: Vec<usize>,
    /// What must be over or running before it is begun, or it would stand half done.
    outside: Vec<usize>,
}

/// The rounds of a problem, and which each step is in.
pub(super) fn rounds(p: &Problem, steps: &[&Step], part: &[bool]) -> (Vec<Round>, Vec<Option<usize>>) {
    let (mut all, mut of) = (Vec::new(), vec![None; part.len()]);
    for s in &p.stretches {
        let items: Vec<usize> = s.activities.iter().copied().filter(|i| *i < part.len()).collect();
        let starts = |i: &usize| {
            items.iter().any(|k| p.activities.get(*k).and_then(|a| a.run).is_some_and(|r| r.from == *i))
        };
        let deed = |i: &usize| steps.get(*i).map(|s| s.deed);
        let again = |i: &&usize| {
            starts(i) || (s.off.is_some() && matches!(deed(i), Some(StepDeed::Power | StepDeed::Check)))
        };
        let again: Vec<usize> = items.iter().filter(again).copied().collect();
        if again.is_empty() || !items.iter().any(|i| part.get(*i) == Some(&true)) {
            continue;
        }
        for i in &items {
            if let Some(x) = of.get_mut(*i) {
                *x = Some(all.len());
            }
        }
        all.push(Round { items, off: s.off, again, outside: Vec::new() });
    }
    (all, of)
}

impl Frame<'_> {
    /// What each round waits for, once it is known who waits for whom: none of what comes after it.
    pub(super) fn surround(&mut self) {
        let mut rounds = std::mem::take(&mut self.rounds);
        for round in &mut rounds {
            let mut after = vec![false; self.part.len()];
            let mut todo = round.items.clone();
            while let Some(i) = todo.pop() {
                if after.get_mut(i).is_some_and(|a| !std::mem::replace(a, true)) {
                    todo.extend(self.succs.get(i).into_iter().flatten());
                }
            }
            let before = round.items.iter().flat_map(|i| self.preds.get(*i).into_iter().flatten());
            let free =
                |q: &usize| !after.get(*q).copied().unwrap_or(true) && self.part.get(*q) == Some(&true);
            round.outside = before.map(|p| p.before).filter(free).collect();
        }
        self.rounds_off = vec![Vec::new(); self.problem.resources.len()];
        for (k, round) in rounds.iter().enumerate() {
            if let Some(of) = round.off.and_then(|r| self.rounds_off.get_mut(r)) {
                of.push(k);
            }
        }
        self.rounds = rounds;
    }

    fn round(&self, i: usize) -> Option<&Round> {
        self.rounds.get((*self.round_of.get(i)?)?)
    }
}

impl Run<'_, '_> {
    fn begun(&self, i: usize) -> bool {
        let done = || {
            let fixed = self.f.problem.activities.get(i).and_then(|a| a.fixed.as_ref());
            fixed.is_some_and(|f| f.done)
        };
        matches!(self.at.get(i), Some(At::Over | At::Runs)) || (self.at.get(i) == Some(&At::Out) && done())
    }

    /// What is done again before `i`, as its round was left when the session of its last off, look or start was over.
    pub(super) fn left_round(&self, i: usize) -> Vec<usize> {
        let window = self.f.asks.get(i).and_then(|a| self.window(a));
        let (Some(round), Some(session)) = (self.f.round(i), window.map(|w| w.session)) else {
            return Vec::new();
        };
        let stale = |k: &usize| {
            let own = self.session.get(*k).copied().flatten();
            self.at.get(*k) == Some(&At::Over)
                && own.is_some_and(|s| s != session)
                && self.repeats.get(*k).is_some_and(|r| *r < MOST_REPEATS)
        };
        if !round.again.iter().any(stale) || stale(&i) {
            return Vec::new();
        }
        round.again.iter().copied().filter(stale).collect()
    }

    /// Is the box of `a` in a round that is begun and not over in this session?
    pub(super) fn in_round(&self, i: usize, session: u32) -> bool {
        let Some(a) = self.f.problem.activities.get(i) else { return false };
        let own = self.f.round_of.get(i).copied().flatten();
        a.modes.iter().filter(|m| m.1 == Mode::On).any(|(r, _)| {
            self.f.rounds_off.get(*r).into_iter().flatten().filter(|k| own != Some(**k)).any(|k| {
                let here =
                    |k: &usize| self.begun(*k) && self.session.get(*k).copied().flatten() == Some(session);
                let open = |k: &usize| self.at.get(*k) == Some(&At::Waits);
                let round = self.f.rounds.get(*k);
                round.is_some_and(|round| round.again.iter().any(here) && round.items.iter().any(open))
            })
        })
    }

    /// Has the window room for all of the round that `i` begins? Where none has, it is begun all the same.
    pub(super) fn round_fits(&self, i: usize, window: &Window, now: Time) -> bool {
        let Some(round) = self.f.round(i) else { return true };
        let here =
            |k: &usize| self.begun(*k) && self.session.get(*k).copied().flatten() == Some(window.session);
        if round.again.iter().any(here) {
            return true;
        }
        // What runs will be over when it is asked for.
        if round.outside.iter().any(|q| self.at.get(*q) == Some(&At::Waits)) {
            return false;
        }
        let minutes = |k: &usize| self.minutes.get(*k).copied().unwrap_or(0);
        let open = || round.items.iter().filter(|k| self.at.get(**k) == Some(&At::Waits));
        // One after the other is switched, looked at and lit; what is connected, all who are there share.
        let one_by_one = |k: &&usize| round.again.contains(k) || round.items.last() == Some(k);
        let shared: Time = open().filter(|k| !one_by_one(k)).map(minutes).sum();
        let people = self.stays.iter().filter(|until| **until > now).count().max(1) as Time;
        let work = open().filter(one_by_one).map(minutes).sum::<Time>() + (shared + people - 1) / people;
        // What runs by itself takes its minutes too.
        let waits = round.items.iter().flat_map(|k| self.f.preds.get(*k).into_iter().flatten());
        let waits = waits.filter(|p| round.again.contains(&p.before)).map(|p| p.wait.minutes);
        let needed = work + waits.max().unwrap_or(0);
        let until = self.f.problem.sessions.get(window.session as usize).map_or(FAR, |s| s.to.min(window.to));
        now + needed <= until || needed > self.f.longest
    }
}
