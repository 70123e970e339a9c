//! What is faulty is mended and tested before it goes out, or a spare goes out in its place.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use super::carries::add;
use super::{first_handling, of};
use crate::domain::{Fault, FaultId, Phase, PieceId, Placement, RepairDeed, Season, StepDeed};
use crate::steps::boxes::plain_step;
use crate::steps::facts::Facts;
use crate::steps::key::StepKey;
use crate::steps::mend::{LOOK_S, PartState, START_S, Spare, TEST_S, mend, spares_for};
use crate::steps::progress::Asked;
use crate::steps::step::{Edge, Light, Reason, Run, Step};

/// Adds "mend and test" for every open fault of a piece this season puts out, before its bench test and its first
/// step up. A fault found once the season is lit is a matter of the night; one whose piece was replaced blocks nothing.
pub(in crate::steps) fn faults(facts: &Facts, season: &Season, progress: &Asked, steps: &mut Vec<Step>) {
    let lit_ms = season.lights_on.map(|t| t.and_utc().timestamp_millis());
    let before = last_show_ms(facts, season);
    let mut edges: Vec<(StepKey, Edge)> = Vec::new();
    let mut added: Vec<Step> = Vec::new();
    let mut seen: BTreeSet<FaultId> = BTreeSet::new();
    let spares = spares_for(facts, season.id);
    let put_in = put_in(facts);
    let ticked: BTreeSet<&StepKey> = progress.all_of("fault:").collect();
    // Most faults of a yard are over and have no tick: their keys are not made.
    let ticked_faults: BTreeSet<&str> =
        ticked.iter().filter_map(|key| key.as_str().split('/').next()).collect();
    let mut owner = String::new();
    for placement in facts.placements_in(season.id) {
        let mut waiting: Option<Vec<StepKey>> = None;
        for fault in facts.faults_of(placement.id).filter(|f| lit_ms.is_none_or(|t| f.found_ms.0 < t)) {
            let settled =
                facts.fault_over(fault) || facts.fault_stands(fault.id) == Some(RepairDeed::Replaced);
            owner.clear();
            if settled
                && write!(owner, "fault:{}", fault.id).is_ok()
                && !ticked_faults.contains(owner.as_str())
            {
                continue;
            }
            let key = key_of(facts, fault);
            if settled && (!ticked.contains(&key) || before.is_some_and(|t| settled_before(facts, fault, t)))
            {
                continue;
            }
            let why = format!("{} is mended and tested before it goes out ({})", placement.name, fault.code);
            let blocks = |key: &StepKey| Edge::after(key.clone(), Reason::Bench, why.clone());
            let waiting = waiting.get_or_insert_with(|| gates(steps, placement));
            edges.extend(waiting.iter().map(|gate| (gate.clone(), blocks(&key))));
            if seen.insert(fault.id) {
                added.push(step(facts, &spares, placement, fault, key));
            }
        }
        name_spares_out(facts, &put_in, placement, steps);
    }
    add(steps, edges);
    steps.extend(added);
}

/// When the show before this one went off, UTC milliseconds of its local day.
fn last_show_ms(facts: &Facts, season: &Season) -> Option<i64> {
    let earlier = |s: &&Season| s.show == season.show && s.lights_on < season.lights_on;
    let off = facts.yard.seasons.iter().filter(earlier).filter_map(|s| s.lights_off).max()?;
    Some(off.and_hms_opt(0, 0, 0)?.and_utc().timestamp_millis())
}

/// What was mended for an earlier show is no work of this one.
fn settled_before(facts: &Facts, fault: &Fault, show_ms: i64) -> bool {
    facts.repairs(fault.id).last().is_some_and(|e| e.at_ms.0 < show_ms)
}

/// Where a spare was put in, the steps that would have waited say which piece goes out.
fn name_spares_out(facts: &Facts, put_in: &[(PieceId, &Fault)], placement: &Placement, steps: &mut [Step]) {
    let pieces = facts.pieces_of(placement.id);
    let code = |id: PieceId| facts.piece(id).map_or("", |p| p.code.as_str());
    let mut words = String::new();
    for (spare, fault) in put_in.iter().filter(|(spare, _)| pieces.contains(spare)) {
        if let Some(was) = fault.piece_id.filter(|p| !pieces.contains(p)) {
            let _ = write!(words, ", with the spare {} for {} ({})", code(*spare), code(was), fault.code);
        }
    }
    if words.is_empty() {
        return;
    }
    let gates = gates(steps, placement);
    for step in steps.iter_mut().filter(|s| gates.contains(&s.key)) {
        step.title.push_str(&words);
    }
}

