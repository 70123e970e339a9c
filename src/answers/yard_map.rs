//! The yard as a map of its places, with progress and faults.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::answers::view::{YardMap, YardPlace};
use crate::answers::walk::states::states;
use crate::domain::{Place, Season};
use crate::planner::Plan;
use crate::steps::State;

/// Spacing of places that have no position told.
const STEP_MM: i64 = 4000;

/// The map of a season and its plan; of the places alone where there is none.
pub fn yard_page(outlook: &Outlook, of: Option<(&Season, &Plan)>) -> YardMap {
    let plan = of.map(|(_, plan)| plan);
    let facts = outlook.facts();
    let laid_out = outlook.yard.places.iter().all(|p| p.map_x_mm.is_none());
    let mut next: BTreeMap<Option<crate::domain::PlaceId>, i64> = BTreeMap::new();
    let states = plan.map(|p| states(outlook, p)).unwrap_or_default();
    let mut places = Vec::new();
    for (row, place) in outlook.yard.places.iter().enumerate() {
        let (x, y) = position(place, row, &mut next);
        let mut out = YardPlace {
            code: place.code.clone(),
            name: place.name.clone(),
            x_mm: x,
            y_mm: y,
            access: facts.access(Some(place.id)).as_str(),
            done: 0,
            total: 0,
            ready: 0,
            faults: 0,
            load_w: None,
            placements: Vec::new(),
        };
        for p in plan.iter().flat_map(|p| &p.steps).filter(|p| p.step.place == Some(place.id)) {
            out.total += 1;
            match states.of(p) {
                State::Done | State::Skipped => out.done += 1,
                State::Open => {
                    let free = p.after.iter().all(|e| states.at(&e.key).is_none() || states.over(&e.key));
                    out.ready += usize::from(free);
                }
                State::Doing | State::Held => {}
            }
        }
        if let Some((season, _)) = of {
            for placement in facts.placements_in(season.id).iter().filter(|p| p.place_id == Some(place.id)) {
                out.placements.push(placement.name.clone());
                let faults = facts.pieces_of(placement.id).iter().map(|p| facts.open_faults(*p).len());
                out.faults += faults.sum::<usize>();
            }
        }
        places.push(out);
    }
    YardMap { places, laid_out }
}

/// Where a place lies on the map: as told, or beside its parent's other children.
fn position(
    place: &Place,
    row: usize,
    next: &mut BTreeMap<Option<crate::domain::PlaceId>, i64>,
) -> (i64, i64) {
    if let (Some(x), Some(y)) = (place.map_x_mm, place.map_y_mm) {
        return (x.mm(), y.mm());
    }
    let n = next.entry(place.parent_id).or_insert(0);
    *n += 1;
    ((*n % 6) * STEP_MM, (row as i64 / 6) * STEP_MM)
}
