//! The first orders: priority rules, some of which stay at a place and with a ladder as long as they can.

use super::decode::hands;
use super::genes::{Genes, Shown};
use super::model::Model;
use super::scheme::SMALL;
use crate::planner::engine::problem::{FAR, Session, Time};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// What the next activity of the list is chosen by, above the longest tail.
#[derive(Clone, Copy)]
struct Rule {
    /// Stay at the place, and with the tool, of the activity before.
    stay: bool,
    /// Finish worthy groups first.
    worth: bool,
    /// Most costly level taken at once, see [`Genes::cap`].
    cap: u8,
}

/// Starting points, the kept order first.
pub(super) fn genes(m: &Model, kept: Option<&[usize]>) -> Vec<Genes> {
    let rules = [
        (true, false, 0),
        (true, false, 3),
        (false, false, 3),
        (true, true, 0),
        (false, true, 3),
        (false, false, 0),
    ]
    .map(|(stay, worth, cap)| Rule { stay, worth, cap });
    let all = vec![false; m.p.sessions.len()];
    let lists: Vec<(Vec<u32>, u8)> = rules.iter().map(|r| (list(m, *r), r.cap)).collect();
    let kept = kept.map(|order| follow(m, order));
    let kept = kept.into_iter().flat_map(|l| [(l.clone(), 3), (l, 0)]);
    let in_few: Vec<_> =
        lists.iter().take(1).flat_map(|l| few(m).into_iter().map(|c| (l.clone(), c))).collect();
    let firsts = kept.chain(lists).map(|l| (l, all.clone())).chain(in_few);
    firsts
        .map(|((list, cap), closed)| Genes {
            list,
            cap: vec![cap; m.n],
            skip: vec![0; m.n],
            pref: vec![0; m.n],
            spare: vec![0; m.n],
            spare_unit: vec![u16::MAX; m.n],
            floor: vec![Time::MIN; 2 * m.places],
            wait: vec![Time::MIN; m.n],
            closed,
            shut: vec![false; m.places * m.p.sessions.len()],
            eager: true,
            shown: Shown::default(),
            patient_until: m.p.comfort.or(m.p.due).unwrap_or(m.end_of_time.min(FAR)),
        })
        .collect()
}

/// Sessions that are not used while there is patience: all but those that offer the most, and enough (with three shares of
/// enough the demo's time that people give fell from 833 minutes to 739 on the mean of four plans and two seeds).
fn few(m: &Model) -> Vec<Vec<bool>> {
    // There is time to look around in small ones.
    if m.n <= SMALL {
        return Vec::new();
    }
    let until = m.p.comfort.or(m.p.due).unwrap_or(m.end_of_time);
    let free = |(k, s): &(usize, &Session)| !m.used[*k] && s.to > m.p.now && s.from < until;
    let offer = |s: &Session| -> i64 {
        let meet = |x: &(Time, Time)| i64::from((x.1.min(s.to) - x.0.max(s.from).max(m.p.now)).max(0));
        m.p.workers.iter().flat_map(|w| &w.present).map(meet).sum()
    };
    let open = m.p.activities.iter().filter(|a| a.fixed.is_none() && a.calendar.is_some());
    let work: i64 = open.map(|a| i64::from(a.duration) * i64::from(hands(a))).sum();
    let ahead = m.p.sessions.iter().enumerate().filter(free);
    let mut offers: Vec<(i64, usize)> = ahead.map(|(k, s)| (offer(s), k)).collect();
    offers.sort_unstable_by_key(|x| Reverse(*x));
    let longest = |percent: i64| {
        let mut left = work * percent / 100;
        let enough = offers.iter().take_while(|x| {
            left -= x.0;
            left + x.0 > 0
        });
        let mut closed = vec![false; m.p.sessions.len()];
        let rest = offers.iter().skip(enough.count());
        rest.for_each(|x| closed[x.1] = true);
        closed
    };
    [110, 125, 160].map(longest).to_vec()
}