/// Spares put in and not mended away again since: the spare, and the fault it stands in for.
fn put_in<'a>(facts: &Facts<'a>) -> Vec<(PieceId, &'a Fault)> {
    let still = |f: &&'a Fault| !facts.fault_over(f);
    let of = |f: &'a Fault| Some((facts.repairs(f.id).iter().rev().find_map(|e| e.spare_id)?, f));
    facts.yard.faults.iter().filter(still).filter_map(of).collect()
}

/// A fault opened again is another job: its first mending stays as it was ticked.
fn key_of(facts: &Facts, fault: &Fault) -> StepKey {
    let again = facts.repairs(fault.id).iter().filter(|e| e.deed == RepairDeed::Reopened).count();
    let deed = if again == 0 { "mend".to_owned() } else { format!("mend{}", again + 1) };
    StepKey::of("fault", fault.id, &deed, Phase::Bench)
}

/// The bench test of a placement, and its first step up that handles the prop.
fn gates(steps: &[Step], placement: &Placement) -> Vec<StepKey> {
    let test = of(steps, placement.id).find(|s| s.phase == Phase::Bench);
    let first = first_handling(steps, placement.id);
    test.into_iter().chain(first).map(|s| s.key.clone()).collect()
}

fn step(
    facts: &Facts,
    spares: &BTreeMap<PieceId, Spare>,
    placement: &Placement,
    fault: &Fault,
    key: StepKey,
) -> Step {
    let what = mend(facts, fault);
    let piece = fault.piece_id.and_then(|p| facts.piece(p));
    let name = piece.map_or(placement.code.as_str(), |p| p.code.as_str());
    let mut title = format!("Mend and test {name} ({})", fault.code);
    if let PartState::Ordered(part, order) = what.part
        && what.waits
    {
        let _ = write!(title, ", once {} is in ({})", part.name, order.code);
    }
    let instead = match piece.and_then(|p| spares.get(&p.id)) {
        Some(Spare::Piece(id)) => {
            facts.piece(*id).map(|p| format!("put out the spare {}", p.code)).unwrap_or_default()
        }
        Some(Spare::NoneLeft) => {
            title.push_str(", no spare left");
            String::new()
        }
        None => String::new(),
    };
    if !instead.is_empty() {
        let _ = write!(title, ", or {instead}");
    }
    let remedy =
        if instead.is_empty() { "there is no spare to put out".to_owned() } else { format!("or {instead}") };
    let mut step = plain_step(key, StepDeed::BenchTest, &title, LOOK_S);
    // What is mended already is only tested.
    let mended = facts.fault_stands(fault.id) == Some(RepairDeed::Mended);
    let start_s = if mended { START_S } else { what.seconds - TEST_S };
    step.run = Some(Run { start_s, runs_s: TEST_S, title });
    step.title = format!("Look at {name} ({}) lit: all colours, every pixel, plugs", fault.code);
    step.phase = Phase::Bench;
    step.light = Light::Indoors;
    step.placement = Some(placement.id);
    step.subject = super::super::build::subject(placement);
    step.skills = what.skills;
    step.cautions = ["mains", "supply_off", "hot_tool"].map(str::to_owned).to_vec();
    if what.waits {
        match what.part {
            PartState::Ordered(_, order) => {
                step.not_before = order.expected_on.and_then(|d| d.and_hms_opt(0, 0, 0));
            }
            PartState::Missing(part) => {
                step.held = Some(format!(
                    "{} waits for {}, which is neither on hand nor ordered: order it, {remedy}",
                    fault.code, part.name
                ));
            }
            PartState::NotTold => {
                step.held = Some(format!(
                    "{} waits for a part that is not told: say which, order it, {remedy}",
                    fault.code
                ));
            }
            PartState::In(_) => {}
        }
    }
    step
}
