//! A schedule being built: where activities are, what owners do, what is free.

use super::model::Model;
use super::profile::Profile;
use super::rows::{Entry, NO_SESSION, NOWHERE, Row};
use crate::planner::engine::problem::{Mode, Time};

/// Not placed.
pub(super) const UNSET: Time = Time::MIN;

/// Where one activity is; `start` is [`UNSET`] until it is placed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub(super) start: Time,
    pub(super) end: Time,
    pub(super) setup: Time,
    pub(super) session: u32,
    /// Bits of its workers.
    pub(super) workers: u64,
    pub(super) units: [u16; 4],
    /// The set-up minutes kept free cover a move of its workers, of its units.
    pub(super) pays_place: bool,
    pub(super) pays_tool: bool,
}

impl Spot {
    pub(super) const NONE: Self = Self {
        start: UNSET,
        end: UNSET,
        setup: 0,
        session: NO_SESSION,
        workers: 0,
        units: [u16::MAX; 4],
        pays_place: false,
        pays_tool: false,
    };

    pub(super) fn placed(&self) -> bool {
        self.start != UNSET
    }
}

/// When a two-mode resource is kept in a mode.
#[derive(Clone, Copy, Debug)]
pub(super) struct ModeRun {
    pub(super) start: Time,
    pub(super) end: Time,
    pub(super) mode: Mode,
}

#[derive(Debug)]
pub(super) struct State {
    pub(super) spots: Vec<Spot>,
    /// Workers, then units.
    pub(super) rows: Vec<Row>,
    /// Minutes of work a worker has.
    pub(super) load: Vec<Time>,
    pub(super) profiles: Vec<Profile>,
    /// Sorted by start; runs of one mode may overlap.
    pub(super) modes: Vec<Vec<ModeRun>>,
    /// By session and place with something that comes before all that is up there: ends of what comes before, starts
    /// of what is up.
    climbs: Vec<[Vec<Time>; 2]>,
    /// Longest free stretch by session and worker, and the same with the longest of each session first.
    gaps: Vec<Time>,
    longest: Vec<Time>,
    /// By session and place: how much there was done by workers, with units.
    seen: Vec<[u16; 2]>,
    sessions: usize,
}

impl Clone for State {
    fn clone(&self) -> Self {
        Self {
            spots: self.spots.clone(),
            rows: self.rows.clone(),
            load: self.load.clone(),
            profiles: self.profiles.clone(),
            modes: self.modes.clone(),
            climbs: self.climbs.clone(),
            gaps: self.gaps.clone(),
            longest: self.longest.clone(),
            seen: self.seen.clone(),
            sessions: self.sessions,
        }
    }

    /// Without giving back the memory: done once a schedule.
    fn clone_from(&mut self, o: &Self) {
        self.spots.clone_from(&o.spots);
        for (own, row) in self.rows.iter_mut().zip(&o.rows) {
            own.entries.clone_from(&row.entries);
        }
        self.load.clone_from(&o.load);
        for (own, profile) in self.profiles.iter_mut().zip(&o.profiles) {
            own.copy(profile);
        }
        for (own, runs) in self.modes.iter_mut().zip(&o.modes) {
            own.clone_from(runs);
        }
        for (own, climb) in self.climbs.iter_mut().zip(&o.climbs) {
            own[0].clone_from(&climb[0]);
            own[1].clone_from(&climb[1]);
        }
        self.gaps.clone_from(&o.gaps);
        self.longest.clone_from(&o.longest);
        self.seen.clone_from(&o.seen);
    }
}

impl State {
    /// With all fixed work in place.
    pub(super) fn new(m: &Model) -> Self {
        let p = m.p;
        let sessions = p.sessions.len();
        let mut s = Self {
            spots: vec![Spot::NONE; m.n],
            rows: vec![Row::default(); p.workers.len() + p.units],
            load: vec![0; p.workers.len()],
            profiles: p.resources.iter().map(Profile::new).collect(),
            modes: vec![Vec::new(); p.mode_resources],
            climbs: vec![[Vec::new(), Vec::new()]; (sessions + 1) * m.climb_places],
            gaps: vec![0; p.workers.len() * sessions],
            longest: vec![0; p.workers.len() * sessions],
            seen: vec![[0; 2]; (sessions + 1) * m.places],
            sessions,
        };
        for (i, a) in p.activities.iter().enumerate() {
            let Some(f) = &a.fixed else { continue };
            let mut units = [u16::MAX; 4];
            for (slot, u) in units.iter_mut().zip(&f.units) {
                *slot = *u as u16;
            }
            let spot = Spot {
                start: f.start,
                end: f.end,
                setup: 0,
                session: f.session.unwrap_or(NO_SESSION),
                workers: f.workers.iter().fold(0, |m, w| m | 1 << w),
                units,
                ..Spot::NONE
            };
            s.spots[i] = spot;
            s.enter(m, i, spot);
            if !f.done {
                s.take(m, i, spot);
            }
            s.hold(m, i, spot, 1);
        }
        for w in 0..p.workers.len() {
            for k in 0..sessions {
                s.refresh_gap(m, w, k as u32);
            }
        }
        s
    }

