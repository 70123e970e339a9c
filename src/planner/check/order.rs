//! The order of steps, read once more from the facts: no edge of the plan is trusted.
//!
//! `placed` looks at what carries, feeds, lies or stands below, `firsts` at what is looked over, chosen or measured
//! first, `rounds` at the rounds of the boxes, `climbs` at what is done together in one session. Here: the recipe's own
//! order, the buried lines, the power off before takedown, and the rehearsal after all work.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Duration, Utc};

use super::{Found, View};
use crate::domain::{DutyKind, MethodId, Phase, PieceId, PlacementId, RecipeStep, SeasonId, StepDeed};
use crate::planner::PlannedStep;
use crate::steps::{Role, State, StepKey};

/// The steps of a plan by what they belong to.
pub(super) struct Steps<'a> {
    pub(super) of: BTreeMap<PlacementId, Vec<&'a PlannedStep>>,
    /// The box that feeds each placement.
    pub(super) fed: BTreeMap<PlacementId, PieceId>,
    recipes: BTreeMap<(MethodId, &'a str), &'a RecipeStep>,
    empty: Vec<&'a PlannedStep>,
}

impl<'a> Steps<'a> {
    pub(super) fn new(view: &View<'a>) -> Self {
        let mut of: BTreeMap<PlacementId, Vec<&'a PlannedStep>> = BTreeMap::new();
        for p in &view.plan.steps {
            if let Some(id) = p.step.placement {
                of.entry(id).or_default().push(p);
            }
        }
        let recipes: BTreeMap<_, _> =
            view.facts.yard.recipe_steps.iter().map(|r| ((r.method_id, r.code.as_str()), r)).collect();
        let seasons: BTreeSet<SeasonId> =
            of.keys().filter_map(|id| view.facts.placement(*id)).map(|p| p.season_id).collect();
        let fed = seasons.iter().flat_map(|s| view.facts.fed_by(*s)).collect();
        let mut steps = Self { of: BTreeMap::new(), fed, recipes, empty: Vec::new() };
        // In the order of their recipes, whatever order the plan lists them in.
        for list in of.values_mut() {
            list.sort_by_key(|p| steps.recipe(p).map(|r| r.position));
        }
        steps.of = of;
        steps
    }

    pub(super) fn recipe(&self, p: &PlannedStep) -> Option<&'a RecipeStep> {
        self.recipes.get(&(p.step.method?, p.step.recipe_step.as_str())).copied()
    }

    pub(super) fn of(
        &self,
        id: PlacementId,
    ) -> impl DoubleEndedIterator<Item = &'a PlannedStep> + Clone + '_ {
        self.of.get(&id).unwrap_or(&self.empty).iter().copied()
    }

    pub(super) fn ups(
        &self,
        id: PlacementId,
    ) -> impl DoubleEndedIterator<Item = &'a PlannedStep> + Clone + '_ {
        self.of(id).filter(|p| p.step.phase == Phase::Up && p.step.deed != StepDeed::Desk && !is_mount(p))
    }
}

/// Making and looking over a mount has keys of its own.
pub(super) fn is_mount(p: &PlannedStep) -> bool {
    p.step.key.as_str().starts_with("mount:")
}

/// The plan's step whose key begins so.
pub(super) fn step_of<'a>(view: &View<'a>, begin: &str) -> Option<&'a PlannedStep> {
    let from = StepKey::from_text(begin);
    let (key, step) = view.steps.range::<StepKey, _>(&from..).next()?;
    key.as_str().starts_with(begin).then_some(*step)
}

/// Whether `first` begins after `then`, or is nowhere, by the same measure as [`must`].
pub(super) fn breaks(view: &View, pair: (&PlannedStep, &PlannedStep)) -> bool {
    let mut found = Found::default();
    must(view, &mut found, "", pair, Duration::zero());
    !found.0.is_empty()
}

/// `first` must be over, by `wait`, when `then` begins. Only a step that this plan puts somewhere can be wrong: what
/// was done was done.
pub(super) fn must(
    view: &View,
    found: &mut Found,
    code: &'static str,
    (first, then): (&PlannedStep, &PlannedStep),
    wait: Duration,
) {
    let due = matches!(first.state, State::Open | State::Held | State::Doing);
    if first.step.key == then.step.key || then.state != State::Open {
        return;
    }
    // What is left out hangs over nobody, and nobody connects or rehearses it.
    if view.leaves_out(&first.step) && (then.step.placement.is_none() || code == "overhead_later") {
        return;
    }
    if !view.plan.told.sessions {
        if due && first.order >= then.order && then.order > 0 {
            found.say(code, &then.step.key, format!("listed before {}", first.step.key));
        }
        return;
    }
    let Some(from) = then.from else { return };
    let late = match first.to {
        Some(end) if due || first.state == State::Done => {
            end + if due { wait } else { Duration::zero() } > from && (due || end > view.now)
        }
        None => due,
        Some(_) => false,
    };
    if late {
        let end = first.to.map_or_else(|| "not placed".to_owned(), |t| t.to_string());
        found.say(code, &then.step.key, format!("begins {from}, {} ends {end}", first.step.key));
    }
}

