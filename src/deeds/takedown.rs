//! Taking down: all good and dry with one key, exceptions by piece.

use std::collections::BTreeSet;

use super::Desk;
use super::ask::{NewFault, Tonight};
use super::fault::condition;
use super::fault::log_fault;
use super::tick::{Found, full_title};
use super::tick::{find_step, tick_row};
use super::tote::seen;
use super::{mistyped, refused};
use crate::answers::problem::Problem;
use crate::answers::totes::drying::{drying, too_full};
use crate::answers::totes::whereabouts::{bench_tote, whereabouts};
use crate::domain::{
    Condition, Fact, LookKind, Phase, Piece, PieceId, Placement, PlacementId, RowChange, StepDeed, TickKind,
};
use crate::steps::State;

/// How pieces came off. Good and dry: the step is ticked, and where nothing is wet the drying falls away. Wet
/// dries before it is packed; faulty goes to the bench with a fault of its own; missing stays listed until found.
pub(super) fn came_off(
    desk: &mut dyn Desk,
    key: &str,
    how: LookKind,
    pieces: &[String],
    many: Option<i64>,
) -> Result<String, Problem> {
    let found = find_step(desk, key)?;
    let Some(placement) = found.step.placement.filter(|_| found.step.phase == Phase::Down) else {
        return Err(refused("not-down", "only what is taken down comes off")
            .hint("ladderday step list down shows its steps"));
    };
    let all = pieces_at(desk, placement);
    if all.is_empty() && pieces.is_empty() && how != LookKind::Good {
        return prop_came_off(desk, found, placement, how, many);
    }
    if many.is_some() {
        return Err(refused(
            "not-by-number",
            "only what is not good, of a prop without labels, is told by number",
        )
        .hint("name its pieces by their labels"));
    }
    let named = named_of(&all, pieces)?;
    let began = came_off_since(desk, placement);
    let looked: BTreeSet<PieceId> = desk
        .yard()
        .piece_looks
        .iter()
        .filter(|l| Some(l.at_ms.0) >= began && exception(l.kind))
        .map(|l| l.piece_id)
        .collect();
    let of: Vec<Piece> = if named.is_empty() {
        all.iter().filter(|p| how != LookKind::Good || !looked.contains(&p.id)).cloned().collect()
    } else {
        named
    };
    let mut rows: Vec<RowChange> = of.iter().map(|p| seen(desk, p.id, None, how).to_row()).collect();
    let codes = of.iter().map(|p| p.code.clone()).collect::<Vec<_>>().join(", ");
    let name = full_title(&found.step);
    let said = match how {
        LookKind::Good => {
            let dry = dry_steps(&found, placement, State::Open);
            let wet = whereabouts(&desk.outlook());
            let wet = all.iter().any(|p| wet.get(&p.id).is_some_and(|l| l.wet));
            rows.push(tick_row(desk, &found, TickKind::Done, None, None).to_row());
            if !wet {
                for step in &dry {
                    let why = Some("good and dry as it came off");
                    rows.push(tick_row(desk, step, TickKind::Skip, None, why).to_row());
                }
            }
            let dries = if wet { "; what is wet dries first" } else { "" };
            format!("Good and dry: {name}{dries}")
        }
        LookKind::Wet => {
            for step in dry_steps(&found, placement, State::Skipped) {
                rows.push(tick_row(desk, &step, TickKind::Reopen, None, None).to_row());
            }
            format!("Wet: {codes}, to the drying place today; packed once dry")
        }
        LookKind::Worn => format!("Worn: {codes}; it goes home and is named in its life"),
        LookKind::Missing => {
            rows.extend(of.iter().map(|p| condition(p.id, Condition::Lost)));
            format!("Missing: {codes}; listed until it is found")
        }
        LookKind::Faulty => return faulty_off(desk, &of),
        LookKind::Put | LookKind::Taken | LookKind::Counted => return Err(no_look()),
    };
    if rows.is_empty() {
        let what = format!("{name}: each of its pieces was looked at already");
        return Err(refused("no-piece", what).hint("name the piece by its label"));
    }
    drop(found);
    desk.write("came-off", &said, rows)?;
    let full = drying(&desk.outlook()).and_then(|d| too_full(&d)).filter(|_| how == LookKind::Wet);
    Ok(full.map_or(said.clone(), |full| format!("{said}; {full}")))
}

