//! The yard as a map of its places, with progress, faults and load.

use crate::answers::Outlook;
use crate::answers::plan::page::next_step;
use crate::answers::short::short_deed;
use crate::answers::view::{Building, YardMap, YardPlace};
use crate::answers::walk::states::states;
use crate::domain::{Access, Place, Placement, Product, Season};
use crate::planner::{Plan, PlannedStep};
use crate::steps::{Role, State};
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
    // Where the plan goes on: its first open step that waits for none.
    let ready = |p: &&PlannedStep| {
        states.of(p) == State::Open
            && p.after.iter().all(|e| states.at(&e.key).is_none() || states.over(&e.key))
    };
    let here = |p: &&PlannedStep| p.step.place.is_some() && p.step.role == Role::Work;
    let open = plan.iter().flat_map(|p| &p.steps).filter(here).filter(ready);
    let first = open.min_by_key(|p| (p.from.is_none(), p.from)).and_then(|p| p.step.place);
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
            first: first.is_some() && first == Some(place.id),
            faults: 0,
            load_w: None,
            placements: Vec::new(),
        };
        for p in plan.iter().flat_map(|p| &p.steps).filter(|p| p.step.place == Some(place.id)) {
            out.total += 1;
            match states.of(p) {
                State::Done | State::Skipped => out.done += 1,
                State::Open | State::Doing => {
                    let free = p.after.iter().all(|e| states.at(&e.key).is_none() || states.over(&e.key));
                    out.ready += usize::from(free && states.of(p) == State::Open);
                    if free && out.next.is_none() {
                        let deed = short_deed(p.step.deed, &p.step.title);
                        let whole = p.step.subject.is_empty();
                        out.next = Some(if whole { deed } else { format!("{}: {deed}", p.step.subject) });
                        out.next_key = Some(p.step.key.to_string());
                    }
                }
                State::Held => {}
            }
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
    let next = plan.and_then(|plan| next_step(outlook, plan));
    let mut map = YardMap { buildings: buildings(&outlook.yard.places, laid_out), places, laid_out, next };
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