    fn refresh_gap(&mut self, m: &Model, w: usize, session: u32) {
        let (from, to) = m.bounds(session);
        let present = &m.p.workers[w].present;
        let i = present.partition_point(|x| x.1 <= from);
        let mut best = 0;
        for (a, b) in present[i..].iter().take_while(|x| x.0 < to) {
            best = best.max(self.rows[w].longest_gap(from.max(*a), to.min(*b)));
        }
        let own = self.workers_of(session);
        self.gaps[own.start + w] = best;
        self.longest[own.clone()].copy_from_slice(&self.gaps[own.clone()]);
        self.longest[own].sort_unstable_by(|a, b| b.cmp(a));
    }

    fn workers_of(&self, session: u32) -> std::ops::Range<usize> {
        let from = session as usize * self.load.len();
        from..from + self.load.len()
    }

    /// Upper bound of the longest stretch for which a worker is free in a session.
    pub(super) fn gap(&self, w: usize, session: u32) -> Time {
        if session == NO_SESSION { Time::MAX } else { self.gaps[self.workers_of(session).start + w] }
    }

    /// Are so many workers, whoever, free for so many minutes in a session, each at a time of their own?
    pub(super) fn free(&self, session: u32, many: u32, minutes: Time) -> bool {
        let Some(last) = (many as usize).checked_sub(1) else { return true };
        if session == NO_SESSION {
            return last < self.load.len();
        }
        self.longest[self.workers_of(session)].get(last).is_some_and(|t| *t >= minutes)
    }

    fn enter(&mut self, m: &Model, i: usize, spot: Spot) {
        let a = &m.p.activities[i];
        let entry = Entry {
            lead: spot.start - spot.setup,
            start: spot.start,
            end: spot.end,
            place: a.place.unwrap_or(NOWHERE),
            session: spot.session,
            activity: i as u32,
            paid: false,
            // What is over can't be done otherwise.
            up: a.up && !a.fixed.as_ref().is_some_and(|f| f.done),
        };
        if !a.fixed.as_ref().is_some_and(|f| f.done)
            && let Some(c) = m.climb(i)
        {
            let climb = self.climb_of(m, c, spot.session);
            if a.before_up {
                climb[0].push(spot.end);
            } else {
                climb[1].push(spot.start);
            }
        }
        if a.place.is_some() {
            let k = self.seen_at(m, i, spot.session);
            self.seen[k][0] += u16::from(spot.workers != 0);
            self.seen[k][1] += u16::from(spot.units[0] != u16::MAX);
        }
        for w in bits(spot.workers) {
            self.rows[w].insert(Entry { paid: spot.pays_place, place: m.worker_place(i), ..entry });
        }
        for u in spot.units.iter().filter(|u| **u != u16::MAX) {
            self.rows[m.p.workers.len() + usize::from(*u)].insert(Entry { paid: spot.pays_tool, ..entry });
        }
    }

    fn climb_of(&mut self, m: &Model, climb: usize, session: u32) -> &mut [Vec<Time>; 2] {
        &mut self.climbs[(session as usize).min(self.sessions) * m.climb_places + climb]
    }

    /// From when on somebody may go up at the place of `i` in a session, and by when all before it must be over.
    pub(super) fn climb_bounds(&self, m: &Model, i: usize, session: u32) -> (Time, Time) {
        let Some(c) = m.climb(i) else { return (Time::MIN, Time::MAX) };
        let [before, up] = &self.climbs[(session as usize).min(self.sessions) * m.climb_places + c];
        let from = before.iter().copied().max().unwrap_or(Time::MIN);
        (from, up.iter().copied().min().unwrap_or(Time::MAX))
    }

    /// Keeps a two-mode resource off during `from..to`.
    pub(super) fn keep_off(&mut self, resource: usize, from: Time, to: Time) {
        if from < to {
            let runs = &mut self.modes[resource];
            let k = runs.partition_point(|x| x.start <= from);
            runs.insert(k, ModeRun { start: from, end: to, mode: Mode::Off });
        }
    }

