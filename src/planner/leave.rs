//! What is left out so that the rest is ready. A prop that can't be in time, as one whose strap still cures, keeps what
//! hangs below it, the round of its box and the rehearsal waiting; without it they need not.
//!
//! What stands on it or is fed through it still waits. Not here: what to leave out for better odds (`drop_list`).

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::ask::{Effort, Request};
use super::map::{Binding, Item, bindings};
use super::order::positions;
use super::plan::{AfterEdge, Plan, PlannedStep};
use crate::domain::{Phase, PlacementId};
use crate::steps::{Reason, Role, State, Step, StepKey};

/// How often it is looked for more to leave out.
const ROUNDS: usize = 3;
/// Of what is in the way so many are tried, those for which most wait.
const TRIED: usize = 4;
/// A try is made with this share of the schedules, of a large yard with fewer: so many times a step is placed in it.
const SHARE: u64 = 10;
const TRY_STEPS: u64 = 100_000;

/// Whether a step of what is left out is waited for no more: what hangs above, the round of a box, the rehearsal. What
/// carries, feeds or lies below is waited for whatever happens.
fn passes(then: &Step, before: &Step, reason: Reason) -> bool {
    let free = matches!(reason, Reason::Above | Reason::Tested | Reason::Unpowered)
        || (then.placement.is_none() && reason == Reason::Sequence);
    free && then.placement != before.placement
}

/// The same for a step that waits, itself left out or not; a skipped one is bridged, too.
pub(super) fn bridged(then: &Item, before: &Item, reason: Reason) -> bool {
    let left_out = || before.left_out && (then.left_out || passes(then.step, before.step, reason));
    before.state == State::Skipped || left_out()
}

