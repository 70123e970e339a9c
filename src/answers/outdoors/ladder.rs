//! How the ladders of open steps are set up and whether they carry who climbs them; what is too heavy for one pair of
//! hands.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::answers::view::{Finding, Level};
use crate::calc::weather::lift::Grip;
use crate::calc::weather::{duty, ladder, lift};
use crate::domain::{Access, Role};
use crate::steps::{Facts, Step};
use crate::units::Length;
use crate::units::si::{Degrees, Fraction, Kilograms, Metres};

/// Clear of an overhead line of up to 50 kV; a home's own line is far below that.
const LINE_KV: f64 = 50.0;

pub(crate) fn ladder_findings(
    outlook: &Outlook,
    facts: &Facts,
    open: &[&Step],
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let mut found = set_ups(outlook, facts, open, not_told);
    if open.iter().any(|s| s.access != Access::Ground) {
        found.extend(carries(outlook, facts, open, not_told));
    }
    found.extend(lifts(facts, open));
    found
}

/// Foot distance and length, one line a height at which a leaning ladder rests.
fn set_ups(outlook: &Outlook, facts: &Facts, open: &[&Step], not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut by_height: BTreeMap<Length, Vec<String>> = BTreeMap::new();
    let mut untold = 0;
    for step in open.iter().filter(|s| matches!(s.access, Access::ExtensionLadder | Access::Roof)) {
        let placement = step.placement.and_then(|id| facts.placement(id));
        let place = step.place.and_then(|id| facts.yard.places.iter().find(|p| p.id == id));
        let height = placement.and_then(|p| p.height_mm).or(place.and_then(|p| p.height_mm));
        let Some(height) = height else {
            untold += 1;
            continue;
        };
        let name = place.map_or_else(|| step.subject.clone(), |p| p.name.clone());
        let names = by_height.entry(height).or_default();
        if !names.contains(&name) {
            names.push(name);
        }
    }
    if untold > 0 {
        not_told
            .push(format!("height not told for {untold} steps on a leaning ladder: foot distance not known"));
    }
    let show = |m: Metres| Length::from_metres(m.get()).unwrap_or_default().show(outlook.units());
    let clear = ladder::line_clearance(LINE_KV).map(show).unwrap_or_default();
    by_height
        .into_iter()
        .filter_map(|(height, names)| {
            let at = names.join(", ");
            let support = Metres::new(height.metres()).ok()?;
            Some(match ladder::set_up(ladder::Input { support }) {
                Ok(out) => finding(
                    Level::Note,
                    "ladder_set_up",
                    at,
                    format!(
                        "leaning ladder: foot {} from the wall, {} of ladder to where it rests, {} long to step off",
                        show(out.foot_out),
                        show(out.working_length),
                        show(out.least_length)
                    ),
                    (format!("rests at {}", height.show(outlook.units())), format!("{clear} clear of any overhead line")),
                    "look up before you raise it; firm level ground, tied or footed",
                ),
                Err(r) => finding(
                    Level::Mend,
                    r.code,
                    at,
                    format!("not computed: {} outside its range", r.what),
                    (format!("{:.2} m", r.value), format!("{} to {} m", r.range.0, r.range.1)),
                    r.remedy,
                ),
            })
        })
        .collect()
}

/// The heaviest person with the heaviest thing taken up, against each ladder.
fn carries(outlook: &Outlook, facts: &Facts, open: &[&Step], not_told: &mut Vec<String>) -> Vec<Finding> {
    let people = &facts.yard.people;
    let unweighed = people.iter().filter(|p| p.mass_g.is_none()).count();
    if unweighed > 0 {
        not_told.push(format!("weight not told for {unweighed} people: ladders not checked for them"));
    }
    let ladders: Vec<_> = facts.yard.products.iter().filter(|p| p.role == Role::Ladder).collect();
    let unrated = ladders.iter().filter(|p| p.max_load_g.is_none()).count();
    if unrated > 0 {
        not_told.push(format!("duty rating not told for {unrated} kinds of ladder: load not checked"));
    }
    let Some((mass, who)) = people.iter().filter_map(|p| Some((p.mass_g?, p))).max_by_key(|(m, _)| *m) else {
        return Vec::new();
    };
    let load = open
        .iter()
        .filter(|s| s.access != Access::Ground)
        .filter_map(|s| facts.product_of(facts.placement(s.placement?)?)?.mass_g)
        .max();
    let kg = |g: i64| Kilograms::new(g as f64 / 1000.0).unwrap_or_default();
    let load_g = load.map_or(0, crate::units::Mass::g);
    let none = Kilograms::default();
    let needs =
        duty::lightest(duty::Input { person: kg(mass.g()), clothes: none, tools: none, load: kg(load_g) });
    let total = crate::units::Mass::from_g(mass.g() + load_g);
    let needs = match needs {
        Ok(out) => format!("duty rating {} or better", out.lightest.name()),
        Err(r) => r.remedy.to_owned(),
    };
    ladders
        .into_iter()
        .filter_map(|p| Some((p, p.max_load_g?)))
        .map(|(p, most)| {
            let over = total > most;
            finding(
                if over { Level::Stop } else { Level::Note },
                if over { "ladder_overloaded" } else { "ladder_carries" },
                p.name.clone(),
                format!(
                    "{} with the heaviest thing taken up; clothes and tools not counted; {needs}",
                    who.name
                ),
                (total.show(outlook.units()), most.show(outlook.units())),
                "hoist the load on a line, or take a ladder of a higher duty rating",
            )
        })
        .collect()
}

/// Things heavier than anyone should lift alone even close to the body: the lifting equation at its kindest.
fn lifts(facts: &Facts, open: &[&Step]) -> Vec<Finding> {
    let inch = |n: f64| Metres::new(n * 0.0254).unwrap_or_default();
    let kindest = lift::Input {
        reach: inch(10.0),
        height: inch(30.0),
        travel: inch(10.0),
        twist: Degrees::default(),
        frequency: Fraction::new(1.0).unwrap_or_default(),
        grip: Grip::Good,
    };
    let Ok(most) = lift::limit(kindest) else { return Vec::new() };
    let mut seen: BTreeMap<String, (f64, i64)> = BTreeMap::new();
    for step in open {
        let Some(placement) = step.placement.and_then(|id| facts.placement(id)) else { continue };
        let Some(mass) = facts.product_of(placement).and_then(|p| p.mass_g) else { continue };
        let kg = mass.g() as f64 / 1000.0;
        if kg > most.get() * step.hands.max(1) as f64 {
            seen.insert(format!("{} {}", placement.code, placement.name), (kg, step.hands));
        }
    }
    seen.into_iter()
        .map(|(place, (kg, hands))| {
            finding(
                Level::Mend,
                "lift_heavy",
                place,
                format!("too heavy for {hands} to lift, even close to the body (NIOSH 94-110)"),
                (format!("{kg:.1} kg"), format!("{:.1} kg each", most.get())),
                "lift it with more hands, a cart or a hoist; tell it in the step",
            )
        })
        .collect()
}

fn finding(
    level: Level,
    code: &str,
    place: String,
    what: String,
    (value, limit): (String, String),
    remedy: &str,
) -> Finding {
    Finding::new(level, code, place, what, value, limit, remedy)
}
