//! An outlet that is not there yet: what is plugged into it is connected from the day it is ready.

use crate::domain::{LinkKind, Season, StepDeed};
use crate::steps::facts::Facts;
use crate::steps::step::Step;

/// Sets the day before which the placements whose cord begins at such an outlet are not connected.
pub(in crate::steps) fn outlets(facts: &Facts, season: &Season, steps: &mut [Step]) {
    for cord in facts.links_in(season.id).into_iter().filter(|l| l.kind == LinkKind::Mains) {
        let outlet = cord.from_outlet_id.and_then(|id| facts.yard.outlets.iter().find(|o| o.id == id));
        let Some(ready) = outlet.and_then(|o| o.ready_on).and_then(|d| d.and_hms_opt(0, 0, 0)) else {
            continue;
        };
        let by_piece = || facts.placement_of_piece(season.id, cord.to_piece_id?).map(|p| p.id);
        let Some(placement) = cord.to_placement_id.or_else(by_piece) else { continue };
        let connects = |s: &&mut Step| s.placement == Some(placement) && s.deed == StepDeed::Connect;
        for step in steps.iter_mut().filter(connects) {
            step.not_before = step.not_before.max(Some(ready));
        }
    }
}
