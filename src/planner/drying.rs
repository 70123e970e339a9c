//! The drying place: what is laid out fills a place of it until it is dry, and nothing comes off that would find none.

use super::engine::{Activity, Hold, Resource, Time, Wait};
use super::map::{Binding, Item};
use crate::steps::State;

/// Lets each drying step hold one of `slots` places, and what comes off for it one of as many, for as long: laid out the
/// same day, it finds its place. The second is implied but for the minutes between the two; without it a search finds
/// out only when the thing is down.
pub(super) fn dry(
    items: &[Item],
    bindings: &[Vec<Binding>],
    slots: i64,
    activities: &mut [Activity],
    (resources, names): (&mut Vec<Resource>, &mut Vec<String>),
) {
    let place = resources.len();
    let twins = if slots > 0 { 2 } else { 1 };
    for _ in 0..twins {
        resources.push(Resource { capacity: slots as i32, dips: Vec::new(), with_setup: false });
        names.push("the drying place".to_owned());
    }
    let mut hold = |at: usize, resource: usize, wait: i64| {
        if let Some(a) = activities.get_mut(at) {
            a.holds.push(Hold { resource, amount: 1, from_start: false, wait: Wait::fixed(wait as Time) });
        }
    };
    for (at, item) in items.iter().enumerate().filter(|(_, i)| i.state != State::Skipped && !i.left_out) {
        let Some(wait) = item.step.drying_min else { continue };
        hold(at, place, wait);
        if twins < 2 {
            continue;
        }
        let before = bindings.get(at).into_iter().flatten().filter(|b| b.same_day).map(|b| b.before);
        for off in before.filter(|b| items.get(*b).is_some_and(|i| i.state == State::Open)) {
            hold(off, place + 1, wait);
        }
    }
}