/// Makes the plan by `make`, then without what keeps others waiting in vain, as long as more gets ready by that. What is
/// best left out is tried with few schedules; the answer is made with all.
pub(super) fn without_hopeless<'a>(
    request: &Request,
    items: &[Item<'a>],
    effort: Effort,
    first: Plan,
    make: impl Fn(&[Item<'a>], &[Vec<Binding>], Effort) -> Plan,
) -> Plan {
    let stopped = first.stopped_by == "time";
    if stopped || !matches!(request.phase, Phase::Up | Phase::Change) {
        return first;
    }
    let without = |left: BTreeSet<PlacementId>, schedules: u64| {
        let mut fewer: Vec<Item> = items.to_vec();
        for item in fewer.iter_mut().filter(|i| i.state == State::Open) {
            item.left_out = belongs(item.step).is_some_and(|p| left.contains(&p));
        }
        let bound = bindings(&fewer, &positions(fewer.iter().map(|i| &i.step.key)));
        let plan = make(&fewer, &bound, Effort { schedules, progress: &|_| (), ..effort });
        Plan { left_out: left, ..plan }
    };
    let most = TRY_STEPS / items.len().max(1) as u64;
    let few = (effort.schedules / SHARE).min(most).max(1);
    let mut best: Option<Plan> = None;
    for _ in 0..ROUNDS {
        let so_far = best.as_ref().unwrap_or(&first);
        let tried = in_the_way(request, so_far).into_iter().map(|id| {
            let left = so_far.left_out.iter().copied().chain([id]).collect();
            without(left, few)
        });
        match tried.min_by_key(row).filter(|next| row(next) < row(so_far)) {
            Some(next) => best = Some(next),
            None => break,
        }
    }
    let Some(few_made) = best else { return first };
    let made = without(few_made.left_out, effort.schedules);
    if row(&made) >= row(&first) {
        return first;
    }
    let mut made = made;
    tell(request, &mut made, &first);
    made
}

/// Least is best: worth ready, then what has no place.
fn row(plan: &Plan) -> (i64, usize) {
    let worth = plan.goals.iter().find(|g| g.name == "worth_ready").map_or(0, |g| g.value);
    (-worth, plan.unplaced.len())
}

/// The placement whose step it is; making its mount is work for years to come.
fn belongs(step: &Step) -> Option<PlacementId> {
    let own = matches!(step.phase, Phase::Up | Phase::Bench) && step.role == Role::Work;
    step.placement.filter(|_| own && !step.key.as_str().starts_with("mount:"))
}

/// Placements that are late or nowhere by themselves, and for which others wait.
fn in_the_way(request: &Request, plan: &Plan) -> Vec<PlacementId> {
    let out: BTreeSet<&StepKey> = plan.unplaced.iter().filter(|u| u.code == "held").map(|u| &u.key).collect();
    let late: BTreeMap<&StepKey, &PlannedStep> = plan
        .steps
        .iter()
        .filter(|p| p.state == State::Open && (p.late || p.from.is_none()) && !out.contains(&p.step.key))
        .filter(|p| belongs(&p.step).is_none_or(|id| !plan.left_out.contains(&id)))
        .map(|p| (&p.step.key, p))
        .collect();
    let ours =
        |id: &PlacementId| request.facts.placement(*id).is_some_and(|p| p.season_id == request.season.id);
    // The cause is what is late though nothing before it is.
    let begins = |p: &&&PlannedStep| !p.after.iter().any(|e| late.contains_key(&e.key));
    let causes: BTreeSet<PlacementId> =
        late.values().filter(begins).filter_map(|p| belongs(&p.step)).filter(ours).collect();
    let mut waiting: BTreeMap<PlacementId, usize> = BTreeMap::new();
    for p in late.values() {
        for edge in &p.after {
            let before = late.get(&edge.key).filter(|b| passes(&p.step, &b.step, edge.reason));
            if let Some(cause) = before.and_then(|b| belongs(&b.step)).filter(|b| causes.contains(b)) {
                *waiting.entry(cause).or_default() += 1;
            }
        }
    }
    let mut all: Vec<(PlacementId, usize)> = waiting.into_iter().collect();
    all.sort_by_key(|(id, n)| (std::cmp::Reverse(*n), *id));
    all.into_iter().take(TRIED).map(|(id, _)| id).collect()
}

/// Why it is left out: what of it had no place by itself, else the day on which it would be ready.
fn tell(request: &Request, made: &mut Plan, first: &Plan) {
    for id in &made.left_out {
        let own = |key: &StepKey| first.step(key).filter(|p| belongs(&p.step) == Some(*id));
        let cause = first.unplaced.iter().find(|u| u.code != "waits_for_unplaced" && own(&u.key).is_some());
        let name = request.facts.placement(*id).map_or("it", |p| p.name.as_str());
        let ready = first.steps.iter().filter(|p| belongs(&p.step) == Some(*id)).filter_map(|p| p.to).max();
        let why = match (cause, ready) {
            (Some(cause), _) => cause.why.clone(),
            (None, Some(t)) => {
                format!("{name} would be ready on {}", t.with_timezone(&first.zone).format("%-d %b %Y"))
            }
            (None, None) => format!("{name} would not be ready in time"),
        };
        for refusal in made.unplaced.iter_mut().filter(|u| own(&u.key).is_some()) {
            match cause.filter(|c| c.key == refusal.key) {
                Some(cause) => refusal.clone_from(cause),
                None => refusal.why = format!("left out: {why}, and others would wait for it"),
            }
        }
    }
}

/// The edges in force: what is left out is bridged, its own waits fall away.
pub(super) fn bridge(steps: &mut [PlannedStep], out: &BTreeSet<StepKey>) {
    // Behind what is left out, what is skipped is bridged with it.
    let gone: BTreeMap<StepKey, (Arc<Step>, Vec<AfterEdge>)> = steps
        .iter()
        .filter(|p| out.contains(&p.step.key) || (p.state == State::Skipped && !out.is_empty()))
        .map(|p| (p.step.key.clone(), (Arc::clone(&p.step), p.after.clone())))
        .collect();
    for p in steps.iter_mut().filter(|p| !out.contains(&p.step.key)) {
        let passed = |e: &&AfterEdge| {
            let before = gone.get(&e.key).filter(|_| out.contains(&e.key));
            before.is_some_and(|(b, _)| passes(&p.step, b, e.reason))
        };
        let mut todo: Vec<&StepKey> = p.after.iter().filter(passed).map(|e| &e.key).collect();
        if todo.is_empty() {
            continue;
        }
        let mut kept: Vec<AfterEdge> = p.after.iter().filter(|e| !passed(e)).cloned().collect();
        let mut seen: BTreeSet<&StepKey> = BTreeSet::new();
        while let Some(key) = todo.pop() {
            if !seen.insert(key) {
                continue;
            }
            for edge in gone.get(key).into_iter().flat_map(|(_, after)| after) {
                if gone.contains_key(&edge.key) {
                    todo.push(&edge.key);
                } else if !kept.iter().any(|e| e.key == edge.key) {
                    kept.push(AfterEdge {
                        wait_min: 0,
                        within_min: None,
                        same_day: false,
                        watched: false,
                        ..edge.clone()
                    });
                }
            }
        }
        p.after = kept;
    }
}
