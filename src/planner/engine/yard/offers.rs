//! The fewest sessions that can hold all work together.
//!
//! Work that must lie between two times asks for so many minutes of those who can do it, in the windows it has (energetic
//! reasoning, J. Erschler, P. Lopez, "Energy-based approach for task scheduling under time and resources constraints",
//! 2nd workshop on project management and scheduling (1990) 115-121; P. Baptiste, C. Le Pape, W. Nuijten,
//! "Satisfiability tests and time-bound adjustments for cumulative scheduling problems", Annals of OR 92 (1999) 305-333);
//! each session offers some. Sessions are to be chosen that meet all such asks at once: a covering problem, decided by
//! branching for one number of sessions after the other.

use super::decode::hands;
use super::model::Model;
use super::reach::{Reach, Sessions, least};
use super::state::bits;
use crate::planner::engine::problem::{Activity, FAR, Hold, Time};
use std::collections::BTreeSet;

/// Times from which on, and until which, minutes are summed up.
const MOST_FROM: usize = 10;
const MOST_TO: usize = 8;
/// So many choices are tried for one number of sessions; what is not decided by then is taken as possible.
const MOST_CHOICES: usize = 2_000;

/// Sessions besides those begun have to offer so much between them.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Ask {
    left: i64,
    /// By number of the session among `fresh`.
    offer: Vec<i64>,
}

/// The fewest sessions, besides those begun. `moving`: minutes that somebody moves at least, within sessions of work.
pub(super) fn fewest(m: &Model, reach: &Reach, moving: i64, chain: i64) -> i64 {
    let open: Vec<usize> = (0..m.n)
        .filter(|i| {
            let a = &m.p.activities[*i];
            a.work && a.fixed.is_none() && a.calendar.is_some() && a.duration > 0
        })
        .collect();
    let able: Vec<Sessions> = open.iter().map(|i| reach.sessions(m, *i)).collect();
    let may = |k: usize| able.iter().any(|s| s[k / 64] >> (k % 64) & 1 == 1);
    let fresh: Vec<usize> = (0..m.p.sessions.len()).filter(|k| !m.used[*k] && may(*k)).collect();
    let mut asks = BTreeSet::new();
    if chain > 0 {
        asks.insert(Ask { left: chain, offer: vec![1; fresh.len()] });
    }
    for s in &able {
        let one = |k: &usize| s[k / 64] >> (k % 64) & 1 == 1;
        if !(0..m.used.len()).any(|k| m.used[k] && one(&k)) {
            asks.insert(Ask { left: 1, offer: fresh.iter().map(|k| i64::from(one(k))).collect() });
        }
    }
    minutes(m, reach, (&open, &fresh), moving, &mut asks);
    let begun = m.used.iter().zip(&m.p.sessions).filter(|(u, s)| **u && s.to > m.p.now).count() as i64;
    for (resource, r) in m.p.resources.iter().enumerate() {
        let left = kept(m, open.iter().copied(), resource) - begun * i64::from(r.capacity);
        asks.insert(Ask { left, offer: vec![i64::from(r.capacity); fresh.len()] });
    }
    let mut asks: Vec<Ask> = asks.into_iter().filter(|a| a.left > 0).collect();
    let alone = |a: &Ask| needed(a, &vec![true; fresh.len()], a.left);
    asks.sort_by_cached_key(|a| std::cmp::Reverse(alone(a)));
    let most = fresh.len();
    let least = asks.first().map_or(0, alone).min(most);
    let mut chosen = Choice { asks: &asks, tried: 0 };
    let can = |many: &usize| {
        chosen.tried = 0;
        let left: Vec<i64> = chosen.asks.iter().map(|a| a.left).collect();
        chosen.can(*many, &left, &mut vec![true; most])
    };
    (least..most).find(can).unwrap_or(most) as i64
}

/// How many of the open sessions meet what is left of an ask, the largest first; one more than there are where all do not.
fn needed(a: &Ask, open: &[bool], left: i64) -> usize {
    let mut offers: Vec<i64> =
        a.offer.iter().zip(open).filter(|(o, open)| **open && **o > 0).map(|x| *x.0).collect();
    offers.sort_unstable_by_key(|o| std::cmp::Reverse(*o));
    let (mut left, mut many) = (left, 0);
    for o in offers {
        if left <= 0 {
            return many;
        }
        left -= o;
        many += 1;
    }
    if left <= 0 { many } else { many + 1 }
}

