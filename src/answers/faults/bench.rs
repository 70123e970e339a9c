//! The bench: what is to be mended, with what, by whom, and by when.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use chrono::{DateTime, NaiveDate, Utc};

use crate::answers::Outlook;
use crate::answers::faults::page::{fault_state, symptom_words};
use crate::answers::words::target_name;
use crate::domain::{Fault, FaultId, Phase, PieceId, PlacementId, RepairDeed};
use crate::planner::Plan;
use crate::steps::{Facts, PartState, Spare, State, mend, spares_for};
use crate::units::Span;

/// One job of the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchJob {
    pub minutes: i64,
    pub skills: Vec<String>,
    /// "Gull motor, ordered (PO26-03), expected Mon 14 Sep 2026".
    pub part: Option<String>,
    pub part_in: bool,
    /// The day of the first step that uses the piece.
    pub needed_by: Option<NaiveDate>,
    /// All of it in one line.
    pub next: String,
}

/// Whether a fault is a job of the bench: not over, and more than just found, or its season is over.
fn on_bench(outlook: &Outlook, facts: &Facts, fault: &Fault) -> bool {
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let season = crate::answers::record::units::season_of(facts, fault).and_then(|s| facts.season(s));
    // A prop that was only patched or switched off before its show is mended where it stands; once the show is lit the
    // mend waits for the bench.
    let ahead = season.is_some_and(|s| s.lights_on.is_some_and(|t| t > outlook.local_now()));
    let outdoors = |d: RepairDeed| {
        let only = matches!(d, RepairDeed::Looked | RepairDeed::Patched | RepairDeed::SwitchedOff);
        ahead && fault.piece_id.is_none() && only
    };
    let told = facts.fault_stands(fault.id).is_some_and(|d| d != RepairDeed::Reopened && !outdoors(d));
    let over = season.is_none_or(|s| s.closed_on.is_some() || s.lights_off.is_some_and(|d| d < today));
    !facts.fault_over(fault) && (told || over)
}

/// The jobs of the bench by their faults. `plan` tells the days; without one only the season's dates do.
pub(crate) fn bench_jobs(outlook: &Outlook, plan: Option<&Plan>) -> BTreeMap<FaultId, BenchJob> {
    let facts = outlook.facts();
    let first = first_uses(outlook, &facts, plan);
    // Of the seasons to come the first has its choice of the spares.
    let mut spares: BTreeMap<PieceId, Spare> = BTreeMap::new();
    for season in outlook.coming_seasons() {
        for (piece, spare) in spares_for(&facts, season.id) {
            spares.entry(piece).or_insert(spare);
        }
    }
    outlook
        .yard
        .faults
        .iter()
        .filter(|f| on_bench(outlook, &facts, f))
        .map(|f| (f.id, job(outlook, &facts, f, &first, &spares)))
        .collect()
}

/// Faults on the bench in the order they are to be done: by date, then what has its part in.
pub(crate) fn bench_order(
    jobs: &BTreeMap<FaultId, BenchJob>,
    fault: FaultId,
) -> (bool, Option<NaiveDate>, bool) {
    jobs.get(&fault).map_or((true, None, true), |j| (j.needed_by.is_none(), j.needed_by, !j.part_in))
}

/// The first day a coming season uses something, and the placement's name.
type Use = (Option<NaiveDate>, String);

/// First uses of pieces, and of whole props by their faults.
#[derive(Default)]
struct Uses {
    pieces: BTreeMap<PieceId, Use>,
    faults: BTreeMap<FaultId, Use>,
}

/// By the plan where it is that season's, else by the season's own dates.
fn first_uses(outlook: &Outlook, facts: &Facts, plan: Option<&Plan>) -> Uses {
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let mut first = Uses::default();
    for season in outlook.coming_seasons() {
        let planned = plan.filter(|p| p.season == season.code);
        let mut soonest: BTreeMap<PlacementId, DateTime<Utc>> = BTreeMap::new();
        for s in planned.iter().flat_map(|p| &p.steps) {
            let to_come = s.step.phase == Phase::Up && !matches!(s.state, State::Done | State::Skipped);
            if let Some((placement, from)) = s.step.placement.filter(|_| to_come).zip(s.from) {
                soonest.entry(placement).and_modify(|t| *t = from.min(*t)).or_insert(from);
            }
        }
        for placement in facts.placements_in(season.id) {
            let day = soonest.get(&placement.id).map(|t| t.with_timezone(&outlook.zone()).date_naive());
            // What has no day in the plan is not used on one that is gone.
            let begins = season.work_from.filter(|d| *d >= today);
            let day = day.or(begins).or(season.rehearsal.map(|t| t.date()));
            for piece in facts.pieces_of(placement.id) {
                first.pieces.entry(*piece).or_insert((day, placement.name.clone()));
            }
            for fault in facts.faults_of(placement.id).filter(|f| f.piece_id.is_none()) {
                first.faults.entry(fault.id).or_insert((day, placement.name.clone()));
            }
        }
    }
    first
}

