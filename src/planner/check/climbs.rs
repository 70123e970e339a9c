//! What is done together in one session: lit on the ground before one climb, and tied once it hangs.

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, Utc};

use super::order::Steps;
use super::time::lit;
use super::{Found, View};
use crate::domain::{Access, PlaceId, StepDeed};
use crate::planner::PlannedStep;
use crate::steps::State;

pub(super) fn look(view: &View, steps: &Steps, found: &mut Found) {
    climbs(view, found);
    lit_first(view, found);
    tied(view, steps, found);
}

fn high(access: Access) -> bool {
    matches!(access, Access::ExtensionLadder | Access::Roof)
}

/// Steps of this plan that are not over, by when they begin.
fn live<'a>(view: &View<'a>) -> Vec<(&'a PlannedStep, DateTime<Utc>)> {
    let live = |p: &&PlannedStep| matches!(p.state, State::Open | State::Doing) && p.session.is_some();
    let mut all: Vec<_> = view.plan.steps.iter().filter(live).filter_map(|p| Some((p, p.from?))).collect();
    all.sort_by_key(|(p, from)| (*from, p.to));
    all
}

/// Nobody goes up to one place twice in a session.
fn climbs(view: &View, found: &mut Found) {
    let mut rows: BTreeMap<(Option<usize>, &str), Vec<&PlannedStep>> = BTreeMap::new();
    for (p, _) in live(view) {
        for name in &p.people {
            rows.entry((p.session, name)).or_default().push(p);
        }
    }
    for ((_, name), row) in rows {
        let mut been: Vec<PlaceId> = Vec::new();
        let mut at: Option<PlaceId> = None;
        for p in row {
            let up = p.step.place.filter(|_| high(p.step.access));
            if let Some(place) = up.filter(|_| up != at) {
                if been.contains(&place) && p.state == State::Open {
                    found.say("climbs_twice", &p.step.key, format!("{name} was up there in this session"));
                }
                been.push(place);
            }
            at = up;
        }
    }
}

/// All that is lit on the ground for a high place is lit before the first climb there.
fn lit_first(view: &View, found: &mut Found) {
    let mut first: BTreeMap<(Option<usize>, PlaceId), DateTime<Utc>> = BTreeMap::new();
    let all = live(view);
    for (p, from) in all.iter().filter(|(p, _)| high(p.step.access)) {
        if let Some(place) = p.step.place {
            first.entry((p.session, place)).or_insert(*from);
        }
    }
    for (p, from) in all.iter().filter(|(p, _)| p.step.deed == StepDeed::GroundLight) {
        let Some(place) = p.step.place.filter(|_| p.state == State::Open) else { continue };
        if let Some(up) = first.get(&(p.session, place)).filter(|up| *up < from) {
            found.say("lit_after_climb", &p.step.key, format!("begins {from}, the first climb at {up}"));
        }
    }
}

/// What is hung, set or raised is tied or tightened in the same session, where its recipe does so before it is
/// connected.
fn tied(view: &View, steps: &Steps, found: &mut Found) {
    for id in steps.of.keys() {
        let mut hung: Option<&PlannedStep> = None;
        for p in steps.ups(*id) {
            match p.step.deed {
                StepDeed::Hang | StepDeed::Raise | StepDeed::Set => hung = Some(p),
                StepDeed::Tension | StepDeed::Tie => {
                    let both = hung.take().filter(|h| h.state == State::Open && p.state == State::Open);
                    let loose =
                        both.filter(|h| h.session != p.session && h.from.is_some() && h.part.is_none());
                    if let Some(h) = loose.filter(|h| room_for_both(view, h, p)) {
                        let what = format!("hangs loose from {:?} on: {}", h.from, h.step.key);
                        found.say("left_loose", &p.step.key, what);
                    }
                }
                StepDeed::Connect | StepDeed::Test => hung = None,
                _ => {}
            }
        }
    }
}

/// Whether any session still to come has the light and the time for both, one after the other.
fn room_for_both(view: &View, a: &PlannedStep, b: &PlannedStep) -> bool {
    let length = Duration::minutes(a.minutes + b.minutes);
    view.plan.sessions.iter().any(|s| {
        let mut from =
            s.from.max(view.now) + Duration::minutes(view.plan.setup.place + view.plan.setup.ladder);
        while from + length <= s.to {
            if [a, b].iter().all(|p| lit(s, p.step.light, from, from + length)) {
                return true;
            }
            from += Duration::minutes(15);
        }
        false
    })
}
