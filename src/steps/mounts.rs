//! The *once* steps: making a mount, shown until recorded; from then on one look-over a year.

use std::collections::BTreeSet;

use super::build;
use super::facts::Facts;
use super::key::StepKey;
use super::progress::{Asked, Progress, State};
use super::step::{Edge, Reason, Step};
use crate::domain::{Access, Phase, Placement, RecipeAccess, StepDeed};

/// What of a mount comes before its placement goes up.
pub(super) struct Gate {
    edge: Edge,
    /// Looking it over, or making it by climbing to it, without a cure.
    aloft: bool,
}

/// A name as it stands in a key.
pub(super) fn slug(name: &str) -> String {
    name.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '_' }).collect()
}

/// What a mount is called in a key: its piece, or the place, method and name it is known by.
fn mount_owner(facts: &Facts, placement: &Placement) -> String {
    if let Some(mount) = placement.mount_id {
        return mount.to_string();
    }
    let slug = slug(&placement.name);
    let place = placement.place_id.map_or_else(|| "nowhere".to_owned(), |p| p.to_string());
    let method = placement.method_id.map_or_else(|| "set_out".to_owned(), |m| m.to_string());
    // Others of the season that are called the same have mounts of their own.
    match facts.namesakes_before(placement) {
        0 => format!("{place}.{method}.{slug}"),
        n => format!("{place}.{method}.{slug}.{}", n + 1),
    }
}

/// The once steps of one placement's mount that belong in this season's plan.
///
/// A mount counts as made when the last of its making steps is done or skipped; from the next year on its look-over
/// shows, with the year in its key. A mount shared by several placements gives its steps once: `seen` remembers.
pub(super) fn mount_steps(
    facts: &Facts,
    placement: &Placement,
    year: &str,
    progress: &Asked,
    seen: &mut BTreeSet<StepKey>,
    steps: &mut Vec<Step>,
) -> Vec<Gate> {
    let Some(method) = facts.method_of(placement) else { return Vec::new() };
    let owner = mount_owner(facts, placement);
    let recipe = facts.recipe(method.id);
    let making: Vec<_> =
        recipe.iter().filter(|r| r.phase == Phase::Once && r.deed != StepDeed::LookOver).copied().collect();
    let key_of = |code: &str| StepKey::of("mount", &owner, code, Phase::Once);
    let over = |code: &str| {
        progress.get(&key_of(code)).is_some_and(|p| matches!(p.state, State::Done | State::Skipped))
    };
    let made = making.iter().all(|r| over(&r.code));
    let mut gates: Vec<Gate> = Vec::new();
    let mut before: Option<(StepKey, Edge)> = None;
    for r in &making {
        let key = key_of(&r.code);
        // What was made this year stays in the list, ticked; its tick carries what still cures.
        let wait = r.wait_s.minutes_up();
        if made && !lately(progress.get(&key), year) {
            continue;
        }
        let mut step = build::recipe_step(facts, placement, r, key.clone());
        step.phase = Phase::Once;
        if let Some((_, edge)) = before.take() {
            step.add_edge(edge);
        }
        let title = facts.yard.terms().say(&r.title);
        let mut edge = Edge::after(
            key.clone(),
            if wait > 0 { Reason::Cures } else { Reason::Sequence },
            if wait > 0 {
                format!("\"{title}\" must cure or set first")
            } else {
                format!("the mount is made first: \"{title}\"")
            },
        );
        edge.wait_min = wait;
        let indoors = facts.indoors(placement.place_id) || r.access == RecipeAccess::Bench;
        edge.cure = r.cure_rule.filter(|_| !indoors);
        before = Some((key.clone(), edge.clone()));
        let climbs = matches!(step.access, Access::ExtensionLadder | Access::Roof);
        gates.push(Gate { edge, aloft: climbs && wait == 0 });
        if seen.insert(key) {
            steps.push(step);
        }
    }
    if made && !making.is_empty() {
        // What was made, or looked over as a piece, this year was seen this year; a look-over that was ticked shows.
        let seen_already = making.iter().any(|r| lately(progress.get(&key_of(&r.code)), year))
            || placement
                .mount_id
                .and_then(|m| facts.piece(m))
                .and_then(|p| p.looked_over_on)
                .is_some_and(|on| on.format("%Y").to_string() == year);
        for r in recipe.iter().filter(|r| r.deed == StepDeed::LookOver && r.phase == Phase::Once) {
            let key = StepKey::new("mount", &owner, &r.code, year);
            if seen_already && !progress.contains_key(&key) {
                continue;
            }
            let edge = Edge::after(key.clone(), Reason::Sequence, "the mount is looked over once a year");
            gates.push(Gate { edge, aloft: true });
            if seen.insert(key.clone()) {
                let mut step = build::recipe_step(facts, placement, r, key);
                step.phase = Phase::Up;
                steps.push(step);
            }
        }
    }
    gates
}

/// Puts what makes and looks over the mount before the placement's first step up. What is lit on the ground first needs
/// no mount where making it or looking it over means a climb: one climb does for both.
pub(super) fn gate(gates: Vec<Gate>, own: &mut [Step]) {
    let first = own.iter().position(|s| s.deed != StepDeed::GroundLight);
    for Gate { edge, aloft } in gates {
        let at = if aloft { first.unwrap_or(0) } else { 0 };
        if let Some(step) = own.get_mut(at) {
            step.add_edge(edge);
        }
    }
}

/// Whether a once step was recorded in the season's own year, so that its cure may still matter.
fn lately(progress: Option<&Progress>, year: &str) -> bool {
    let Some(to) = progress.and_then(|p| p.to) else { return false };
    chrono::DateTime::from_timestamp_millis(to.0).is_some_and(|t| t.format("%Y").to_string() == year)
}
