//! The yard as a map of its places, with progress, faults and load.

use std::collections::BTreeSet;

use crate::answers::Outlook;
use crate::answers::view::{Building, YardMap, YardPlace};
use crate::answers::walk::list::{List, Row, list_deed, next};
use crate::answers::walk::ready::Readiness;
use crate::answers::walk::states::states;
use crate::domain::{Access, Place, Placement, PlacementId, Product, Season};
use crate::planner::{Plan, PlannedStep};
use crate::steps::State;
use crate::units::{Length, Power};

/// Spacing of places that have no position told.
const STEP_MM: i64 = 4000;
/// Places side by side where none is measured.
const BESIDE: i64 = 5;

/// The map of a season and its plan; of the places alone where there is none.
pub fn yard_page(outlook: &Outlook, of: Option<(&Season, &Plan)>) -> YardMap {
    let plan = of.map(|(_, plan)| plan);
    let facts = outlook.facts();
    let laid_out = outlook.yard.places.iter().all(|p| p.map_x_mm.is_none());
    let mut free = 0;
    let levels = of.map(|(season, _)| crate::answers::power::levels(outlook, &facts, season, None));
    // A few places stand so far apart that their names have room.
    let beside = match outlook.yard.places.len() {
        0..=12 => 2,
        13..=24 => 3,
        _ => BESIDE,
    };
    let states = plan.map(|p| states(outlook, p)).unwrap_or_default();
    let ready = plan.map(|plan| Readiness::of(outlook, &facts, plan, &states));
    let list = plan.map(|plan| List::of(outlook, plan));
    let next = plan.and_then(|plan| next(outlook, plan, &states));
    let is_next = |p: &PlannedStep| next.as_ref().is_some_and(|n| n.key == p.step.key.as_str());
    let mut places = Vec::new();
    for place in &outlook.yard.places {
        let (x, y) = position(place, &mut free, beside);
        let mut out = YardPlace {
            code: place.code.clone(),
            name: place.name.clone(),
            x_mm: x,
            y_mm: y,
            on_map: laid_out || place.map_x_mm.is_some(),
            access: facts.access(Some(place.id)).as_str(),
            done: 0,
            total: 0,
            ready: 0,
            next: None,
            next_key: None,
            first: false,
            faults: 0,
            load_w: None,
            placements: Vec::new(),
        };
        let here = || list.iter().flat_map(|l| &l.rows).filter(|r| r.step.step.place == Some(place.id));
        for p in here().map(|r| r.step) {
            out.total += 1;
            out.done += usize::from(states.over(&p.step.key));
            out.ready += usize::from(states.of(p) == State::Open && ready.as_ref().is_some_and(|r| r.now(p)));
            out.first |= is_next(p);
        }
        // What is next of all, else the first that can be done now, else the first with the day that it waits for.
        let open = || here().filter(|r| states.open(r.step));
        let now = |r: &&Row| ready.as_ref().is_some_and(|x| x.now(r.step));
        let first = open().find(|r| is_next(r.step)).or_else(|| open().find(now)).or_else(|| open().next());
        if let (Some(row), Some(plan)) = (first, plan) {
            let step = &row.step.step;
            let deed = list_deed(step);
            let what = if step.subject.is_empty() || step.subject == place.name {
                deed
            } else {
                format!("{}: {deed}", step.subject)
            };
            let waits = row.from(plan).filter(|_| !now(&row));
            let when = waits.map_or(String::new(), |t| format!("{}: ", outlook.say_moment(t)));
            (out.next, out.next_key) = (Some(format!("{when}{what}")), Some(step.key.to_string()));
        }
        let mut electric: Vec<Option<f64>> = Vec::new();
        if let Some((season, _)) = of {
            for placement in facts.placements_in(season.id).iter().filter(|p| p.place_id == Some(place.id)) {
                out.placements.push(placement.name.clone());
                let product = facts.product_of(placement).filter(|p| takes_power(p));
                let level = levels.as_ref().map_or(1.0, |l| l.at(placement.id).fraction());
                electric.extend(product.map(|p| load(placement, p, level)));
                out.faults += facts.faults_of(placement.id).filter(|f| !facts.fault_over(f)).count();
            }
        }
        // One load that is not told leaves the sum unknown.
        out.load_w = electric.into_iter().sum::<Option<f64>>().map(|w| w.round() as i64).filter(|w| *w > 0);
        places.push(out);
    }
    // An area of other places has no spot of its own, unless something stands there.
    for (place, out) in outlook.yard.places.iter().zip(&mut places) {
        let holds = outlook.yard.places.iter().any(|p| p.parent_id == Some(place.id));
        out.on_map &= !holds || out.total > 0 || !out.placements.is_empty();
    }
    let no_place = of.and_then(|(season, plan)| {
        let props = facts.placements_in(season.id).into_iter().filter(|p| p.place_id.is_none());
        let props: BTreeSet<PlacementId> = props.map(|p| p.id).collect();
        let steps = plan.steps.iter().filter(|p| p.step.placement.is_some_and(|id| props.contains(&id)));
        (!props.is_empty()).then(|| (props.len(), steps.count()))
    });
    let buildings = buildings(&outlook.yard.places, laid_out);
    // What is next may be at no place, as at the bench: then the yard begins where the plan first comes to one.
    let soonest = plan.zip(list.as_ref()).zip(ready.as_ref()).and_then(|((_, list), ready)| {
        let row = list.next_where(outlook, ready, &states, |r| r.step.step.place.is_some())?;
        outlook.yard.places.iter().find(|p| Some(p.id) == row.step.step.place).map(|p| p.code.clone())
    });
    let mut map = YardMap { places, buildings, laid_out, next, soonest, no_place };
    map.places.sort_by_key(|p| (!p.on_map, p.total == 0));
    map
}

