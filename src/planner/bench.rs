//! Tests that run by themselves as the engine takes them: room at the bench, and what is watched.

use super::ask::BENCH_TESTS;
use super::engine::{Activity, Hold, Resource, Run, Time, Wait};
use super::map::{Binding, Item};
use crate::steps::{State, looks};

/// The room for tests at the bench, where there are any that run by themselves.
pub(super) fn bench_room(
    items: &[Item],
    told: Option<i64>,
    resources: &mut Vec<Resource>,
    names: &mut Vec<String>,
) -> Option<usize> {
    items.iter().find(|i| looks(i.step).is_some())?;
    let capacity = told.unwrap_or(BENCH_TESTS) as i32;
    resources.push(Resource { capacity, dips: Vec::new(), with_setup: false });
    names.push("the bench".to_owned());
    Some(resources.len() - 1)
}

/// A test takes its room at the bench from its start until somebody has looked.
pub(super) fn run_tests(
    items: &[Item],
    bindings: &[Vec<Binding>],
    bench: usize,
    activities: &mut [Activity],
) {
    for (look, list) in bindings.iter().enumerate() {
        let due = |i: &&Item| matches!(i.state, State::Open | State::Held | State::Doing);
        let Some(item) = items.get(look).filter(due) else { continue };
        let Some(b) = list.iter().find(|b| b.watched) else { continue };
        let wait = Wait::fixed((b.wait_min + item.minutes) as Time);
        if let Some(start) = activities.get_mut(b.before) {
            start.holds.push(Hold { resource: bench, amount: 1, from_start: true, wait });
        }
        if let Some(a) = activities.get_mut(look) {
            a.run = Some(Run { from: b.before, takes: bench });
        }
    }
}