/// An order and genes by chance alone, to get away from everything known.
pub(super) fn by_chance(m: &Model, rng: &mut fastrand::Rng, like: &Genes) -> Genes {
    let key: Vec<u32> = (0..m.n).map(|_| rng.u32(..)).collect();
    let cap = rng.u8(..4);
    let pref = (0..m.n).map(|_| if rng.bool() { 0 } else { rng.u8(..) }).collect();
    let mut genes = Genes {
        list: build(m, false, |i| key[i]),
        cap: vec![cap; m.n],
        skip: vec![0; m.n],
        pref,
        spare: vec![0; m.n],
        spare_unit: vec![u16::MAX; m.n],
        floor: vec![Time::MIN; 2 * m.places],
        wait: vec![Time::MIN; m.n],
        ..like.clone()
    };
    for i in 0..m.n {
        if rng.u8(..4) == 0 {
            genes.leave_room(m, rng, i);
        }
    }
    genes
}

/// The given order, mended so that predecessors come first; what it does not name goes by topological order.
fn follow(m: &Model, order: &[usize]) -> Vec<u32> {
    let mut rank = vec![usize::MAX; m.n];
    for (k, i) in order.iter().enumerate() {
        if let Some(r) = rank.get_mut(*i) {
            *r = (*r).min(k);
        }
    }
    build(m, false, |i| Reverse(rank[i]))
}

fn list(m: &Model, rule: Rule) -> Vec<u32> {
    // Worth of a group for each minute of work that it and what comes before it take.
    let mut minutes = vec![1i64; m.p.groups.len()];
    for a in &m.p.activities {
        if let Some(g) = a.group {
            minutes[g] += i64::from(a.duration) * i64::from(a.hands.max(1));
        }
    }
    let mut worth: Vec<i64> =
        m.p.activities
            .iter()
            .map(|a| a.group.map_or(0, |g| m.p.groups[g].worth.saturating_mul(1_000_000) / minutes[g]))
            .collect();
    for i in m.order.iter().rev() {
        for (s, _) in &m.succs[*i] {
            worth[*i] = worth[*i].max(worth[*s]);
        }
    }
    build(m, rule.stay, |i| (if rule.worth { worth[i] } else { 0 }, m.tail[i]))
}

/// A list built by taking the ready activity with the greatest key, of equal ones the first; where people `stay`, before
/// all others one at the place of the last, best with its tool.
fn build<K: Ord + Copy>(m: &Model, stay: bool, key: impl Fn(usize) -> K) -> Vec<u32> {
    let mut open: Vec<usize> = m.preds.iter().map(Vec::len).collect();
    let mut here: Vec<Vec<usize>> = vec![Vec::new(); if stay { m.places } else { 0 }];
    let mut ready = BinaryHeap::new();
    let mut listed = vec![false; m.n];
    let mut list = Vec::with_capacity(m.n);
    let mut last: Option<usize> = None;
    let by = |i: usize| (key(i), Reverse(i));
    let come = |i: usize, ready: &mut BinaryHeap<_>, here: &mut Vec<Vec<usize>>| {
        ready.push(by(i));
        if stay && m.p.activities[i].place.is_some() {
            here[m.place[i]].push(i);
        }
    };
    (0..m.n).filter(|i| open[*i] == 0).for_each(|i| come(i, &mut ready, &mut here));
    loop {
        let near = last.filter(|_| stay).and_then(|l| {
            let tools = &m.p.activities[l].tools;
            here[m.place[l]].iter().copied().max_by_key(|i| (m.p.activities[*i].tools == *tools, by(*i)))
        });
        let Some(i) = near
            .or_else(|| std::iter::from_fn(|| ready.pop()).map(|(_, Reverse(i))| i).find(|i| !listed[*i]))
        else {
            break;
        };
        listed[i] = true;
        list.push(i as u32);
        // Work without a place does not make anybody move.
        if m.p.activities[i].place.is_some() {
            last = Some(i);
            if stay {
                here[m.place[i]].retain(|x| *x != i);
            }
        }
        for (s, _) in &m.succs[i] {
            open[*s] -= 1;
            if open[*s] == 0 {
                come(*s, &mut ready, &mut here);
            }
        }
    }
    list
}
