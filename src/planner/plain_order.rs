//! A plan without a search, which a better one is measured against.

use super::ask::{Effort, Request};
use super::engine::solve;
use super::items::Prepared;
use super::make::{Frame, Solver};
use super::plan::{Plan, Told};
use crate::steps::StepKey;

/// The plan that a plain topological order gives: what waits for nothing first, in the order in which it becomes free
/// (A. B. Kahn, "Topological sorting of large networks", CACM 5 (1962) 558-562), placed as it comes by the same rules
/// and without a search. It is what a better plan is measured against.
pub fn plan_by_plain_order(request: &Request) -> Plan {
    let prepared = Prepared::new(request);
    let n = prepared.items.len();
    let mut open: Vec<usize> = prepared.bound.iter().map(Vec::len).collect();
    let mut next: Vec<Vec<usize>> = vec![Vec::new(); n];
    for (i, list) in prepared.bound.iter().enumerate() {
        for b in list {
            if let Some(s) = next.get_mut(b.before) {
                s.push(i);
            }
        }
    }
    let mut order: Vec<usize> = (0..n).filter(|i| open.get(*i) == Some(&0)).collect();
    let mut k = 0;
    while let Some(i) = order.get(k).copied() {
        k += 1;
        for s in next.get(i).into_iter().flatten() {
            if let Some(o) = open.get_mut(*s) {
                *o -= 1;
                if *o == 0 {
                    order.push(*s);
                }
            }
        }
    }
    let keys: Vec<StepKey> =
        order.iter().filter_map(|i| prepared.items.get(*i)).map(|i| i.step.key.clone()).collect();
    let told = Told {
        sessions: !request.facts.yard.sessions.is_empty(),
        people: !request.facts.yard.people.is_empty(),
        equipment: prepared.equipment.told,
    };
    let request = Request { kept: &keys, ..*request };
    let frame = Frame {
        request: &request,
        calendar: &prepared.calendar,
        equipment: &prepared.equipment,
        told,
        expected: &[],
    };
    let solver: Solver = &|p, l, c, _| solve(p, l, c);
    frame.dated(&prepared.items, &prepared.bound, Effort::of(1), (&[], 0, solver))
}
