//! Nothing is taken twice: people, ladders, tools, the drying place; and no box is on and off at once.

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, Utc};

use super::{Found, View};
use crate::domain::{BoxMode, PieceId};
use crate::planner::PlannedStep;
use crate::steps::State;

/// One taking: from, to, how many, and whether it is a step that this plan put there.
struct Taken {
    from: DateTime<Utc>,
    to: DateTime<Utc>,
    many: i64,
    planned: bool,
}

pub(super) fn look(view: &View, found: &mut Found) {
    let mut people: BTreeMap<&str, Vec<Taken>> = BTreeMap::new();
    let mut things: BTreeMap<&str, Vec<Taken>> = BTreeMap::new();
    for (p, from, to) in going_on(view) {
        let planned = p.state == State::Open;
        let from = if planned { from - Duration::minutes(p.setup_minutes) } else { from };
        for name in &p.people {
            people.entry(name).or_default().push(Taken { from, to, many: 1, planned });
        }
        for (name, many) in &p.equipment {
            things.entry(name).or_default().push(Taken { from, to, many: *many, planned });
        }
    }
    for (name, taken) in &people {
        over("person_taken", name, taken, 1, found);
    }
    if view.plan.told.equipment {
        for (name, taken) in &things {
            let have = view.plan.equipment.iter().find(|u| u.name == **name).map_or(0, |u| u.count);
            over("equipment_taken", name, taken, have, found);
        }
    }
    if let Some(slots) = view.facts.yard.sites.first().and_then(|s| s.drying_slots) {
        over("drying_full", "drying place", &drying(view), slots, found);
    }
    boxes(view, found);
}

/// Steps with a time that are not over.
fn going_on<'a>(view: &View<'a>) -> impl Iterator<Item = (&'a PlannedStep, DateTime<Utc>, DateTime<Utc>)> {
    let live = |p: &&PlannedStep| matches!(p.state, State::Open | State::Doing);
    view.plan.steps.iter().filter(live).filter_map(|p| p.from.zip(p.to).map(|(from, to)| (p, from, to)))
}

/// A slot is filled when the step that hangs it to dry ends, until it is dry.
fn drying(view: &View) -> Vec<Taken> {
    let wet = view.plan.steps.iter().filter(|p| p.state != State::Skipped);
    wet.filter_map(|p| {
        let (end, minutes) = p.to.zip(p.step.drying_min)?;
        let to = end + Duration::minutes(minutes);
        Some(Taken { from: end, to, many: 1, planned: p.state == State::Open })
    })
    .collect()
}

/// Reality may hold more than there is; a planned step may not be put on top.
fn over(code: &'static str, name: &str, taken: &[Taken], have: i64, found: &mut Found) {
    for this in taken {
        let here = taken.iter().filter(|t| t.from <= this.from && this.from < t.to);
        let (many, planned) = here.fold((0, false), |(n, p), t| (n + t.many, p || t.planned));
        if many > have && planned {
            found.say(code, name, format!("{many} of {have} at {}", this.from));
            return;
        }
    }
}

/// A step with a box in one mode, from and to.
type Run<'a> = (&'a PlannedStep, DateTime<Utc>, DateTime<Utc>, BoxMode);

fn boxes(view: &View, found: &mut Found) {
    let mut runs: BTreeMap<PieceId, Vec<Run>> = BTreeMap::new();
    for (p, from, to) in going_on(view) {
        if let Some((piece, mode)) = p.step.box_mode {
            runs.entry(piece).or_default().push((p, from, to, mode));
        }
    }
    for list in runs.values() {
        for (i, (p, from, to, mode)) in list.iter().enumerate() {
            let clash = list.iter().skip(i + 1).find(|(q, f, t, m)| {
                m != mode && f < to && from < t && (p.state == State::Open || q.state == State::Open)
            });
            if let Some((q, ..)) = clash {
                found.say("box_on_and_off", &p.step.key, format!("at the same time as {}", q.step.key));
            }
        }
    }
}