    /// Keeps it off no longer.
    pub(super) fn let_go(&mut self, resource: usize, from: Time, to: Time) {
        let runs = &mut self.modes[resource];
        let own = |x: &ModeRun| (x.start, x.end, x.mode) == (from, to, Mode::Off);
        if let Some(k) = runs.iter().rposition(own) {
            runs.remove(k);
        }
    }

    fn seen_at(&self, m: &Model, i: usize, session: u32) -> usize {
        (session as usize).min(self.sessions) * m.places + m.place[i]
    }

    /// Could `i` be done in this session without a move of its workers, of its units?
    pub(super) fn been(&self, m: &Model, i: usize, session: u32) -> (bool, bool) {
        let seen = self.seen[self.seen_at(m, i, session)];
        (seen[0] > 0, seen[1] > 0)
    }

    /// Takes an activity out again that [`State::put`] put there.
    pub(super) fn take_back(&mut self, m: &Model, i: usize) {
        let spot = std::mem::replace(&mut self.spots[i], Spot::NONE);
        let a = &m.p.activities[i];
        if a.place.is_some() {
            let k = self.seen_at(m, i, spot.session);
            self.seen[k][0] -= u16::from(spot.workers != 0);
            self.seen[k][1] -= u16::from(spot.units[0] != u16::MAX);
        }
        if let Some(c) = m.climb(i) {
            let climb = self.climb_of(m, c, spot.session);
            let (list, t) = if a.before_up { (&mut climb[0], spot.end) } else { (&mut climb[1], spot.start) };
            if let Some(k) = list.iter().rposition(|x| *x == t) {
                list.swap_remove(k);
            }
        }
        for u in spot.units.iter().filter(|u| **u != u16::MAX) {
            self.rows[m.p.workers.len() + usize::from(*u)].remove(i as u32, spot.start);
        }
        self.demand(m, i, spot, -1);
        if spot.start < spot.end {
            for (r, _) in &a.modes {
                let runs = &mut self.modes[*r];
                if let Some(k) = runs.iter().rposition(|x| (x.start, x.end) == (spot.start, spot.end)) {
                    runs.remove(k);
                }
            }
        }
        self.hold(m, i, spot, -1);
        for w in bits(spot.workers) {
            self.rows[w].remove(i as u32, spot.start);
            self.load[w] -= spot.end - spot.start;
            if spot.session != NO_SESSION {
                self.refresh_gap(m, w, spot.session);
            }
        }
    }

    fn demand(&mut self, m: &Model, i: usize, spot: Spot, sign: i32) {
        for (r, amount) in &m.p.activities[i].demands {
            let lead = if m.p.resources[*r].with_setup { spot.setup } else { 0 };
            self.profiles[*r].take(spot.start - lead, spot.end, sign * *amount);
        }
    }

    fn take(&mut self, m: &Model, i: usize, spot: Spot) {
        let a = &m.p.activities[i];
        self.demand(m, i, spot, 1);
        if spot.start < spot.end {
            for (r, mode) in &a.modes {
                let runs = &mut self.modes[*r];
                let k = runs.partition_point(|x| x.start <= spot.start);
                runs.insert(k, ModeRun { start: spot.start, end: spot.end, mode: *mode });
            }
        }
    }

    fn hold(&mut self, m: &Model, i: usize, spot: Spot, sign: i32) {
        self.keep_running(m, i, spot, sign);
        for h in &m.p.activities[i].holds {
            let session = Some(spot.session).filter(|s| *s != NO_SESSION);
            let until = spot.end.saturating_add(m.p.wait(h.wait, session));
            self.profiles[h.resource].take(
                if h.from_start { spot.start } else { spot.end },
                until,
                sign * h.amount,
            );
        }
    }

    /// Puts an activity where it was found to fit.
    pub(super) fn put(&mut self, m: &Model, i: usize, spot: Spot) {
        self.spots[i] = spot;
        self.enter(m, i, spot);
        self.take(m, i, spot);
        self.hold(m, i, spot, 1);
        for w in bits(spot.workers) {
            self.load[w] += spot.end - spot.start;
            if spot.session != NO_SESSION {
                self.refresh_gap(m, w, spot.session);
            }
        }
    }
}

/// The numbers of the set bits, rising.
pub(super) fn bits(mut mask: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        if mask == 0 {
            return None;
        }
        let i = mask.trailing_zeros() as usize;
        mask &= mask - 1;
        Some(i)
    })
}
