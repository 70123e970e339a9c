//! How often a place must be visited at least: the set-up that no schedule can better.
//!
//! A visit is a session in which something is done at a place; its first comer moves, and so does its first tool.

use super::decode::hands;
use super::model::Model;
use super::rows::NOWHERE;
use crate::planner::engine::problem::{Activity, Fixed, Lag, Session, Time, Window, Worker};
use std::collections::BTreeMap;

/// Sessions as bits.
type Sessions = Vec<u64>;

/// Least set-up minutes where everything is placed.
pub(super) fn setup(m: &Model) -> i64 {
    let people = visits(m, |a| hands(a) > 0, |a| a.workers.is_empty());
    let tools = visits(m, |a| !a.tools.is_empty(), |a| a.units.is_empty());
    people * i64::from(m.p.setup.place_minutes) + tools * i64::from(m.p.setup.tool_minutes)
}

/// Visits of all places by what `moves`, less those where someone may still be from fixed work that is not `idle`.
fn visits(m: &Model, moves: impl Fn(&Activity) -> bool, idle: impl Fn(&Fixed) -> bool) -> i64 {
    let mut places: BTreeMap<u32, (Vec<usize>, i64)> = BTreeMap::new();
    for (i, a) in m.p.activities.iter().enumerate() {
        let Some(place) = a.place.filter(|p| *p != NOWHERE) else { continue };
        let at = places.entry(place).or_default();
        match &a.fixed {
            Some(f) => at.1 += i64::from(!idle(f)),
            None if moves(a) => at.0.push(i),
            None => {}
        }
    }
    let sessions: Vec<Sessions> = m.p.calendars.iter().map(|c| sessions_of(m, c)).collect();
    let longest = m.p.sessions.iter().map(|s| s.to - s.from).max().unwrap_or(0);
    let offered = offered(m);
    let mut sum = 0;
    let mut chain = vec![(0, false); m.n];
    for (list, fixed) in places.values().filter(|p| !p.0.is_empty()) {
        let least = by_sessions(m, list, &sessions)
            .max(by_minutes(m, list, offered))
            .max(by_waits(m, list, longest, &mut chain));
        sum += (least.max(1) - fixed).max(0);
    }
    sum
}

fn sessions_of(m: &Model, windows: &[Window]) -> Sessions {
    let mut bits = vec![0u64; m.p.sessions.len().div_ceil(64)];
    for w in windows.iter().filter(|w| w.to >= m.p.now) {
        if let Some(b) = bits.get_mut(w.session as usize / 64) {
            *b |= 1 << (w.session % 64);
        }
    }
    bits
}

/// Activities that have no session in common, taken greedily, fewest sessions first.
fn by_sessions(m: &Model, list: &[usize], sessions: &[Sessions]) -> i64 {
    let mut own: Vec<&Sessions> =
        list.iter().filter_map(|i| m.p.activities[*i].calendar).filter_map(|c| sessions.get(c)).collect();
    own.sort_by_key(|s| (s.iter().map(|b| b.count_ones()).sum::<u32>(), *s));
    own.dedup();
    let mut taken: Vec<&Sessions> = Vec::new();
    for s in own {
        if taken.iter().all(|t| t.iter().zip(s).all(|(a, b)| a & b == 0)) {
            taken.push(s);
        }
    }
    taken.len() as i64
}

/// The most minutes that people are there in one session.
fn offered(m: &Model) -> i64 {
    let stay = |w: &Worker, s: &Session| {
        let k = w.present.partition_point(|x| x.1 <= s.from);
        let here = w.present[k..].iter().take_while(|x| x.0 < s.to);
        here.map(|x| i64::from(x.1.min(s.to) - x.0.max(s.from))).sum::<i64>()
    };
    let all = |s: &Session| m.p.workers.iter().map(|w| stay(w, s)).sum::<i64>();
    m.p.sessions.iter().map(all).max().unwrap_or(0)
}

/// All minutes of work at a place over the most that one session offers.
fn by_minutes(m: &Model, list: &[usize], most: i64) -> i64 {
    if list.iter().any(|i| m.p.activities[*i].calendar.is_none()) {
        return 1;
    }
    let work = |i: &usize| i64::from(hands(&m.p.activities[*i])) * i64::from(m.p.activities[*i].duration);
    let total: i64 = list.iter().map(work).sum();
    if most > 0 { (total + most - 1) / most } else { 1 }
}

/// Steps of the place one after the other with waits between that no session is long enough for.
fn by_waits(m: &Model, list: &[usize], longest: Time, chain: &mut [(i64, bool)]) -> i64 {
    if list.iter().any(|i| m.p.activities[*i].calendar.is_none()) {
        return 1;
    }
    chain.fill((0, false));
    let mut most = 0;
    for i in m.order.iter().copied() {
        let mut best = (0, false);
        for (q, lag) in &m.preds[i] {
            let Lag::FinishStart { wait, .. } = lag else { continue };
            if m.p.activities[*q].fixed.is_some() {
                continue;
            }
            let table = wait.table.and_then(|t| m.p.wait_tables.get(t));
            let least =
                table.and_then(|t| t.iter().copied().min()).map_or(wait.minutes, |w| w.min(wait.minutes));
            // With a wait below nothing the two may lie in any order.
            if least < 0 {
                continue;
            }
            let (n, broken) = chain[*q];
            best = best.max((n, n > 0 && (broken || least > longest)));
        }
        let (n, broken) = best;
        // A list is made in the order of the activities.
        chain[i] = if list.binary_search(&i).is_err() {
            best
        } else if n == 0 || broken {
            (n + 1, false)
        } else {
            (n, false)
        };
        most = most.max(chain[i].0);
    }
    most
}
