//! A lead, cord or cable is laid before either of its ends is plugged in.

use super::carries::add;
use super::of;
use crate::domain::{BoxMode, LinkKind, Phase, PieceId, PlacementId, SeasonId, StepDeed};
use crate::steps::facts::Facts;
use crate::steps::key::StepKey;
use crate::steps::step::{Edge, Reason, Step};

/// From the laying of each run to what is plugged at its ends.
pub(in crate::steps) fn lays(facts: &Facts, season: SeasonId, steps: &mut [Step]) {
    let mut edges: Vec<(StepKey, Edge)> = Vec::new();
    for link in facts.links_in(season) {
        let Some(lead) = link.lead_id else { continue };
        let Some(run) = facts.placement_of_piece(season, lead) else { continue };
        let ups = || of(steps, run.id).filter(|s| s.phase == Phase::Up);
        let Some(laid) = ups().find(|s| s.deed == StepDeed::Set) else { continue };
        let ends = [(link.from_piece_id, link.from_placement_id), (link.to_piece_id, link.to_placement_id)];
        for (piece, placement) in ends {
            let placed = placement.or_else(|| Some(facts.placement_of_piece(season, piece?)?.id));
            let Some(placed) = placed.filter(|p| *p != run.id) else { continue };
            for key in plugged(facts, steps, placed, piece, link.kind) {
                let why = format!("{} is laid before its ends are plugged", run.name);
                edges.push((key, Edge::after(laid.key.clone(), Reason::Feeds, why)));
            }
        }
    }
    add(steps, edges);
}

/// The steps that plug a lead of this kind at its end: into a box its cord with the power, all else with its outputs.
fn plugged(
    facts: &Facts,
    steps: &[Step],
    placed: PlacementId,
    piece: Option<PieceId>,
    kind: LinkKind,
) -> Vec<StepKey> {
    let off = |s: &&Step| {
        let recipe = s.method.into_iter().flat_map(|m| facts.recipe(m));
        recipe.into_iter().any(|r| r.code == s.recipe_step && r.box_mode == Some(BoxMode::Off))
    };
    let ups = || of(steps, placed).filter(|s| s.phase == Phase::Up);
    let first: Vec<StepKey> = match (piece, kind) {
        (Some(_), LinkKind::Mains) => {
            ups().filter(|s| s.deed == StepDeed::Power).map(|s| s.key.clone()).collect()
        }
        (Some(_), _) => ups().find(off).map(|s| s.key.clone()).into_iter().collect(),
        (None, _) => ups().filter(|s| s.deed == StepDeed::Connect).map(|s| s.key.clone()).collect(),
    };
    first
}
