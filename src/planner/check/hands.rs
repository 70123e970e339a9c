//! Who does a step is there, enough, able and not alone; what it takes is named.

use std::collections::BTreeSet;

use chrono::{DateTime, Duration, Utc};

use super::{Found, View};
use crate::domain::{Access, Role};
use crate::planner::PlannedStep;
use crate::units::figure;

pub(super) fn look(view: &View, found: &mut Found) {
    let ladders_told = view.facts.yard.products.iter().any(|p| p.role == Role::Ladder);
    for (p, from, to) in view.placed() {
        if view.plan.told.people {
            people(view, p, from, to, found);
        }
        if ladders_told {
            ladder(view, p, found);
        }
        for word in &p.step.equipment {
            let owned = view.plan.equipment.iter().any(|u| !u.ladder && &u.serves == word);
            if owned && !p.equipment.iter().any(|(name, count)| name == word && *count > 0) {
                found.say("tool_missing", &p.step.key, format!("{word} is not named"));
            }
        }
        for (name, count) in &p.equipment {
            if *count < 1 || !view.plan.equipment.iter().any(|u| &u.name == name) {
                found.say("equipment_unknown", &p.step.key, format!("{count} of {name}, which is not owned"));
            }
        }
    }
}

fn people(view: &View, p: &PlannedStep, from: DateTime<Utc>, to: DateTime<Utc>, found: &mut Found) {
    let key = &p.step.key;
    let lead = from - Duration::minutes(p.setup_minutes);
    let names: BTreeSet<&String> = p.people.iter().collect();
    if names.len() != p.people.len() {
        found.say("person_twice", key, "one person counted twice");
    }
    if (names.len() as i64) < p.step.hands {
        found.say("too_few_people", key, format!("{} people for {} hands", names.len(), p.step.hands));
    }
    let mut able: BTreeSet<&str> = BTreeSet::new();
    for name in &names {
        match skills_of(view, name, lead, to) {
            Some(skills) => able.extend(skills),
            None => found.say("not_there", key, format!("{name} is not there {lead} to {to}")),
        }
    }
    let lacking = p.step.skills.iter().find(|s| !able.contains(s.as_str()));
    if let Some(skill) = lacking {
        found.say("no_skill", key, format!("nobody of them can do {skill}"));
    } else if names.len() as i64 >= p.step.hands && !each_filled(view, &p.step.needs(), &names, (lead, to)) {
        let what = format!("{names:?} do not fill the hands {:?}", p.step.needs());
        found.say("hands_unfilled", key, what);
    }
    for name in &names {
        let told: Vec<_> =
            view.facts.yard.session_people.iter().filter(|sp| named(view, sp.person_id, name)).collect();
        let sessions = &view.facts.yard.sessions;
        let comes_as_visitor = |sp: &&crate::domain::SessionPerson| {
            sessions.iter().any(|s| s.id == sp.session_id && s.visitor == **name)
        };
        let own = skills_of(view, name, from, to).unwrap_or_default();
        let asked = own.is_empty() || p.step.skills.iter().any(|s| own.contains(&s.as_str()));
        if !told.is_empty() && told.iter().all(comes_as_visitor) && !asked {
            found.say("visitor_busy", key, format!("{name} comes for other work"));
        }
    }
    if p.step.not_alone {
        let all: BTreeSet<&String> =
            view.plan.sessions.iter().flat_map(|s| &s.people).map(|a| &a.name).collect();
        let there = all.into_iter().filter(|n| skills_of(view, n, from, to).is_some()).count();
        if there < 2 {
            found.say("alone", key, format!("{there} there, two asked"));
        }
    }
}

/// Whether each hand can be another of these people, with all that it needs.
fn each_filled(
    view: &View,
    needs: &[Vec<String>],
    names: &BTreeSet<&String>,
    (from, to): (DateTime<Utc>, DateTime<Utc>),
) -> bool {
    let Some((need, rest)) = needs.split_first() else { return true };
    names.iter().any(|name| {
        let has = skills_of(view, name, from, to).unwrap_or_default();
        let others: BTreeSet<&String> = names.iter().copied().filter(|n| n != name).collect();
        need.iter().all(|s| has.contains(&s.as_str())) && each_filled(view, rest, &others, (from, to))
    })
}

fn named(view: &View, person: crate::domain::PersonId, name: &str) -> bool {
    view.facts.yard.people.iter().any(|p| p.id == person && p.name == name)
}

/// What a person who is there for all of that time can do; nothing where they are not.
fn skills_of<'a>(
    view: &View<'a>,
    name: &str,
    from: DateTime<Utc>,
    to: DateTime<Utc>,
) -> Option<Vec<&'a str>> {
    let all = view.plan.sessions.iter().flat_map(|s| &s.people);
    let here = all.into_iter().find(|a| a.name == name && a.from <= from && to <= a.to)?;
    Some(here.skills.iter().map(String::as_str).collect())
}

/// The very ladder is named, and it is of the kind the place asks for.
fn ladder(view: &View, p: &PlannedStep, found: &mut Found) {
    let word = match p.step.access {
        Access::Ground => None,
        Access::StepLadder => Some("step_ladder"),
        Access::ExtensionLadder | Access::Roof => Some("extension_ladder"),
    };
    let named: Vec<&str> = p
        .equipment
        .iter()
        .filter_map(|(name, _)| view.plan.equipment.iter().find(|u| u.ladder && &u.name == name))
        .map(|u| u.serves.as_str())
        .collect();
    if word.is_some_and(|w| !named.contains(&w)) || named.len() > usize::from(word.is_some()) {
        found.say("ladder_wrong", &p.step.key, format!("asks for {word:?}, named {named:?}"));
    }
    let Some(least) = least_mm(view, p) else { return };
    for (name, _) in &p.equipment {
        let piece = view.facts.yard.pieces.iter().find(|x| name.starts_with(&format!("{} ", x.code)));
        let product = piece.and_then(|x| view.facts.product(x.product_id)).filter(|x| x.role == Role::Ladder);
        let own = piece.and_then(|x| x.length_mm);
        let size = own.or_else(|| product.and_then(|x| x.length_mm.max(x.height_mm)));
        if size.is_some_and(|s| (s.mm() as f64) < least - 1.0) {
            found.say("ladder_short", &p.step.key, format!("{name} is shorter than {} mm", figure(least, 0)));
        }
    }
}

/// Millimetres of ladder, as sold, for the height told: one out in four along the rails, three feet more where it is
/// stepped off, three feet of overlap; of a step ladder, four feet below what is reached.
fn least_mm(view: &View, p: &PlannedStep) -> Option<f64> {
    let placement = view.facts.placement(p.step.placement?)?;
    let place = placement.place_id.and_then(|id| view.facts.place(id)).and_then(|x| x.height_mm);
    let own = placement.height_mm;
    let roof = p.step.access == Access::Roof;
    let height = if roof { place.or(own) } else { place.max(own) }?.mm() as f64;
    let along = 4.0 / 15.0_f64.sqrt();
    match p.step.access {
        Access::Ground => None,
        Access::StepLadder => Some(height - 4.0 * 304.8),
        Access::ExtensionLadder => Some(height * along + 3.0 * 304.8),
        Access::Roof => Some((height + 3.0 * 304.8) * along + 3.0 * 304.8),
    }
}