/// Watts of a placement at its level, by its product's own figures; nothing where they were not told.
fn load(placement: &Placement, product: &Product, level: f64) -> Option<f64> {
    let many = placement.count as f64;
    // Only pixels are dimmed.
    let own = product.load_mw.map(|p| p.watts() * many);
    let Some(pixels) = product.pixels.filter(|n| *n > 0) else { return own };
    let by_current = product.pixel_ma.zip(product.volts_mv).map(|(a, v)| a.amps() * v.volts());
    let each = product.pixel_mw.map(Power::watts).or(by_current)?;
    Some(each * pixels as f64 * many * level + own.unwrap_or(0.0))
}

const fn takes_power(product: &Product) -> bool {
    product.load_mw.is_some() || product.pixels.is_some() || product.volts_mv.is_some()
}

/// What is climbed stands on a building: places that hold places reached by ladder or on a roof, with what they span.
fn buildings(places: &[Place], laid_out: bool) -> Vec<Building> {
    if laid_out {
        return Vec::new();
    }
    let climbed =
        |p: &Place| matches!(p.access, Some(Access::StepLadder | Access::ExtensionLadder | Access::Roof));
    let drive = |p: &&Place| p.name.to_lowercase().split_whitespace().any(|w| w == "drive");
    let drive_x = places.iter().filter(drive).filter_map(|p| p.map_x_mm).map(Length::mm).max();
    let mut out: Vec<Building> = Vec::new();
    for place in places {
        let parts: Vec<&Place> = places.iter().filter(|p| p.parent_id == Some(place.id)).collect();
        if !parts.iter().any(|p| climbed(p)) {
            continue;
        }
        // A porch is an outline of its own beside the house it belongs to.
        let own =
            parts.into_iter().filter(|p| !places.iter().any(|x| x.parent_id == Some(p.id))).chain([place]);
        let spots: Vec<(i64, i64)> = own.filter_map(|p| Some((p.map_x_mm?.mm(), p.map_y_mm?.mm()))).collect();
        let range =
            |of: fn(&(i64, i64)) -> i64| Some((spots.iter().map(of).min()?, spots.iter().map(of).max()?));
        if let (Some(x_mm), Some(y_mm)) = (range(|s| s.0), range(|s| s.1)) {
            out.push(Building { name: place.name.clone(), x_mm, y_mm, drive: false });
        }
    }
    // A drive leads to the building that stands nearest to it sideways.
    if let Some(x) = drive_x
        && let Some(nearest) = out.iter_mut().min_by_key(|b| (x - b.x_mm.0).abs().min((x - b.x_mm.1).abs()))
    {
        nearest.drive = true;
    }
    out
}

/// Where a place lies on the map: as told, or in rows where none is.
fn position(place: &Place, free: &mut i64, beside: i64) -> (i64, i64) {
    if let (Some(x), Some(y)) = (place.map_x_mm, place.map_y_mm) {
        return (x.mm(), y.mm());
    }
    let n = *free;
    *free += 1;
    ((n % beside) * STEP_MM, -(n / beside) * STEP_MM)
}
