//! Serial schedule generation: one activity after the other, each as early (or as cheaply) as its genes ask.
//!
//! R. Kolisch, "Serial and parallel resource-constrained project scheduling methods revisited", EJOR 90 (1996)
//! 320-333: an activity list decoded in order, each activity at its first feasible start; here with gaps filled.

use super::crew::Choice;
use super::genes::{Genes, LEFT_OUT};
use super::model::Model;
use super::rows::{NO_SESSION, Stand};
use super::state::{Spot, State};
use crate::planner::engine::problem::{Activity, FAR, Time, Worker};

/// How often a decode may go back to push a predecessor later for the sake of a latest time.
const MOST_PUSHES: usize = 24;

/// What is asked of [`Decoder::find`]: when it may start, how many windows it leaves out, in which session alone, and
/// whether it may wait for cheaper places.
pub(super) struct Ask {
    pub(super) est: Time,
    pub(super) lst: Time,
    pub(super) skip: u8,
    pub(super) only: Option<u32>,
    pub(super) patient: bool,
}

/// Scratch space of the decoder, used again for each schedule.
pub(super) struct Decoder<'m, 'p> {
    pub(super) m: &'m Model<'p>,
    base: State,
    pub(super) state: State,
    pub(super) stands: Vec<Option<Stand>>,
    pub(super) push: Vec<Time>,
    pub(super) tried: Vec<bool>,
    /// What was tried, in that order; `marks` has its length before each position of the list, `at` the position at
    /// which an activity was tried.
    trail: Vec<u32>,
    marks: Vec<u32>,
    at: Vec<u32>,
    pub(super) stack: Vec<usize>,
}

impl<'m, 'p> Decoder<'m, 'p> {
    pub(super) fn new(m: &'m Model<'p>) -> Self {
        let base = State::new(m);
        Self {
            m,
            state: base.clone(),
            stands: vec![None; base.rows.len()],
            base,
            push: vec![Time::MIN; m.n],
            tried: vec![false; m.n],
            trail: Vec::with_capacity(m.n),
            marks: vec![0; m.n + 1],
            at: vec![0; m.n],
            stack: Vec::new(),
        }
    }

    /// Places what can be placed, in the order of the genes.
    pub(super) fn decode(&mut self, g: &Genes) {
        self.push.fill(Time::MIN);
        self.tried.fill(false);
        self.trail.clear();
        self.state.clone_from(&self.base);
        let mut pushes = 0;
        let mut k = 0;
        while let Some(first) = g.list.get(k) {
            self.marks[k] = self.trail.len() as u32;
            match self.step(k, *first as usize, g, pushes < MOST_PUSHES) {
                None => k += 1,
                // All before it stands as it was: only what came from there on is decoded again.
                Some(q) => {
                    pushes += 1;
                    k = self.at[q] as usize;
                    self.back_to(k);
                }
            }
        }
    }

    /// Takes back whatever was placed from position `k` of the list on.
    fn back_to(&mut self, k: usize) {
        while self.trail.len() > self.marks[k] as usize {
            let Some(i) = self.trail.pop().map(|i| i as usize) else { break };
            self.tried[i] = false;
            if self.m.p.activities[i].fixed.is_none() && self.state.spots[i].placed() {
                self.open_block(i);
                self.state.take_back(self.m, i);
            }
        }
    }

    /// One position of the list and what follows it at once; the activity that was pushed later, if one was.
    fn step(&mut self, k: usize, first: usize, g: &Genes, may_push: bool) -> Option<usize> {
        let m = self.m;
        self.stack.clear();
        self.stack.push(first);
        while let Some(i) = self.stack.pop() {
            let a = &m.p.activities[i];
            if self.tried[i] || m.out[i] {
                continue;
            }
            if let Some(b) = m.block_of[i].map(usize::from) {
                if self.block_ready(b) {
                    let head = m.blocks[b].items.first().copied();
                    if !self.place_block(b, g)
                        && may_push
                        && let Some(q) = head.and_then(|i| self.push_block(b, i, g))
                    {
                        return Some(q);
                    }
                    for i in m.blocks[b].items.iter().copied() {
                        self.try_once(i, k);
                        if g.eager {
                            self.stack.extend(m.tight[i].iter().rev());
                        }
                    }
                }
                continue;
            }
            if self.waits(i) {
                continue;
            }
            self.try_once(i, k);
            if a.fixed.is_none() {
                if g.skip[i] == LEFT_OUT {
                    continue;
                }
                let Some(est) = self.ready(i) else { continue };
                let (lst, by) = self.latest(i);
                let ask = Ask { est, lst, skip: g.skip[i], only: None, patient: true };
                if let Some(spot) = self.find(i, &ask, g) {
                    self.state.put(m, i, spot);
                    if a.before_up && g.eager {
                        self.with_mates(i, k, spot.session, g);
                    }
                } else if let Some(q) = by.filter(|_| may_push)
                    && self.push_back(i, q, est, g)
                {
                    return Some(q);
                }
            }
            // What is bound by a latest time comes at once, before others take its place.
            if g.eager {
                self.stack.extend(m.tight[i].iter().rev());
            }
        }
        None
    }

