//! The bench, up and down steps of one placement, by its method's recipe.

use std::collections::BTreeMap;

use super::build;
use super::cautions::unlit;
use super::facts::Facts;
use super::key::StepKey;
use super::step::{Edge, Reason, Step};
use crate::domain::{
    Access, Applies, Phase, Placement, RecipeAccess, RecipeStep, Role, StepDeed, Terms, WaitKind,
};

/// Whether a thing stays up all year: told so, or so by its method.
fn stays(facts: &Facts, placement: &Placement) -> bool {
    placement.permanent || facts.method_of(placement).is_some_and(|m| m.stays)
}

/// Whether a recipe step is done for this placement at all.
fn applies(facts: &Facts, placement: &Placement, recipe: &RecipeStep) -> bool {
    let above_reach = facts.access(placement.place_id) != Access::Ground;
    match recipe.applies {
        Applies::Always => true,
        Applies::Seasonal => !stays(facts, placement),
        Applies::Permanent => stays(facts, placement),
        Applies::AboveReach => above_reach && !stays(facts, placement),
    }
}

/// What is known to have no light is not plugged in, and what is no light is not lit on the ground first.
fn dark(facts: &Facts, placement: &Placement, recipe: &RecipeStep) -> bool {
    let Some(product) = facts.product_of(placement) else { return false };
    let electric = matches!(
        recipe.deed,
        StepDeed::BenchTest
            | StepDeed::GroundLight
            | StepDeed::Connect
            | StepDeed::Test
            | StepDeed::Disconnect
    );
    let no_light = matches!(product.role, Role::Network | Role::Player | Role::Sound);
    electric && unlit(product) || no_light && recipe.deed == StepDeed::GroundLight
}

/// A permanent thing is looked after, not put up again: of its up steps, only looking, connecting and testing.
fn stays_up(facts: &Facts, placement: &Placement, recipe: &RecipeStep) -> bool {
    stays(facts, placement)
        && recipe.phase == Phase::Up
        && !matches!(
            recipe.deed,
            StepDeed::LookOver | StepDeed::Connect | StepDeed::Test | StepDeed::Check | StepDeed::Adjust
        )
}

/// Whether the placement puts out something electrical that a bench test makes sense for. Where no product is told,
/// it does: better one test too many.
fn bench_testable(facts: &Facts, placement: &Placement) -> bool {
    facts.product_of(placement).is_none_or(|p| {
        matches!(
            p.role,
            Role::Prop | Role::Box | Role::Controller | Role::Sound | Role::Player | Role::Network
        ) && (p.pixels.is_some_and(|n| n > 0)
            || p.load_mw.is_some()
            || p.ports.is_some()
            || p.volts_mv.is_some()
            || p.rated_mw.is_some())
    })
}

/// Steps of `phase` (bench, up or down) for a placement, in the recipe's order, with the recipe's own edges.
pub(super) fn phase_steps(facts: &Facts, placement: &Placement, phase: Phase) -> Vec<Step> {
    let Some(method) = facts.method_of(placement) else { return Vec::new() };
    if phase == Phase::Bench && (stays(facts, placement) || !bench_testable(facts, placement)) {
        return Vec::new();
    }
    let recipe: Vec<&RecipeStep> = facts
        .recipe(method.id)
        .iter()
        .copied()
        .filter(|r| r.phase == phase)
        .filter(|r| applies(facts, placement, r) && !stays_up(facts, placement, r))
        .filter(|r| !dark(facts, placement, r))
        .collect();
    let key_of = |code: &str| StepKey::of("placement", placement.id, code, phase);
    let by_code: BTreeMap<&str, &RecipeStep> = recipe.iter().map(|r| (r.code.as_str(), *r)).collect();
    let mut steps: Vec<Step> = Vec::with_capacity(recipe.len());
    let mut previous: Option<&RecipeStep> = None;
    for r in &recipe {
        let mut step = build::recipe_step(facts, placement, r, key_of(&r.code));
        if r.wait_kind == Some(WaitKind::Dry) {
            step.drying_min = Some(r.wait_s.minutes_up());
        }
        let told: Vec<&RecipeStep> = r.after.iter().filter_map(|c| by_code.get(c).copied()).collect();
        let before = if told.is_empty() { previous.into_iter().collect() } else { told };
        for b in before {
            let mut edge =
                recipe_edge(facts.yard.terms(), key_of(&b.code), b, r, facts.indoors(placement.place_id));
            edge.same_day |= before_drying(&recipe, r);
            step.add_edge(edge);
        }
        steps.push(step);
        previous = Some(r);
    }
    steps
}

/// What comes off wet is laid out on the day it comes off, and so is what is done to it in between.
fn before_drying(recipe: &[&RecipeStep], step: &RecipeStep) -> bool {
    let dries = |d: &&RecipeStep| d.phase == Phase::Down && d.deed == StepDeed::Dry;
    let drained = || recipe.iter().copied().filter(dries).any(|d| d.after.iter().any(|c| *c == step.code));
    dries(&step) || step.phase == Phase::Down && step.deed == StepDeed::Other && drained()
}

/// The edge from one recipe step to a later one: its wait, and the same day where the later asks for it.
fn recipe_edge(terms: Terms, key: StepKey, before: &RecipeStep, then: &RecipeStep, indoors: bool) -> Edge {
    let title = terms.say(&before.title);
    let (reason, why) = match before.wait_kind {
        Some(WaitKind::Cure) => (Reason::Cures, format!("\"{title}\" must cure first")),
        Some(WaitKind::Dry) => (Reason::Dries, "it dries before it is packed".to_owned()),
        Some(WaitKind::Other) | None if before.deed == StepDeed::Test => {
            (Reason::Tested, format!("after \"{title}\""))
        }
        Some(WaitKind::Other) | None => (Reason::Sequence, format!("after \"{title}\"")),
    };
    let mut edge = Edge::after(key, reason, why);
    edge.wait_min = before.wait_s.minutes_up();
    // Indoors no night makes it longer.
    edge.cure = before.cure_rule.filter(|_| !indoors && before.access != RecipeAccess::Bench);
    edge.within_min = then.within_s.map(crate::units::Span::minutes_up);
    edge.same_day = then.same_day && before.deed == StepDeed::GroundLight;
    edge
}
