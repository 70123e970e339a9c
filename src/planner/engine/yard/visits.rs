//! How often a place must be visited at least: the set-up that no schedule can better.
//!
//! A visit is a session in which something is done at a place; its first comer moves, and so does its first tool. Of
//! activities of which no two can share a session each needs a visit of its own: a clique in that graph bounds their
//! number. So does each of those between which so much happens elsewhere that whoever stays at the place for both waits
//! for longer than a way there takes: then either somebody comes anew, or the waiting is given.

use super::between;
use super::decode::hands;
use super::model::Model;
use super::offers::kept;
use super::reach::{Reach, Sessions, ready};
use crate::planner::engine::problem::{Activity, Fixed, Resource, Session, Time, Worker};
use std::collections::{BTreeMap, BTreeSet};

/// How many looks at an activity may be spent on waits between the activities of a place.
const MOST_LOOKS: usize = 400_000;

/// Visits by people and by tools at least, where everything is placed.
pub(super) struct Visits {
    pub(super) people: i64,
    pub(super) tools: i64,
}

/// Counts the least visits of all places.
pub(super) fn visits(m: &Model, reach: &Reach) -> Visits {
    let sessions: Vec<Sessions> = (0..m.n)
        .map(|i| if m.p.activities[i].fixed.is_some() { Vec::new() } else { reach.sessions(m, i) })
        .collect();
    let stays = stays(m);
    let (mut looks, mut between) = (MOST_LOOKS, between::MOST_LOOKS);
    let mut rank = vec![0; m.n];
    for (k, i) in m.order.iter().enumerate() {
        rank[*i] = k;
    }
    let mut sum = Visits { people: 0, tools: 0 };
    for (place, all) in m.at_place.iter().enumerate() {
        let list: Vec<usize> = all.iter().map(|i| *i as usize).collect();
        let apart = Apart::new(m, reach, &sessions, &list, (&rank, &mut looks));
        let come = |a: &Activity| hands(a) > 0;
        let group: Vec<usize> = list.iter().copied().filter(|i| come(&m.p.activities[*i])).collect();
        if !group.is_empty() {
            let (by_all, by_one) = by_minutes(m, &group, &stays);
            let there = |f: &Fixed| f.workers.len() as i64;
            let by_room = by_room(m, &group);
            let been = been(m, place, |f| !f.workers.is_empty());
            // Who is there already may have come for what is far.
            let far = if been > 0 { BTreeSet::new() } else { between::far(m, &group, &rank, &mut between) };
            let by_session = apart.clique(&group, &far).max(by_all).max(by_room) - been;
            sum.people += by_session.max(by_one(begun(m, place, there))).max(0);
        }
        for group in by_units(m, &list) {
            sum.tools += (apart.clique(&group, &BTreeSet::new()).max(1)
                - been(m, place, |f| !f.units.is_empty()))
            .max(0);
        }
    }
    sum
}

/// Sessions that are not over in which fixed work leaves somebody (or something) at the place.
fn been(m: &Model, place: usize, there: impl Fn(&Fixed) -> bool) -> i64 {
    let open = there_now(m, place).filter(|f| there(f)).map(|f| f.session);
    open.collect::<BTreeSet<Option<u32>>>().len() as i64
}

/// People whom fixed work leaves at the place in sessions that are not over.
fn begun(m: &Model, place: usize, people: impl Fn(&Fixed) -> i64) -> i64 {
    there_now(m, place).map(people).sum()
}

/// Fixed work at the place after which something of the same session, or of none, may still be done there.
fn there_now<'a>(m: &'a Model<'_>, place: usize) -> impl Iterator<Item = &'a Fixed> {
    let loose = m.at_place[place].iter().any(|i| m.p.activities[*i as usize].calendar.is_none());
    let own = move |(i, a): &(usize, &Activity)| a.place.is_some() && m.place[*i] == place;
    let fixed = m.p.activities.iter().enumerate().filter(own).filter_map(|(_, a)| a.fixed.as_ref());
    fixed.filter(move |f| f.session.map_or(loose, |s| m.bounds(s).1 > m.p.now))
}

/// Activities of a place parted by the tool units that would do: no unit serves two of the groups.
fn by_units(m: &Model, list: &[usize]) -> Vec<Vec<usize>> {
    let mut groups: Vec<(BTreeSet<usize>, Vec<usize>)> = Vec::new();
    for i in list {
        let mut units: BTreeSet<usize> = m.p.activities[*i].tools.iter().flatten().copied().collect();
        if units.is_empty() {
            continue;
        }
        let mut own = vec![*i];
        let (joined, apart): (Vec<_>, Vec<_>) =
            groups.into_iter().partition(|(other, _)| !other.is_disjoint(&units));
        groups = apart;
        for (u, l) in joined {
            units.extend(u);
            own.extend(l);
        }
        groups.push((units, own));
    }
    groups.into_iter().map(|g| g.1).collect()
}

/// Which activities of one place can't share a session.
struct Apart<'a> {
    sessions: &'a [Sessions],
    /// For a pair where the second comes after the first: sessions that have room for both.
    both: BTreeMap<(usize, usize), Sessions>,
}

