//! Faults: what was logged and what to do next, a row each.
//!
//! Not here: all about one fault (`fault_detail`).

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::faults::BenchJob;
use crate::answers::faults::bench::{bench_jobs, bench_order};
use crate::answers::symptoms::{SYMPTOMS, symptom};
use crate::answers::totes::whereabouts::{Located, Whereabouts, where_words, whereabouts};
use crate::answers::view::{FaultRow, Faults, Symptom};
use crate::answers::words::{placement_place, say_date, target_name};
use crate::domain::{Condition, Fault, FaultId, Phase, PieceId, Placement, PlacementId, RepairDeed};
use crate::planner::Plan;
use crate::steps::Facts;

/// A tick this long ago, milliseconds, says no more where one stands.
const STANDS_HERE_MS: i64 = 2 * 3_600_000;

/// The faults of this yard, with days from the plan: those just found, then the bench by its dates, then what is over.
pub fn faults_page(outlook: &Outlook, plan: Option<&Plan>) -> Faults {
    let facts = outlook.facts();
    let jobs = bench_jobs(outlook, plan);
    let mut faults: Vec<&Fault> = outlook.yard.faults.iter().collect();
    faults.sort_by_cached_key(|f| {
        let over = facts.fault_over(f);
        let bench = jobs.contains_key(&f.id);
        // Just found presses most, then what stands patched or off, then the bench by its dates.
        let found = !bench && fault_state(&facts, f).0 != "open";
        let latest = std::cmp::Reverse(if bench { 0 } else { f.found_ms.0 });
        (over, bench, found, bench_order(&jobs, f.id), latest, f.code.clone())
    });
    let located = whereabouts(outlook);
    let rows = faults.iter().map(|f| fault_row(outlook, &facts, (&jobs, &*located), f)).collect();
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for code in outlook.yard.faults.iter().filter_map(|f| symptom(&f.symptom)).map(|s| s.code) {
        *seen.entry(code).or_default() += 1;
    }
    let mut symptoms: Vec<(usize, Symptom)> = SYMPTOMS
        .iter()
        .map(|s| {
            let many = seen.get(s.code).copied().unwrap_or(0);
            (many, Symptom { code: s.code, text: s.text, asks_pixel: s.asks_pixel })
        })
        .collect();
    symptoms.sort_by_key(|(n, _)| std::cmp::Reverse(*n));
    Faults {
        rows,
        symptoms: symptoms.into_iter().map(|(_, s)| s).collect(),
        targets: targets(outlook, &facts),
        pieces: pieces(outlook, &facts),
    }
}

/// Where one goes to see it, where the piece is, else where the prop is put; and whether the piece hangs there now.
fn place_of(
    outlook: &Outlook,
    facts: &Facts,
    located: &BTreeMap<PieceId, Located>,
    f: &Fault,
) -> (bool, String) {
    let at = |p: PlacementId| facts.placement(p).map_or_else(String::new, |p| placement_place(facts, p));
    let alone = || match facts.pieces_of(f.placement_id?) {
        [one] => Some(*one),
        _ => None,
    };
    match f.piece_id.or_else(alone).and_then(|id| Some((facts.piece(id)?, located.get(&id)?))) {
        Some((_, Located { at: Whereabouts::Up(p), .. })) => (true, at(*p)),
        // Its code and shelf stand on Totes; here the name of the thing is to have the room.
        Some((_, Located { at: Whereabouts::In(tote), .. })) => {
            let tote = outlook.yard.containers.iter().find(|c| c.id == *tote);
            (false, tote.map_or_else(String::new, |c| c.name.clone()))
        }
        Some((piece, is)) => (false, where_words(outlook, facts, piece, is)),
        None => (false, f.placement_id.map_or_else(String::new, at)),
    }
}

/// How a fault stands, and what to do next.
pub(crate) fn fault_state(facts: &Facts, f: &Fault) -> (&'static str, &'static str) {
    match facts.fault_stands(f.id) {
        None | Some(RepairDeed::Looked | RepairDeed::Reopened) => {
            ("open", "mend tonight, patch it, or switch it off")
        }
        Some(RepairDeed::Patched) => ("patched", "mend it on the bench in summer"),
        Some(RepairDeed::SwitchedOff) => ("off", "mend it on the bench in summer"),
        Some(RepairDeed::WaitingPart) => ("waiting for a part", "order the part, or receive it"),
        Some(RepairDeed::Mended) => ("mended, to be tested", "test it on the bench"),
        Some(RepairDeed::Replaced) => ("replaced, piece on the bench", "mend or scrap the piece"),
        Some(RepairDeed::Tested) => ("ended", ""),
        Some(RepairDeed::Scrapped) => ("scrapped", ""),
    }
}

