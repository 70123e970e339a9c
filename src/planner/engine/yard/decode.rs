//! Serial schedule generation: one activity after the other, each as early (or as cheaply) as its genes ask.
//!
//! R. Kolisch, "Serial and parallel resource-constrained project scheduling methods revisited", EJOR 90 (1996)
//! 320-333: an activity list decoded in order, each activity at its first feasible start; here with gaps filled.

use super::genes::{Genes, LEFT_OUT};
use super::model::Model;
use super::rows::{NO_SESSION, NOWHERE, Stand};
use super::state::{Spot, State, bits};
use crate::planner::engine::problem::{Activity, FAR, Lag, Time};

/// How often a decode may begin anew with a predecessor pushed later for the sake of a latest time.
const MOST_PUSHES: usize = 24;

/// Who and what would do it, and how many minutes before the start they move.
#[derive(Clone, Copy)]
struct Choice {
    setup: Time,
    workers: u64,
    units: [u16; 4],
    pays: (bool, bool),
}

/// Scratch space of the decoder, used again for each schedule.
pub(super) struct Decoder<'m, 'p> {
    m: &'m Model<'p>,
    base: State,
    pub(super) state: State,
    stands: Vec<Option<Stand>>,
    push: Vec<Time>,
}

impl<'m, 'p> Decoder<'m, 'p> {
    pub(super) fn new(m: &'m Model<'p>) -> Self {
        let base = State::new(m);
        Self { m, state: base.clone(), stands: vec![None; base.rows.len()], base, push: vec![Time::MIN; m.n] }
    }

    /// Places what can be placed, in the order of the genes.
    pub(super) fn decode(&mut self, g: &Genes) {
        self.push.fill(Time::MIN);
        let mut pushes = 0;
        while !self.pass(g, pushes < MOST_PUSHES) {
            pushes += 1;
        }
    }

    /// One pass; `false` when a predecessor was pushed and the pass must begin anew.
    fn pass(&mut self, g: &Genes, may_push: bool) -> bool {
        self.state.clone_from(&self.base);
        let m = self.m;
        let mut tried = vec![false; m.n];
        let mut stack = Vec::new();
        for first in &g.list {
            stack.push(*first as usize);
            while let Some(i) = stack.pop() {
                let a = &m.p.activities[i];
                if tried[i] || a.held {
                    continue;
                }
                if m.preds[i]
                    .iter()
                    .any(|(q, _)| !tried[*q] && !self.state.spots[*q].placed() && !m.p.activities[*q].held)
                {
                    continue;
                }
                tried[i] = true;
                if a.fixed.is_none() {
                    if g.skip[i] == LEFT_OUT {
                        continue;
                    }
                    let Some(est) = self.ready(i) else { continue };
                    let (lst, by) = self.latest(i);
                    if let Some(spot) = self.find(i, est, lst, g) {
                        self.state.put(m, i, spot);
                    } else if let Some(q) = by.filter(|_| may_push)
                        && self.push_back(i, q, est, g)
                    {
                        return false;
                    }
                }
                // What is bound by a latest time comes at once, before others take its place.
                if g.eager {
                    stack.extend(m.tight[i].iter().rev());
                }
            }
        }
        true
    }

    pub(super) fn ready(&self, i: usize) -> Option<Time> {
        let est = self.m.ready(i, self.m.p.now, |q| {
            let s = self.state.spots[q];
            s.placed().then_some((s.start, s.end, Some(s.session).filter(|x| *x != NO_SESSION)))
        });
        est.ok().map(|t| t.max(self.push[i]))
    }

