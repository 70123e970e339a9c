//! What carries, feeds, lies first or stands below: the order between placements, from the facts.

use std::collections::BTreeSet;

use chrono::Duration;

use super::order::{Steps, breaks, must};
use super::rounds::of_box;
use super::{Found, View};
use crate::domain::{Access, BoxMode, LinkKind, Phase, PieceId, Placement, StepDeed};
use crate::planner::PlannedStep;
use crate::steps::{State, StepKey};

const NONE: Duration = Duration::zero();

pub(super) fn look(view: &View, steps: &Steps, found: &mut Found) {
    let here: Vec<&Placement> =
        view.facts.yard.placements.iter().filter(|p| steps.of.contains_key(&p.id)).collect();
    for p in &here {
        carried(view, steps, p, found);
    }
    fed(view, steps, found);
    laid(view, steps, &here, found);
    overhead(view, steps, &here, found);
    moved_across(view, steps, &here, found);
}

fn goes_up(p: &PlannedStep) -> bool {
    use StepDeed::{Drive, Hang, Raise, Set, Tension, Tie};
    matches!(p.step.deed, Drive | Hang | Raise | Set | Tension | Tie)
}

fn begun(p: &PlannedStep) -> bool {
    matches!(p.state, State::Done | State::Doing)
}

fn comes_down(p: &PlannedStep) -> bool {
    matches!(p.step.deed, StepDeed::Lower | StepDeed::Pull | StepDeed::Release)
}

/// All of the carrier that is done before it is connected, squared too, comes before the carried thing goes up; what is
/// carried is off before the carrier comes down.
fn carried(view: &View, steps: &Steps, p: &Placement, found: &mut Found) {
    let Some(carrier) = p.carried_by_id else { return };
    let dark = |s: &&PlannedStep| !matches!(s.step.deed, StepDeed::Connect | StepDeed::Test);
    // Once some of it is up, out of order, nothing is left to be first.
    if !steps.ups(p.id).any(|s| goes_up(s) && begun(s))
        && let Some(first) = steps.ups(carrier).take_while(dark).last()
    {
        for then in steps.ups(p.id).filter(|s| goes_up(s)) {
            must(view, found, "carrier_not_ready", (first, then), NONE);
        }
    }
    let down = |s: &&PlannedStep| s.step.phase == Phase::Down && comes_down(s);
    for first in steps.of(p.id).filter(down) {
        for then in steps.of(carrier).filter(down) {
            must(view, found, "still_carries", (first, then), NONE);
        }
    }
}

/// A box is up, plugged in and shut before its first round; it comes off after what it feeds is disconnected.
fn fed(view: &View, steps: &Steps, found: &mut Found) {
    for (prop, piece) in &steps.fed {
        let season = view.facts.placement(*prop).map(|p| p.season_id);
        let own = season.and_then(|s| view.facts.placement_of_piece(s, *piece));
        let Some(own) = own else { continue };
        let place = view.facts.placement(*prop).and_then(|p| p.place_id);
        if let Some(first) = steps.ups(own.id).next_back() {
            for then in of_box(view, (*piece, place), StepDeed::Power) {
                must(view, found, "box_not_ready", (first, then), NONE);
            }
        }
        let off = steps.of(*prop).filter(|s| s.step.deed == StepDeed::Disconnect);
        let off_box = steps.of(own.id).filter(|s| s.step.phase == Phase::Down && comes_down(s));
        for first in off {
            for then in off_box.clone() {
                must(view, found, "box_still_feeds", (first, then), NONE);
            }
        }
    }
}