struct Choice<'a> {
    asks: &'a [Ask],
    tried: usize,
}

impl Choice<'_> {
    /// Can `many` of the open sessions meet what is left of all asks?
    fn can(&mut self, many: usize, left: &[i64], open: &mut Vec<bool>) -> bool {
        self.tried += 1;
        if self.tried > MOST_CHOICES {
            return true;
        }
        // The ask with the fewest ways is branched on.
        let mut tightest: Option<(usize, usize)> = None;
        for (k, a) in self.asks.iter().enumerate().filter(|(k, _)| left[*k] > 0) {
            let need = needed(a, open, left[k]);
            if need > many {
                return false;
            }
            let ways = a.offer.iter().zip(open.iter()).filter(|(o, open)| **open && **o > 0).count();
            // One that needs all it may have, or nearly so, decides the most.
            let room = (ways - need.min(ways)) * 64 + ways;
            if tightest.is_none_or(|t| room < t.1) {
                tightest = Some((k, room));
            }
        }
        let Some((k, _)) = tightest else { return true };
        let offer = &self.asks[k].offer;
        let mut ways: Vec<usize> = (0..offer.len()).filter(|s| open[*s] && offer[*s] > 0).collect();
        ways.sort_by_key(|s| std::cmp::Reverse(offer[*s]));
        let mut found = false;
        let mut shut = Vec::new();
        for s in ways {
            open[s] = false;
            shut.push(s);
            let after: Vec<i64> = left.iter().zip(self.asks).map(|(l, a)| l - a.offer[s]).collect();
            if self.can(many - 1, &after, open) {
                found = true;
                break;
            }
            // Without this one from here on.
            if needed(&self.asks[k], open, left[k]) > many {
                break;
            }
        }
        for s in shut {
            open[s] = true;
        }
        found
    }
}

/// How much of a resource these take that keep it, once they have it, until their session is over.
pub(super) fn kept(m: &Model, all: impl Iterator<Item = usize>, resource: usize) -> i64 {
    let longest = m.p.sessions.iter().map(|s| s.to - s.from).max().unwrap_or(0);
    let long = |h: &&Hold| h.resource == resource && least(m, h.wait) >= longest;
    let most = |a: &Activity| a.holds.iter().filter(long).map(|h| i64::from(h.amount)).max().unwrap_or(0);
    all.map(|i| &m.p.activities[i]).filter(|a| a.calendar.is_some() && a.duration > 0).map(most).sum()
}