    pub(super) fn try_once(&mut self, i: usize, k: usize) {
        self.tried[i] = true;
        self.trail.push(i as u32);
        self.at[i] = k as u32;
    }

    /// Is something before it still to be tried?
    pub(super) fn waits(&self, i: usize) -> bool {
        let waits = |q: usize| !self.tried[q] && !self.state.spots[q].placed() && !self.m.out[q];
        self.m.preds[i].iter().any(|(q, _)| waits(*q))
    }

    pub(super) fn ready(&self, i: usize) -> Option<Time> {
        let est = self.m.ready(i, self.m.p.now, |q| {
            let s = self.state.spots[q];
            s.placed().then_some((s.start, s.end, Some(s.session).filter(|x| *x != NO_SESSION)))
        });
        est.ok().map(|t| t.max(self.push[i]))
    }

    /// The first place from `est` on, not after `lst`; cheaper ones first where the genes ask for patience.
    pub(super) fn find(&mut self, i: usize, ask: &Ask, g: &Genes) -> Option<Spot> {
        let (est, lst) = (ask.est, ask.lst);
        let levels = self.m.levels.len();
        let a = &self.m.p.activities[i];
        let moving = a.place.is_some() && (a.hands > 0 || a.skills != 0 || !a.tools.is_empty());
        let patience = if moving && ask.patient {
            usize::from(g.cap.get(i).copied().unwrap_or(3)).min(levels - 1)
        } else {
            levels - 1
        };
        // A floor is a wish: what does not fit above it by the end of patience comes when it can.
        let floor = if moving && ask.patient { g.floor[self.m.kind(i)].max(g.wait[i]) } else { est };
        // Patience ends at the comfort time: later work would cost a higher goal.
        let patient = lst.min(g.patient_until - self.m.tail[i]);
        if floor > est {
            for most in patience..levels {
                if let Some(s) = self.find_capped(i, (floor, patient), most, true, ask, g) {
                    return Some(s);
                }
            }
        }
        for most in patience..levels {
            if let Some(s) = self.find_capped(i, (est, patient), most, true, ask, g) {
                return Some(s);
            }
        }
        self.find_capped(i, (est, lst), levels - 1, false, ask, g)
    }