    /// The latest start, and the predecessor that sets it.
    pub(super) fn latest(&self, i: usize) -> (Time, Option<usize>) {
        let a = &self.m.p.activities[i];
        let mut best = (a.deadline.map_or(FAR, |d| d - a.duration), None);
        for (q, lag) in &self.m.preds[i] {
            let Lag::FinishStart { within, same_day, .. } = lag else { continue };
            let s = self.state.spots[*q];
            if !s.placed() || self.m.p.activities[*q].fixed.as_ref().is_some_and(|f| f.done) {
                continue;
            }
            let by_within = within.map(|w| s.end.saturating_add(w));
            let by_day = same_day.then(|| self.day_end(s.end));
            for t in by_within.into_iter().chain(by_day) {
                if t < best.0 {
                    best = (t, Some(*q));
                }
            }
        }
        best
    }

    /// The last minute of the local day of `t`.
    fn day_end(&self, t: Time) -> Time {
        let cuts = &self.m.p.midnights;
        if cuts.is_empty() {
            return t.div_euclid(1440) * 1440 + 1439;
        }
        cuts.get(cuts.partition_point(|c| *c <= t)).map_or(FAR, |c| c - 1)
    }

    /// Activity `i` came too late after `q`: asks for a later `q`.
    fn push_back(&mut self, i: usize, q: usize, est: Time, g: &Genes) -> bool {
        let a = &self.m.p.activities[i];
        if self.m.p.activities[q].fixed.is_some() {
            return false;
        }
        let lst = a.deadline.map_or(FAR, |d| d - a.duration);
        let Some(spot) = self.find(i, est, lst, g) else { return false };
        let own = self.state.spots[q];
        let mut to = own.start + 1;
        for (p, lag) in &self.m.preds[i] {
            let Lag::FinishStart { within, same_day, .. } = lag else { continue };
            if *p == q {
                let by_within = within.map_or(Time::MIN, |w| spot.start - w);
                let day_start = if self.m.p.midnights.is_empty() {
                    spot.start.div_euclid(1440) * 1440
                } else {
                    let cuts = &self.m.p.midnights;
                    cuts.partition_point(|c| *c <= spot.start).checked_sub(1).map_or(-FAR, |k| cuts[k])
                };
                let by_day = if *same_day { day_start } else { Time::MIN };
                to = to.max(by_within.max(by_day).saturating_sub(own.end - own.start));
            }
        }
        self.push[q] = self.push[q].max(to);
        true
    }

    /// The first place from `est` on, not after `lst`; cheaper ones first where the genes ask for patience.
    pub(super) fn find(&mut self, i: usize, est: Time, lst: Time, g: &Genes) -> Option<Spot> {
        let levels = self.m.levels.len();
        let a = &self.m.p.activities[i];
        let moving = a.place.is_some() && (a.hands > 0 || a.skills != 0 || !a.tools.is_empty());
        let patience =
            if moving { usize::from(g.cap.get(i).copied().unwrap_or(3)).min(levels - 1) } else { levels - 1 };
        for most in patience..levels {
            // Patience ends at the comfort time: later work would cost a higher goal.
            let until = if most + 1 < levels { lst.min(g.patient_until - self.m.tail[i]) } else { lst };
            if let Some(s) = self.find_capped(i, est, until, most, g) {
                return Some(s);
            }
        }
        None
    }