fn job(
    outlook: &Outlook,
    facts: &Facts,
    fault: &Fault,
    first: &Uses,
    spares: &BTreeMap<PieceId, Spare>,
) -> BenchJob {
    let what = mend(facts, fault);
    let last = facts.fault_stands(fault.id);
    let tested_only = last == Some(RepairDeed::Mended);
    let minutes = if tested_only { 20 } else { Span::from_s(what.seconds).minutes_up() };
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let say = |d: NaiveDate| d.format("%a %-d %b %Y").to_string();
    let part = match what.part {
        PartState::NotTold => None,
        PartState::In(p) => Some(format!("{} is in", p.name)),
        PartState::Ordered(p, o) => Some(match o.expected_on {
            Some(d) if d < today => format!("{} is late: {} was due {}", p.name, o.code, say(d)),
            Some(d) => format!("{} is ordered ({}), expected {}", p.name, o.code, say(d)),
            None => format!("{} is ordered ({})", p.name, o.code),
        }),
        PartState::Missing(p) => Some(format!("{} is neither on hand nor ordered", p.name)),
    };
    let part_in = tested_only || matches!(what.part, PartState::In(_) | PartState::NotTold);
    // A fault of a whole prop is due with the first of its pieces.
    let whole = fault.placement_id.filter(|_| fault.piece_id.is_none());
    let pieces =
        fault.piece_id.into_iter().chain(whole.into_iter().flat_map(|p| facts.pieces_of(p).to_vec()));
    let uses = pieces.filter_map(|p| first.pieces.get(&p)).chain(first.faults.get(&fault.id));
    let used = uses.min_by_key(|(day, _)| (day.is_none(), *day));
    let by = match used {
        Some((Some(day), name)) if *day < today => format!(" for {name}, which was due {}", say(*day)),
        Some((Some(day), name)) => format!(" by {} for {name}", say(*day)),
        Some((None, name)) => format!(" for {name}, no date told"),
        None => ", nothing of a coming season uses it".to_owned(),
    };
    let deed = if tested_only { "test it on the bench" } else { "mend and test it" };
    let mut next = format!("{deed}{by}, about {}", Span::from_minutes(minutes).show());
    for more in what.skills.iter().map(String::as_str).chain(part.as_deref()) {
        next.push_str(", ");
        next.push_str(more);
    }
    match fault.piece_id.and_then(|p| spares.get(&p)) {
        Some(Spare::Piece(id)) => {
            let code = facts.piece(*id).map_or("", |p| p.code.as_str());
            let _ = write!(next, "; or put out the spare {code}");
        }
        Some(Spare::NoneLeft) => next.push_str("; no spare left"),
        None => {}
    }
    BenchJob { minutes, skills: what.skills, part, part_in, needed_by: used.and_then(|u| u.0), next }
}

/// One fault on the bench list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchRow {
    pub fault: String,
    pub target: String,
    pub symptom: String,
    pub state: &'static str,
    pub job: BenchJob,
}

/// The bench list in the order of its dates, with days from the plan.
pub fn bench(outlook: &Outlook, plan: Option<&Plan>) -> Vec<BenchRow> {
    let jobs = bench_jobs(outlook, plan);
    let facts = outlook.facts();
    let mut faults: Vec<&Fault> = outlook.yard.faults.iter().filter(|f| jobs.contains_key(&f.id)).collect();
    faults.sort_by_key(|f| (bench_order(&jobs, f.id), f.code.clone()));
    faults
        .into_iter()
        .filter_map(|f| {
            Some(BenchRow {
                fault: f.code.clone(),
                target: target_name(outlook, f.piece_id, f.placement_id),
                symptom: symptom_words(f),
                state: fault_state(&facts, f).0,
                job: jobs.get(&f.id)?.clone(),
            })
        })
        .collect()
}
