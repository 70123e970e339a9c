//! A show that is lit is not touched by work for another.

use chrono::NaiveTime;

use super::{Found, View};
use crate::domain::{Phase, Role, Season, StepDeed};
use crate::planner::PlannedStep;
use crate::steps::Light;

pub(super) fn look(view: &View, found: &mut Found) {
    for show in &view.facts.yard.seasons {
        let (Some(on), Some(off)) = (show.lights_on, show.lights_off) else { continue };
        let placed = view.facts.placements_in(show.id);
        for (p, from, to) in view.placed() {
            let (from, to) = (
                from.with_timezone(&view.plan.zone).naive_local(),
                to.with_timezone(&view.plan.zone).naive_local(),
            );
            let placement = p.step.placement.and_then(|id| view.facts.placement(id));
            if placement.map_or(view.season.id, |x| x.season_id) == show.id || from.date() > off || to <= on {
                continue;
            }
            let own = p.step.placement.map_or(&[][..], |id| view.facts.pieces_of(id));
            let piece =
                own.iter().find(|piece| placed.iter().any(|q| view.facts.pieces_of(q.id).contains(piece)));
            if let Some(piece) = piece.filter(|_| takes_in_hand(view, p)) {
                let code = view.facts.piece(*piece).map_or("", |p| p.code.as_str());
                found.say(
                    "lit_elsewhere",
                    &p.step.key,
                    format!("{code} stands lit in {} until {off}", show.name),
                );
            }
            let here = p.step.place.is_some() && placed.iter().any(|q| q.place_id == p.step.place);
            if here && p.step.light != Light::Indoors && in_lit_hours(show, from.time(), to.time()) {
                found.say("in_lit_hours", &p.step.key, format!("{from} to {to}, {} is lit", show.name));
            }
        }
    }
}

/// Everything but looking, marking and what goes into the ground before the thing is there.
fn takes_in_hand(view: &View, p: &PlannedStep) -> bool {
    if !matches!(p.step.phase, Phase::Bench | Phase::Up) {
        return false;
    }
    let placement = p.step.placement.and_then(|id| view.facts.placement(id));
    let mount = placement.and_then(|x| view.facts.product_of(x)).is_some_and(|x| x.role == Role::Mount);
    match p.step.deed {
        StepDeed::Mark | StepDeed::Other | StepDeed::LookOver | StepDeed::Desk => false,
        StepDeed::Drive => mount,
        _ => true,
    }
}

fn in_lit_hours(show: &Season, from: NaiveTime, to: NaiveTime) -> bool {
    let Some((on, off)) = show.nightly() else { return false };
    if on < off { from < off && to > on } else { to > on || from < off }
}