pub(super) fn look(view: &View, steps: &Steps, found: &mut Found) {
    for list in steps.of.values() {
        for phase in [Phase::Bench, Phase::Up, Phase::Down] {
            let own: Vec<&PlannedStep> =
                list.iter().copied().filter(|p| p.step.phase == phase && !is_mount(p)).collect();
            in_recipe_order(view, steps, &own, found);
        }
    }
    buried_lines(view, found);
    power_off(view, found);
    rehearsal(view, found);
}

/// Each step after the one before it in its recipe, or after those that it names.
fn in_recipe_order(view: &View, steps: &Steps, own: &[&PlannedStep], found: &mut Found) {
    let with: Vec<(&PlannedStep, &RecipeStep)> =
        own.iter().filter_map(|p| Some((*p, steps.recipe(p)?))).collect();
    for (k, (then, r)) in with.iter().enumerate() {
        let named: Vec<_> = with.iter().filter(|(_, b)| r.after.iter().any(|c| c == b.code)).collect();
        let before =
            if named.is_empty() { with.get(..k).and_then(|l| l.last()).into_iter().collect() } else { named };
        for (first, b) in before {
            let wait = Duration::minutes(b.wait_s.minutes_up());
            must(view, found, "recipe_order", (first, then), wait);
            if r.same_day && b.deed == StepDeed::GroundLight {
                same_day(view, first, then, "lit on the ground", found);
            }
            if r.deed == StepDeed::Dry {
                same_day(view, first, then, "taken off", found);
            }
        }
    }
}

/// Lit on the ground the day it goes up, laid out to dry the day it comes off.
fn same_day(view: &View, first: &PlannedStep, then: &PlannedStep, what: &str, found: &mut Found) {
    let day = |t: DateTime<Utc>| t.with_timezone(&view.plan.zone).date_naive();
    let open = first.state == State::Open && then.state == State::Open;
    if let Some((a, b)) = first.to.zip(then.from).filter(|_| open)
        && day(a) != day(b)
    {
        found.say("other_day", &then.step.key, format!("on {}, {what} on {}", day(b), day(a)));
    }
}

/// Nothing is driven into the ground before the answer to the buried-line request can be there.
fn buried_lines(view: &View, found: &mut Found) {
    let duties = view.facts.yard.duties.iter().filter(|d| d.kind == DutyKind::BuriedLines);
    for duty in duties.filter(|d| d.season_id == view.season.id) {
        let asked = format!("duty:{}/", duty.id);
        let Some(asked) = step_of(view, &asked) else { continue };
        let answer = Duration::days(duty.lead_days.unwrap_or(0));
        for p in &view.plan.steps {
            if p.step.phase == Phase::Up && p.step.deed == StepDeed::Drive {
                must(view, found, "lines_not_marked", (asked, p), answer);
            }
        }
    }
}

fn power_off(view: &View, found: &mut Found) {
    let down = |p: &&PlannedStep| p.step.phase == Phase::Down;
    let off = view
        .plan
        .steps
        .iter()
        .filter(down)
        .find(|p| p.step.deed == StepDeed::Power && p.step.key.as_str().starts_with("season:"));
    let Some(off) = off else { return };
    // What has begun to come down, out of order, is past it.
    let begun: BTreeSet<_> = view
        .plan
        .steps
        .iter()
        .filter(|p| down(p) && matches!(p.state, State::Done | State::Doing))
        .filter_map(|p| p.step.placement)
        .collect();
    let whole = |p: &&PlannedStep| p.step.placement.is_none_or(|id| !begun.contains(&id));
    for p in view.plan.steps.iter().filter(down).filter(whole) {
        must(view, found, "power_still_on", (off, p), Duration::zero());
    }
}

fn key_owner(p: &PlannedStep) -> String {
    p.step.key.as_str().split('/').next().unwrap_or("").to_owned()
}

/// The load part after all work of the season, the show after the load part, the lights on last.
fn rehearsal(view: &View, found: &mut Found) {
    let of = |role: Role| view.plan.steps.iter().filter(move |p| p.step.role == role);
    // Where something later of the same was done out of order, that stands for what came before.
    let owner = |p: &PlannedStep| p.step.placement.map_or_else(|| key_owner(p), |id| id.to_string());
    let done = |p: &&PlannedStep| matches!(p.state, State::Done | State::Doing | State::Skipped);
    let begun: BTreeSet<String> = view.plan.steps.iter().filter(done).map(owner).collect();
    let own = |p: &&PlannedStep| p.step.phase != Phase::Down && !begun.contains(&owner(p));
    for last in of(Role::Rehearsal) {
        for p in of(Role::Work).filter(own) {
            must(view, found, "rehearsed_too_soon", (p, last), Duration::zero());
        }
    }
    for on in of(Role::LightsOn) {
        for p in of(Role::Rehearsal) {
            must(view, found, "rehearsed_too_soon", (p, on), Duration::zero());
        }
    }
}