impl<'a> Apart<'a> {
    fn new(
        m: &Model,
        reach: &Reach,
        sessions: &'a [Sessions],
        list: &[usize],
        (rank, looks): (&[usize], &mut usize),
    ) -> Self {
        let mut both = BTreeMap::new();
        let mut start: Vec<Option<Time>> = vec![None; m.n];
        for i in list.iter().copied().filter(|i| m.p.activities[*i].calendar.is_some()) {
            let after = after(m, i, rank);
            let mates: Vec<usize> = after.iter().copied().filter(|j| list.contains(j)).collect();
            let own: Vec<u32> = numbers(&sessions[i]).collect();
            let cost = after.len() * own.len();
            if mates.is_empty() || *looks < cost {
                continue;
            }
            *looks -= cost;
            let mut room = vec![vec![0u64; sessions[i].len()]; mates.len()];
            for s in own {
                let from = reach.head[i].max(m.bounds(s).0);
                start[i] = reach.first(m, i, from);
                for j in after.iter().copied() {
                    let t = ready(m, j, |q| start[q].unwrap_or(reach.head[q]));
                    start[j] = Some(reach.first(m, j, t).unwrap_or(t));
                }
                for (j, bits) in mates.iter().zip(&mut room) {
                    if let Some(t) = start[*j]
                        && reach.fits(m, *j, s, t)
                    {
                        bits[s as usize / 64] |= 1 << (s % 64);
                    }
                }
            }
            for k in after.iter().chain([&i]) {
                start[*k] = None;
            }
            both.extend(mates.iter().zip(room).map(|(j, bits)| ((i, *j), bits)));
        }
        Self { sessions, both }
    }

    fn may_share(&self, a: usize, b: usize) -> bool {
        let common = |x: &Sessions, y: &Sessions| x.iter().zip(y).any(|(x, y)| x & y != 0);
        match self.both.get(&(a, b)).or_else(|| self.both.get(&(b, a))) {
            Some(s) => s.iter().any(|b| *b != 0),
            None => common(&self.sessions[a], &self.sessions[b]),
        }
    }

    /// Activities of which no two share a session, or are far from each other, taken greedily, from each end of time and fewest sessions first.
    fn clique(&self, list: &[usize], far: &BTreeSet<(usize, usize)>) -> i64 {
        let own = |i: &usize| numbers(&self.sessions[*i]);
        let mut list: Vec<usize> = list.iter().copied().filter(|i| own(i).next().is_some()).collect();
        let mut most = 0;
        for order in 0..3 {
            list.sort_by_key(|i| match order {
                0 => (own(i).count() as u32, *i),
                1 => (own(i).last().unwrap_or(0), *i),
                _ => (u32::MAX - own(i).next().unwrap_or(0), *i),
            });
            let mut taken: Vec<usize> = Vec::new();
            for i in &list {
                let parted =
                    |t: &usize| far.contains(&(*i, *t)) || far.contains(&(*t, *i)) || !self.may_share(*i, *t);
                if taken.iter().all(parted) {
                    taken.push(*i);
                }
            }
            most = most.max(taken.len());
        }
        most as i64
    }
}

fn numbers(s: &Sessions) -> impl Iterator<Item = u32> + '_ {
    let bits = |(k, b): (usize, &u64)| {
        let b = *b;
        (0..64u32).filter(move |x| b >> x & 1 == 1).map(move |x| 64 * k as u32 + x)
    };
    s.iter().enumerate().flat_map(bits)
}

/// All that comes after an activity and is not fixed, in order.
pub(super) fn after(m: &Model, i: usize, rank: &[usize]) -> Vec<usize> {
    let mut seen = BTreeSet::new();
    let mut todo = vec![i];
    while let Some(k) = todo.pop() {
        for (s, _) in &m.succs[k] {
            if m.p.activities[*s].fixed.is_none() && seen.insert((rank[*s], *s)) {
                todo.push(*s);
            }
        }
    }
    seen.into_iter().map(|x| x.1).collect()
}

/// Visits that the minutes of work at a place ask for at least: by all people together, each session as many as they can be
/// there; and by one person alone, less those who are there already: each who comes is the first at one thing at least, and
/// at what takes several hands as many may come at once.
fn by_minutes(m: &Model, list: &[usize], stays: &Stays) -> (i64, impl Fn(i64) -> i64 + use<>) {
    let acts = || list.iter().map(|i| &m.p.activities[*i]);
    let known = acts().all(|a| a.calendar.is_some());
    let total: i64 = acts().map(|a| i64::from(hands(a)) * i64::from(a.duration)).sum();
    let many = |total: i64, most: i64| if most > 0 && known { (total + most - 1) / most } else { 1 };
    let (all, persons) = (many(total, stays.all).max(1), many(total, stays.one).max(1));
    let at_once = acts().map(|a| i64::from(hands(a))).max().unwrap_or(1).max(1);
    (all, move |there: i64| (persons - there + at_once - 1) / at_once)
}

/// Sessions in which what is kept of a resource until they are over finds room.
fn by_room(m: &Model, list: &[usize]) -> i64 {
    let room = |(k, r): (usize, &Resource)| {
        let kept = kept(m, list.iter().copied(), k);
        if r.capacity > 0 { (kept + i64::from(r.capacity) - 1) / i64::from(r.capacity) } else { 0 }
    };
    m.p.resources.iter().enumerate().map(room).max().unwrap_or(0)
}

/// The most minutes that one person, and that all people together, are there in one session.
struct Stays {
    one: i64,
    all: i64,
}

fn stays(m: &Model) -> Stays {
    let stay = |w: &Worker, s: &Session| {
        let k = w.present.partition_point(|x| x.1 <= s.from);
        let here = w.present[k..].iter().take_while(|x| x.0 < s.to);
        here.map(|x| i64::from(x.1.min(s.to) - x.0.max(s.from))).sum::<i64>()
    };
    let mut most = Stays { one: 0, all: 0 };
    for s in &m.p.sessions {
        let all: Vec<i64> = m.p.workers.iter().map(|w| stay(w, s)).collect();
        most.one = most.one.max(all.iter().copied().max().unwrap_or(0));
        most.all = most.all.max(all.iter().sum());
    }
    most
}