/// The same of a prop without labelled pieces: what is told of it, and of how many, stands in the prop's own life.
fn prop_came_off(
    desk: &mut dyn Desk,
    found: Found,
    placement: PlacementId,
    how: LookKind,
    many: Option<i64>,
) -> Result<String, Problem> {
    let prop = desk.outlook().facts().placement(placement).cloned();
    let Some(Placement { code, name, count, .. }) = prop else {
        return Err(refused("no-placement", "its prop is gone"));
    };
    if let Some(n) = many.filter(|n| !(1..=count).contains(n)) {
        return Err(refused("count-beyond", format!("{n} of {count} is not possible"))
            .hint(format!("1 to {count}; leave it out where it is not known how many")));
    }
    let of = many.map_or(String::new(), |n| format!("{n} of {count} "));
    let log = |symptom: &str, seen: &str| NewFault {
        target: code.clone(),
        symptom: symptom.to_owned(),
        at: None,
        tonight: Tonight::Nothing,
        note: format!("{of}{seen}"),
    };
    let (mut rows, said) = match how {
        LookKind::Wet => {
            let mut rows = vec![tick_row(desk, &found, TickKind::Done, None, None).to_row()];
            for step in dry_steps(&found, placement, State::Skipped) {
                rows.push(tick_row(desk, &step, TickKind::Reopen, None, None).to_row());
            }
            (rows, format!("Wet: {of}{name}, to the drying place today; packed once dry"))
        }
        LookKind::Worn => (Vec::new(), format!("Worn: {of}{name}; it goes home and is named in its life")),
        LookKind::Faulty => return log_fault(desk, &log("damage", "seen as it came off")),
        LookKind::Missing => return log_fault(desk, &log("missing", "not there as it came off")),
        LookKind::Good | LookKind::Put | LookKind::Taken | LookKind::Counted => return Err(no_look()),
    };
    let mut seen =
        tick_row(desk, &found, TickKind::Note, None, Some(&format!("{of}came off {}", how.as_str())));
    (seen.done_count, seen.of_count) = (many, Some(count));
    rows.push(seen.to_row());
    drop(found);
    desk.write("came-off", &said, rows)?;
    Ok(said)
}

/// A fault each, so that the bench has it; never home.
fn faulty_off(desk: &mut dyn Desk, of: &[Piece]) -> Result<String, Problem> {
    for p in of {
        if desk.outlook().facts().open_faults(p.id).is_empty() {
            log_fault(
                desk,
                &NewFault {
                    target: p.code.clone(),
                    symptom: "damage".to_owned(),
                    at: None,
                    tonight: Tonight::Nothing,
                    note: "seen as it came off".to_owned(),
                },
            )?;
        }
    }
    let rows: Vec<RowChange> = of.iter().map(|p| seen(desk, p.id, None, LookKind::Faulty).to_row()).collect();
    let codes = of.iter().map(|p| p.code.as_str()).collect::<Vec<_>>().join(", ");
    let bench = bench_tote(&desk.outlook()).map_or("the bench".to_owned(), |c| c.code.clone());
    let said = format!("Faulty: {codes}, into {bench}, not home");
    desk.write("came-off", &said, rows)?;
    Ok(said)
}

fn pieces_at(desk: &dyn Desk, placement: PlacementId) -> Vec<Piece> {
    let facts = desk.outlook().facts();
    facts.pieces_of(placement).iter().filter_map(|id| facts.piece(*id)).cloned().collect()
}

/// Since when what came off counts as of this takedown: the season's first lights.
fn came_off_since(desk: &dyn Desk, placement: PlacementId) -> Option<i64> {
    let facts = desk.outlook().facts();
    let season = facts.season(facts.placement(placement)?.season_id)?;
    let on = crate::domain::local_time(desk.zone(), season.lights_on?).ok()?;
    Some(on.timestamp_millis())
}

fn no_look() -> Problem {
    mistyped("bad-look", "good, wet, worn, faulty or missing is taken")
}

const fn exception(kind: LookKind) -> bool {
    matches!(kind, LookKind::Wet | LookKind::Worn | LookKind::Faulty | LookKind::Missing)
}

fn named_of(all: &[Piece], codes: &[String]) -> Result<Vec<Piece>, Problem> {
    let known = || match all {
        [] => "its pieces have no labels: tell how many instead".to_owned(),
        all => all.iter().map(|p| p.code.as_str()).collect::<Vec<_>>().join(", "),
    };
    let find = |code: &String| {
        let same = |p: &&Piece| p.code.eq_ignore_ascii_case(code.trim());
        all.iter()
            .find(same)
            .cloned()
            .ok_or_else(|| refused("no-piece", format!("{code:?} is none of the pieces here")).hint(known()))
    };
    codes.iter().map(find).collect()
}

/// The drying steps of a placement in that state.
fn dry_steps(found: &Found, placement: PlacementId, state: State) -> Vec<Found> {
    let of = |s: &&std::sync::Arc<crate::steps::Step>| {
        s.placement == Some(placement) && s.deed == StepDeed::Dry && s.phase == Phase::Down
    };
    let is = |s: &&std::sync::Arc<crate::steps::Step>| {
        found.derived.progress.get(&s.key).map_or(State::Open, |p| p.state_for(s.of)) == state
    };
    let steps = found.derived.steps.iter().filter(of).filter(is).cloned();
    steps.map(|step| Found { season: found.season, step, derived: found.derived.clone() }).collect()
}
