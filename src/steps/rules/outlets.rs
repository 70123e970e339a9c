//! An outlet that is not there yet: what is plugged into it is connected, and its box plugged in, from the day it is ready.

use std::collections::BTreeSet;

use crate::domain::{Link, LinkKind, PlacementId, Season, StepDeed};
use crate::steps::facts::Facts;
use crate::steps::step::Step;

/// Sets the day before which the placements that hang on such an outlet, through whatever cords, are not plugged in.
pub(in crate::steps) fn outlets(facts: &Facts, season: &Season, steps: &mut [Step]) {
    let links = facts.links_in(season.id);
    let cords: Vec<&Link> = links.into_iter().filter(|l| l.kind == LinkKind::Mains).collect();
    for cord in &cords {
        let outlet = cord.from_outlet_id.and_then(|id| facts.yard.outlets.iter().find(|o| o.id == id));
        let Some(ready) = outlet.and_then(|o| o.ready_on).and_then(|d| d.and_hms_opt(0, 0, 0)) else {
            continue;
        };
        let plugged = behind(facts, season, &cords, cord);
        let plugs_in = |s: &&mut Step| {
            let mine = s.placement.is_some_and(|p| plugged.contains(&p));
            mine && matches!(s.deed, StepDeed::Connect | StepDeed::Power)
        };
        for step in steps.iter_mut().filter(plugs_in) {
            step.not_before = step.not_before.max(Some(ready));
        }
    }
}

/// The placements that a cord leads to, through splitters, extensions and other placements.
fn behind(facts: &Facts, season: &Season, cords: &[&Link], cord: &Link) -> BTreeSet<PlacementId> {
    let placed = |l: &Link| {
        let by_piece = || facts.placement_of_piece(season.id, l.to_piece_id?).map(|p| p.id);
        l.to_placement_id.or_else(by_piece)
    };
    let (mut open, mut seen, mut all) = (vec![cord], BTreeSet::new(), BTreeSet::new());
    while let Some(at) = open.pop() {
        if !seen.insert(at.id) {
            continue;
        }
        all.extend(placed(at));
        let goes_on = |l: &&&Link| {
            let from_piece = l.from_piece_id.is_some() && l.from_piece_id == at.to_piece_id;
            let by_piece = || facts.placement_of_piece(season.id, l.from_piece_id?).map(|p| p.id);
            let from = l.from_placement_id.or_else(by_piece);
            from_piece || from.is_some() && from == placed(at)
        };
        open.extend(cords.iter().filter(goes_on).copied());
    }
    all
}