/// A lead lies before it is plugged in at either end.
fn laid(view: &View, steps: &Steps, here: &[&Placement], found: &mut Found) {
    let holds = |piece: PieceId, season| {
        here.iter().find(|p| p.season_id == season && view.facts.pieces_of(p.id).contains(&piece))
    };
    for link in view.facts.links_in(view.season.id) {
        let run = link.lead_id.and_then(|l| holds(l, view.season.id));
        let Some(run) = run else { continue };
        let lay = steps.ups(run.id).find(|s| s.step.deed == StepDeed::Set);
        let Some(lay) = lay else { continue };
        let at_box = [link.from_piece_id, link.to_piece_id].into_iter().flatten();
        for own in at_box.filter_map(|b| holds(b, view.season.id)).filter(|p| p.id != run.id) {
            for then in steps.ups(own.id).filter(|s| plugs_into(steps, s, link.kind)) {
                must(view, found, "not_laid", (lay, then), NONE);
            }
        }
        for prop in [link.from_placement_id, link.to_placement_id].into_iter().flatten() {
            for then in steps.ups(prop).filter(|s| s.step.deed == StepDeed::Connect && prop != run.id) {
                must(view, found, "not_laid", (lay, then), NONE);
            }
        }
    }
}

/// The cord goes in with the power; what asks for the box off plugs all else.
fn plugs_into(steps: &Steps, p: &PlannedStep, kind: LinkKind) -> bool {
    if kind == LinkKind::Mains {
        return p.step.deed == StepDeed::Power;
    }
    steps.recipe(p).is_some_and(|r| r.box_mode == Some(BoxMode::Off))
}

/// Nothing is set where somebody works overhead later; where what is above stands on what is below, that holds.
fn overhead(view: &View, steps: &Steps, here: &[&Placement], found: &mut Found) {
    for line in &view.facts.yard.fall_lines {
        for high in here.iter().filter(|p| p.place_id == Some(line.upper_place_id)) {
            for low in here.iter().filter(|p| p.place_id == Some(line.lower_place_id)) {
                if high.season_id != low.season_id {
                    continue;
                }
                let up = |s: &&PlannedStep| s.step.access != Access::Ground && goes_up(s);
                let last = steps.ups(high.id).rfind(up);
                let first = steps.ups(low.id).find(|s| goes_up(s));
                overhead_pair(view, last.zip(first), found);
                let down = |s: &&PlannedStep| s.step.phase == Phase::Down && comes_down(s);
                let last = steps.of(low.id).rfind(down);
                let first = steps.of(high.id).filter(down).find(|s| s.step.access != Access::Ground);
                overhead_pair(view, last.zip(first), found);
            }
        }
    }
}

fn overhead_pair(view: &View, pair: Option<(&PlannedStep, &PlannedStep)>, found: &mut Found) {
    let Some((last, first)) = pair.filter(|pair| breaks(view, *pair)) else { return };
    if !waits_for(view, last, &first.step.key) {
        must(view, found, "overhead_later", (last, first), NONE);
    }
}

/// By whatever way of the plan's edges.
fn waits_for(view: &View, p: &PlannedStep, key: &StepKey) -> bool {
    let mut seen: BTreeSet<&StepKey> = BTreeSet::new();
    let mut todo = vec![&p.step.key];
    while let Some(k) = todo.pop() {
        if k == key {
            return true;
        }
        if seen.insert(k) {
            todo.extend(view.steps.get(k).into_iter().flat_map(|s| s.after.iter().map(|e| &e.key)));
        }
    }
    false
}

/// What another show has up is off there before it is handled here.
fn moved_across(view: &View, steps: &Steps, here: &[&Placement], found: &mut Found) {
    for new in here.iter().filter(|p| p.season_id == view.season.id) {
        let pieces = view.facts.pieces_of(new.id);
        let shares = |old: &&&Placement| {
            old.season_id != new.season_id
                && view.facts.pieces_of(old.id).iter().any(|p| pieces.contains(p))
                && (old.place_id, old.method_id) != (new.place_id, new.method_id)
        };
        for old in here.iter().filter(shares) {
            let off = steps.of(old.id).filter(|s| s.step.phase == Phase::Down && comes_down(s));
            for first in off {
                for then in steps.ups(new.id).filter(|s| goes_up(s) && s.step.deed != StepDeed::Drive) {
                    must(view, found, "still_in_other_show", (first, then), NONE);
                }
            }
        }
    }
}