/// What lies between two times, in the windows of one calendar, for those of one kind.
fn minutes(
    m: &Model,
    reach: &Reach,
    (open, fresh): (&[usize], &[usize]),
    moving: i64,
    asks: &mut BTreeSet<Ask>,
) {
    let inside = super::bounds::inside(m);
    let act = |i: usize| &m.p.activities[i];
    let mut kinds: Vec<u64> =
        open.iter().flat_map(|i| act(*i).needs.iter().copied().chain([act(*i).skills])).collect();
    kinds.extend(kinds.clone().iter().flat_map(|k| bits(*k).map(|b| 1 << b)));
    kinds.push(0);
    kinds.sort_unstable();
    kinds.dedup();
    let times = |all: &mut Vec<Time>, most: usize| {
        all.sort_unstable();
        all.dedup();
        let every = all.len().div_ceil(most).max(1);
        *all = all.iter().copied().step_by(every).collect();
    };
    let mut from: Vec<Time> = open.iter().map(|i| reach.head[*i]).collect();
    times(&mut from, MOST_FROM);
    from.insert(0, m.p.now);
    let mut to: Vec<Time> = open.iter().map(|i| reach.latest[*i]).map(|t| -t).collect();
    times(&mut to, MOST_TO);
    let mut of = vec![usize::MAX; m.p.sessions.len()];
    fresh.iter().enumerate().for_each(|(k, s)| of[*s] = k);
    for kind in kinds {
        for c in std::iter::once(None).chain((0..m.p.calendars.len()).map(Some)) {
            let own: Vec<usize> = open
                .iter()
                .copied()
                .filter(|i| asked(act(*i), kind) > 0)
                .filter(|i| c.is_none_or(|c| act(*i).calendar.is_some_and(|x| inside[x][c])))
                .collect();
            if own.is_empty() {
                continue;
            }
            let stays = stays(m, kind, c);
            let place = m.p.setup.place_minutes;
            // Whoever does something at a place of a session that is not begun has moved there first.
            let outside = own.iter().all(|i| act(*i).place.is_some()) && place > 0;
            for (f, from) in from.iter().enumerate() {
                for to in to.iter().map(|t| -t) {
                    let within = own.iter().filter(|i| reach.head[**i] >= *from && reach.latest[**i] <= to);
                    let mut left = 0;
                    let mut many = 0;
                    for i in within {
                        left += asked(act(*i), kind) * i64::from(act(*i).duration);
                        many += 1;
                    }
                    if left == 0 {
                        continue;
                    }
                    // All of it, with the moving, which may come before the first of it.
                    let all = kind == 0 && c.is_none() && f == 0 && many == open.len();
                    // What somebody moves counts once: as work of all, or as what each comes later.
                    for (more, lead) in [(0, if outside { place } else { 0 }), (moving, 0)] {
                        if all || more == 0 {
                            asks.insert(ask(m, &stays, &of, fresh.len(), (*from, to), (left + more, lead)));
                        }
                    }
                }
            }
        }
    }
}

/// What is asked of the fresh sessions between two times, where each who is there comes so much later.
fn ask(
    m: &Model,
    stays: &[Stay],
    of: &[usize],
    fresh: usize,
    (from, to): (Time, Time),
    (mut left, late): (i64, Time),
) -> Ask {
    let mut offer = vec![0; fresh];
    for stay in stays {
        let (a, b) = (stay.from.max(from), stay.to.min(to));
        match of.get(stay.session).filter(|k| **k != usize::MAX) {
            _ if a >= b => {}
            Some(k) => offer[*k] += i64::from((b - a - (late - (a - stay.since).clamp(0, late))).max(0)),
            None if m.used.get(stay.session) == Some(&true) => left -= i64::from(b - a),
            None => {}
        }
    }
    Ask { left, offer }
}

/// Hands that only those can be who have all of the kind: of several needs each, of skills together one.
fn asked(a: &Activity, kind: u64) -> i64 {
    let needs = a.needs.iter().filter(|n| **n & kind == kind).count() as i64;
    match kind {
        0 => i64::from(hands(a)),
        one if one.is_power_of_two() => needs.max(i64::from(a.skills & one != 0)),
        _ => needs,
    }
}

/// Somebody of the kind is there, within a window.
struct Stay {
    from: Time,
    to: Time,
    session: usize,
    /// Since when they may have been moving.
    since: Time,
}

fn stays(m: &Model, kind: u64, calendar: Option<usize>) -> Vec<Stay> {
    let mut all = Vec::new();
    let mut add = |from: Time, to: Time, session: usize| {
        let Some(s) = m.p.sessions.get(session) else { return };
        for w in m.p.workers.iter().filter(|w| kind & !w.skills == 0) {
            let k = w.present.partition_point(|x| x.1 <= s.from.max(m.p.now));
            let here = &w.present[k..];
            // Who goes away for a while comes back to where they were.
            let since = here.first().map_or(FAR, |x| x.0.max(s.from).max(m.p.now));
            for x in here.iter().take_while(|x| x.0 < s.to) {
                let (from, to) = (from.max(since).max(x.0), to.min(x.1).min(s.to));
                if from < to {
                    all.push(Stay { from, to, session, since });
                }
            }
        }
    };
    match calendar {
        None => m.p.sessions.iter().enumerate().for_each(|(k, s)| add(s.from, s.to, k)),
        Some(c) => m.p.calendars[c].iter().for_each(|w| add(w.from, w.to, w.session as usize)),
    }
    all
}
