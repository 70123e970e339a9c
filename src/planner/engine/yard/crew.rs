//! Who does an activity and with which units, and the next time at which that may be possible.

use super::decode::{Decoder, comes_for, hands, presence};
use super::genes::Genes;
use super::rows::{Gap, NOWHERE, Stand};
use super::state::bits;
use crate::planner::engine::problem::{Activity, FAR, Time, Worker};

/// Who and what would do it, and how many minutes before the start they move.
#[derive(Clone, Copy)]
pub(super) struct Choice {
    pub(super) setup: Time,
    pub(super) workers: u64,
    pub(super) units: [u16; 4],
    pub(super) pays: (bool, bool),
}

impl Decoder<'_, '_> {
    /// No start from `t` on before this one can find enough people and units free and in their place, each looked at
    /// alone; after `last` where none can.
    pub(super) fn soonest(
        &self,
        i: usize,
        t: Time,
        last: Time,
        session: u32,
        most: usize,
        g: &Genes,
    ) -> Time {
        let m = self.m;
        let a = &m.p.activities[i];
        let bounds = m.bounds(session);
        let base = bounds.0.max(m.p.now);
        let place = a.place.unwrap_or(NOWHERE);
        let (by_place, by_tool) = m.cheapest[most];
        let need = hands(a) as usize;
        let people = m.p.workers.len();
        let mut at = t;
        if need > 0 {
            let mut firsts = [FAR; 64];
            let mut len = 0;
            for (w, worker) in m.p.workers.iter().enumerate() {
                let able = (need > 1 || a.skills & !worker.skills == 0) && comes_for(a, worker);
                if !able || g.spare[i] >> w & 1 == 1 || self.state.gap(w, session) < a.duration {
                    continue;
                }
                let place = m.worker_place(i);
                let gap = Gap { session, bounds, place, duration: a.duration, from: base, lead: by_place };
                let k = worker.present.partition_point(|x| x.1 <= t);
                for (from, to) in &worker.present[k..] {
                    if *from > last {
                        break;
                    }
                    let gap = Gap { from: gap.from.max(*from), ..gap };
                    let latest = last.min(to - a.duration);
                    let first = self.state.rows[w].first_fit(t.max(*from), latest, &gap);
                    if first <= latest {
                        firsts[len] = first;
                        len += 1;
                        break;
                    }
                }
            }
            if len < need {
                return FAR;
            }
            let (_, nth, _) = firsts[..len].select_nth_unstable(need - 1);
            at = at.max(*nth);
        }
        for units in &a.tools {
            let gap = Gap { session, bounds, place, duration: a.duration, from: base, lead: by_tool };
            let free = units.iter().filter(|u| usize::from(g.spare_unit[i]) != **u);
            let first = free.map(|u| self.state.rows[people + u].first_fit(t, last, &gap)).min();
            at = at.max(first.unwrap_or(FAR));
        }
        at
    }

    /// Workers and units for `t`, at the smallest set-up that will do.
    #[allow(clippy::too_many_arguments)]
    pub(super) fn crew_at(
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
        let worker_place = m.worker_place(i);
        if hands > 0 {
            for (w, worker) in m.p.workers.iter().enumerate() {
                self.stands[w] = presence(&worker.present, t, end).and_then(|from| {
                    let s = self.state.rows[w].stand(t, end, worker_place, session, bounds)?;
                    if !self.state.rows[w].keeps_climbs(t, worker_place, session, a.up) {
                        return None;
                    }
                    Some(Stand { free_from: s.free_from.max(from), ..s })
                });
                if self.stands[w].is_some() && comes_for(a, worker) && g.spare[i] >> w & 1 == 0 {
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
        cover(list, workers, a, (a.skills, hands), &mut got).then_some(got)
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

/// The first set of exactly `hands` in the order of `list` that covers `skills`.
fn cover(
    list: &[(bool, u32, i32, usize)],
    workers: &[Worker],
    a: &Activity,
    (skills, hands): (u64, u32),
    got: &mut u64,
) -> bool {
    if hands == 0 {
        return skills == 0 && filled(&a.needs, workers, *got);
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
        if cover(&list[k + 1..], workers, a, (skills & !own, hands - 1), got) {
            return true;
        }
        *got &= !(1 << c.3);
    }
    false
}

/// Can each need be filled by another worker of `mask`?
pub(super) fn filled(needs: &[u64], workers: &[Worker], mask: u64) -> bool {
    let Some((need, rest)) = needs.split_first() else { return true };
    bits(mask).any(|w| need & !workers[w].skills == 0 && filled(rest, workers, mask & !(1 << w)))
}