    fn find_capped(
        &mut self,
        i: usize,
        (est, lst): (Time, Time),
        most: usize,
        patient: bool,
        ask: &Ask,
        g: &Genes,
    ) -> Option<Spot> {
        let m = self.m;
        let a = &m.p.activities[i];
        let hands = hands(a);
        let moving = hands > 0 || !a.tools.is_empty();
        let windows = m.windows(i);
        let first = windows.partition_point(|w| w.to < est.saturating_add(a.duration));
        let mut skip = ask.skip;
        for w in &windows[first..] {
            if w.from > lst {
                break;
            }
            // Most sessions that are behind a schedule being built are full: this comes first.
            if !self.state.free(w.session, hands, a.duration) {
                continue;
            }
            if ask.only.is_some_and(|s| s != w.session) {
                continue;
            }
            if patient && ask.only.is_none() && g.left(m, i, w.session) {
                continue;
            }
            let mut last = (w.to - a.duration).min(lst);
            let mut t = est.max(w.from);
            if a.up || a.before_up {
                let (from, until) = self.state.climb_bounds(m, i, w.session);
                if a.before_up {
                    last = last.min(until.saturating_sub(a.duration));
                } else {
                    t = t.max(from);
                }
            }
            if t > last {
                continue;
            }
            // Where nobody has been yet, somebody must move.
            let (people, units) = if moving { self.state.been(m, i, w.session) } else { (true, true) };
            if most + 1 < m.levels.len() {
                let may = |l: &super::model::Level| {
                    (l.place || hands == 0 || people) && (l.tool || a.tools.is_empty() || units)
                };
                if !m.levels[..=most].iter().any(may) {
                    continue;
                }
            }
            if skip > 0 {
                skip -= 1;
                continue;
            }
            let came = if people { 0 } else { m.p.setup.place_minutes };
            let set = if units || a.tools.is_empty() { 0 } else { m.p.setup.tool_minutes };
            if a.place.is_some() && !self.state.free(w.session, hands, a.duration + came + set) {
                continue;
            }
            if moving {
                t = self.soonest(i, t, last, w.session, most, g);
            }
            while t <= last {
                match self.try_at(i, a, t, w.session, most, hands, g) {
                    Ok(c) => {
                        return Some(Spot {
                            start: t,
                            end: t + a.duration,
                            setup: c.setup,
                            session: w.session,
                            workers: c.workers,
                            units: c.units,
                            pays_place: c.pays.0,
                            pays_tool: c.pays.1,
                        });
                    }
                    Err(next) if moving => {
                        t = self.soonest(i, next.max(t + 1), last, w.session, most, g);
                    }
                    Err(next) => t = next.max(t + 1),
                }
            }
        }
        None
    }

    /// Can it start at `t`? Otherwise the next time worth trying.
    #[allow(clippy::too_many_arguments)]
    fn try_at(
        &mut self,
        i: usize,
        a: &Activity,
        t: Time,
        session: u32,
        most: usize,
        hands: u32,
        g: &Genes,
    ) -> Result<Choice, Time> {
        let m = self.m;
        let end = t + a.duration;
        for (r, amount) in &a.demands {
            if let Some(until) = self.state.profiles[*r].lacking_until(t, end, *amount) {
                return Err(until);
            }
        }
        for h in &a.holds {
            let wait = m.p.wait(h.wait, Some(session).filter(|s| *s != NO_SESSION));
            let from = if h.from_start { t } else { end };
            if let Some(until) =
                self.state.profiles[h.resource].lacking_until(from, end.saturating_add(wait), h.amount)
            {
                return Err(until.saturating_sub(from - t));
            }
        }
        if a.duration > 0 {
            for (r, mode) in &a.modes {
                let runs = &self.state.modes[*r];
                let hi = runs.partition_point(|x| x.start < end);
                let clash = runs[..hi].iter().filter(|x| x.mode != *mode && x.end > t).map(|x| x.end).max();
                if let Some(until) = clash {
                    return Err(until);
                }
            }
        }
        if !self.watched(a, t, end) {
            return Err(FAR);
        }
        if a.not_alone {
            let there = m.p.workers.iter().filter(|w| presence(&w.present, t, end).is_some()).count();
            if there < 2 {
                let next =
                    m.p.workers
                        .iter()
                        .filter_map(|w| w.present.get(w.present.partition_point(|x| x.0 <= t)).map(|x| x.0));
                return Err(next.min().unwrap_or(FAR));
            }
        }
        if hands == 0 && a.tools.is_empty() {
            return Ok(Choice { setup: 0, workers: 0, units: [u16::MAX; 4], pays: (false, false) });
        }
        self.crew_at(i, a, t, session, most, hands, g)
    }
}

/// How many workers an activity takes: at least one where it asks for a skill.
pub(super) fn hands(a: &Activity) -> u32 {
    a.hands.max(u32::from(a.skills != 0))
}

/// May this worker do it at all: whoever comes for skilled work alone is asked for nothing else.
pub(super) fn comes_for(a: &Activity, worker: &Worker) -> bool {
    !worker.skilled_only || a.skills & worker.skills != 0
}

/// The start of the stretch that holds `from..to`.
pub(super) fn presence(present: &[(Time, Time)], from: Time, to: Time) -> Option<Time> {
    let i = present.partition_point(|x| x.0 <= from).checked_sub(1)?;
    present.get(i).filter(|x| x.1 >= to).map(|x| x.0)
}