    fn find_capped(&mut self, i: usize, est: Time, lst: Time, most: usize, g: &Genes) -> Option<Spot> {
        let m = self.m;
        let a = &m.p.activities[i];
        let hands = hands(a);
        let windows = m.windows(i);
        let first = windows.partition_point(|w| w.to < est.saturating_add(a.duration));
        let mut skip = g.skip.get(i).copied().unwrap_or(0);
        for w in &windows[first..] {
            if w.from > lst {
                break;
            }
            let last = (w.to - a.duration).min(lst);
            let mut t = est.max(w.from);
            if t > last {
                continue;
            }
            if most + 1 < m.levels.len() {
                // Where nobody has been yet, somebody must move.
                let (people, units) = self.state.been(m, i, w.session);
                let may = |l: &super::model::Level| {
                    (l.place || hands == 0 || people) && (l.tool || a.tools.is_empty() || units)
                };
                if !m.levels[..=most].iter().any(may) {
                    continue;
                }
            }
            if hands > 0 {
                let able = (0..m.p.workers.len()).filter(|k| self.state.gap(*k, w.session) >= a.duration);
                if (able.count() as u32) < hands {
                    continue;
                }
            }
            if skip > 0 {
                skip -= 1;
                continue;
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

    /// Workers and units for `t`, at the smallest set-up that will do.
    #[allow(clippy::too_many_arguments)]
    fn crew_at(
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
        let bounds = m.bounds(session);
        let base = bounds.0.max(m.p.now);
        let place = a.place.unwrap_or(NOWHERE);
        let people = m.p.workers.len();
        let mut free = 0u64;
        if hands > 0 {
            for (w, worker) in m.p.workers.iter().enumerate() {
                self.stands[w] = presence(&worker.present, t, end).and_then(|from| {
                    let s = self.state.rows[w].stand(t, end, place, session, bounds)?;
                    Some(Stand { free_from: s.free_from.max(from), ..s })
                });
                if self.stands[w].is_some() && g.spare[i] >> w & 1 == 0 {
                    free |= 1 << w;
                }
            }
        }
        for u in a.tools.iter().flatten() {
            let spared = usize::from(g.spare_unit[i]) == *u;
            let row = &self.state.rows[people + u];
            self.stands[people + u] = if spared { None } else { row.stand(t, end, place, session, bounds) };
        }
        if free.count_ones() >= hands {
            for l in &m.levels[..=most] {
                let lead = t - l.minutes;
                if (l.place && (hands == 0 || place == NOWHERE))
                    || (l.tool && (a.tools.is_empty() || place == NOWHERE))
                {
                    continue;
                }
                if lead < base && l.minutes > 0 {
                    continue;
                }
                let blocked = a.demands.iter().any(|(r, amount)| {
                    m.p.resources[*r].with_setup
                        && self.state.profiles[*r].lacking_until(lead, t, *amount).is_some()
                });
                if blocked {
                    continue;
                }
                let fits = |s: &Stand, may_move: bool| s.free_from <= lead && (may_move || !s.moves);
                let mask = bits(free)
                    .filter(|w| self.stands[*w].is_some_and(|s| fits(&s, l.place)))
                    .fold(0u64, |x, w| x | 1 << w);
                let Some(units) =
                    self.pick_units(a, people, |s| fits(s, l.tool), g.pref.get(i).copied().unwrap_or(0))
                else {
                    continue;
                };
                let Some(workers) = self.pick_workers(a, mask, hands, g.pref.get(i).copied().unwrap_or(0))
                else {
                    continue;
                };
                return Ok(Choice { setup: l.minutes, workers, units, pays: (l.place, l.tool) });
            }
        }
        Err(self.next_event(a, t, base, hands, most))
    }

    /// A unit for each need; needs are few, so the first fit in the preferred order with one step back is enough.
    fn pick_units(
        &self,
        a: &Activity,
        people: usize,
        fits: impl Fn(&Stand) -> bool,
        pref: u8,
    ) -> Option<[u16; 4]> {
        fn go(
            k: usize,
            a: &Activity,
            got: &mut [u16; 4],
            ok: &dyn Fn(usize, bool) -> bool,
            pref: usize,
        ) -> bool {
            let Some(need) = a.tools.get(k) else { return true };
            // Units that stay where they are come first.
            for stay in [true, false] {
                for j in 0..need.len() {
                    let u = need[(j + pref) % need.len()];
                    if !got[..k].contains(&(u as u16)) && ok(u, stay) {
                        got[k] = u as u16;
                        if go(k + 1, a, got, ok, pref) {
                            return true;
                        }
                        got[k] = u16::MAX;
                    }
                }
            }
            false
        }
        let ok = |u: usize, stay: bool| self.stands[people + u].is_some_and(|s| fits(&s) && s.moves != stay);
        let mut got = [u16::MAX; 4];
        go(0, a, &mut got, &ok, usize::from(pref >> 4)).then_some(got)
    }

    /// `hands` workers of `mask` who cover the skills: who stays at the place first, specialists and the busy last.
    fn pick_workers(&self, a: &Activity, mask: u64, hands: u32, pref: u8) -> Option<u64> {
        if hands == 0 {
            return Some(0);
        }
        if mask.count_ones() < hands {
            return None;
        }
        let workers = &self.m.p.workers;
        let all = bits(mask).fold(0u64, |s, w| s | workers[w].skills);
        if a.skills & !all != 0 {
            return None;
        }
        let turn = usize::from(pref & 15);
        let mut list = [(false, 0u32, 0i32, 0usize); 64];
        let mut len = 0;
        for w in bits(mask) {
            let moves = self.stands[w].is_some_and(|s| s.moves);
            let key = if turn == 0 {
                (moves, (workers[w].skills & !a.skills).count_ones(), self.state.load[w], w)
            } else {
                ((turn & 8 == 0) && moves, 0, ((w + turn) % workers.len()) as Time, w)
            };
            list[len] = key;
            len += 1;
        }
        let list = &mut list[..len];
        list.sort_unstable();
        let mut got = 0u64;
        cover(list, workers, a.skills, hands, &mut got).then_some(got)
    }

    /// The next time at which anybody or anything asked for may be free, with room for each set-up.
    fn next_event(&self, a: &Activity, t: Time, base: Time, hands: u32, most: usize) -> Time {
        let m = self.m;
        let people = m.p.workers.len();
        let mut next = FAR;
        for l in &m.levels[..=most] {
            let from = t - l.minutes;
            if base > from {
                next = next.min(base + l.minutes);
            }
            let mut see = |e: Time| next = next.min(e.saturating_add(l.minutes));
            if hands > 0 {
                for (w, worker) in m.p.workers.iter().enumerate() {
                    self.state.rows[w].next_end(from).into_iter().for_each(&mut see);
                    let k = worker.present.partition_point(|x| x.0 <= from);
                    worker.present.get(k).map(|x| x.0).into_iter().for_each(&mut see);
                }
            }
            for u in a.tools.iter().flatten() {
                self.state.rows[people + u].next_end(from).into_iter().for_each(&mut see);
            }
            for (r, amount) in &a.demands {
                if m.p.resources[*r].with_setup {
                    self.state.profiles[*r].lacking_until(from, t, *amount).into_iter().for_each(&mut see);
                }
            }
        }
        next
    }
}

/// How many workers an activity takes: at least one where it asks for a skill.
pub(super) fn hands(a: &Activity) -> u32 {
    a.hands.max(u32::from(a.skills != 0))
}

/// The start of the stretch that holds `from..to`.
pub(super) fn presence(present: &[(Time, Time)], from: Time, to: Time) -> Option<Time> {
    let i = present.partition_point(|x| x.0 <= from).checked_sub(1)?;
    present.get(i).filter(|x| x.1 >= to).map(|x| x.0)
}

/// The first set of exactly `hands` in the order of `list` that covers `skills`.
fn cover(
    list: &[(bool, u32, i32, usize)],
    workers: &[crate::planner::engine::problem::Worker],
    skills: u64,
    hands: u32,
    got: &mut u64,
) -> bool {
    if hands == 0 {
        return skills == 0;
    }
    for (k, c) in list.iter().enumerate() {
        if list.len() - k < hands as usize {
            return false;
        }
        let own = workers[c.3].skills;
        if hands == 1 && skills & !own != 0 {
            continue;
        }
        *got |= 1 << c.3;
        if cover(&list[k + 1..], workers, skills & !own, hands - 1, got) {
            return true;
        }
        *got &= !(1 << c.3);
    }
    false
}