fn fault_row(
    outlook: &Outlook,
    facts: &Facts,
    (jobs, located): (&BTreeMap<FaultId, BenchJob>, &BTreeMap<PieceId, Located>),
    f: &Fault,
) -> FaultRow {
    let (state, next) = fault_state(facts, f);
    let (job, ended) = (jobs.get(&f.id), facts.fault_over(f));
    let (hangs, place) = if ended { (false, String::new()) } else { place_of(outlook, facts, located, f) };
    let next = match job {
        // Nobody mends on the bench what hangs.
        Some(job) if hangs => format!("hangs at {place}; once it is down {}", job.next),
        Some(job) => job.next.clone(),
        None => where_it_stands(outlook, facts, f).unwrap_or_else(|| next.to_owned()),
    };
    FaultRow {
        id: f.id.0,
        code: f.code.clone(),
        target: target_name(outlook, f.piece_id, f.placement_id),
        place,
        symptom: symptom_words(f),
        state,
        ended,
        bench: job.is_some(),
        hangs: hangs && job.is_some(),
        needed_by: job.and_then(|j| j.needed_by),
        next,
    }
}

/// What is next for a prop of a show that is still to be lit: it is mended where it stands.
fn where_it_stands(outlook: &Outlook, facts: &Facts, f: &Fault) -> Option<String> {
    let season = facts.season(facts.placement(f.placement_id?)?.season_id)?;
    let on = season.lights_on.filter(|t| *t > outlook.local_now() && !facts.fault_over(f))?;
    Some(format!("mend it where it stands before lights on, {}", say_date(on.date())))
}

/// "dark from pixel 37 on".
pub(crate) fn symptom_words(f: &Fault) -> String {
    let text = symptom(&f.symptom).map_or_else(|| f.symptom.replace('_', " "), |s| s.text.to_owned());
    match (f.at_pixel, &f.segment) {
        (Some(n), _) if text.contains("pixel N") => text.replace("pixel N", &format!("pixel {n}")),
        (Some(n), _) => format!("{text} (pixel {n})"),
        (None, Some(s)) => format!("{text} ({s})"),
        (None, None) => text,
    }
}

/// Pieces of the placements of the season that is lit and of the one that goes up, where there are several.
fn pieces(outlook: &Outlook, facts: &Facts) -> BTreeMap<String, Vec<(String, String)>> {
    let seasons: BTreeSet<_> = [Phase::Tonight, Phase::Up]
        .iter()
        .filter_map(|p| outlook.season_for(*p).ok())
        .map(|s| s.id)
        .collect();
    let placements = seasons.into_iter().flat_map(|s| facts.placements_in(s));
    let several = placements.filter(|p| facts.pieces_of(p.id).len() > 1);
    several
        .map(|p| {
            let mut of: Vec<_> = facts.pieces_of(p.id).iter().filter_map(|id| facts.piece(*id)).collect();
            // One that is on the bench already is the least likely.
            of.sort_by_key(|x| x.condition != Condition::Good || !facts.open_faults(x.id).is_empty());
            (p.code.clone(), of.into_iter().map(|x| (x.code.clone(), x.name.clone())).collect())
        })
        .collect()
}

/// What can carry a fault: where one stands by the last tick, the placements of the season that is lit and of the
/// one that goes up, then every piece that is not alone at one of them: there the two are one thing.
pub(crate) fn targets(outlook: &Outlook, facts: &Facts) -> Vec<(String, String)> {
    let since = outlook.now_ms() - STANDS_HERE_MS;
    let ticks = outlook.yard.ticks.iter().filter(|t| t.at_ms.is_some_and(|at| at.0 >= since));
    let here = ticks.max_by_key(|t| (t.at_ms, t.id)).and_then(|t| t.placement_id);
    let mut placements: Vec<&Placement> = here.and_then(|id| facts.placement(id)).into_iter().collect();
    // What is up or goes up comes before the props of a show that is over.
    let now = outlook.phase_now();
    for phase in [now, Phase::Up, Phase::Tonight] {
        placements
            .extend(outlook.season_for(phase).ok().map(|s| facts.placements_in(s.id)).unwrap_or_default());
    }
    let mut targets: Vec<(String, String)> = Vec::new();
    let (mut named, mut covered) = (BTreeSet::<PieceId>::new(), BTreeSet::<PieceId>::new());
    let mut seen: BTreeSet<PlacementId> = BTreeSet::new();
    for p in placements {
        let pieces = facts.pieces_of(p.id);
        // The same pieces in another show are no other thing.
        let again = !pieces.is_empty() && pieces.iter().all(|x| covered.contains(x));
        if !seen.insert(p.id) || again {
            continue;
        }
        covered.extend(pieces);
        let name = match pieces {
            [one] => {
                named.insert(*one);
                facts.piece(*one).map_or_else(|| p.name.clone(), |x| format!("{} ({})", p.name, x.code))
            }
            _ => p.name.clone(),
        };
        targets.push((p.code.clone(), name));
    }
    for piece in outlook.yard.pieces.iter().filter(|p| !named.contains(&p.id)) {
        let product = facts.product(piece.product_id);
        let name = if piece.name.is_empty() { product.map_or("", |p| p.name.as_str()) } else { &piece.name };
        targets.push((piece.code.clone(), name.to_owned()));
    }
    targets
}
