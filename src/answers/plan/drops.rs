//! What to leave out for a wanted level of the odds.

use crate::answers::plan::odds::{chances, runs_for};
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::record::Learned;
use crate::domain::Phase;
use crate::planner::{DropList, Plan, Request, drop_list};

/// The placements to leave out of a plan made from `request` so that lights on in time reaches `wanted` percent.
///
/// # Errors
/// `no-odds` where there are no sessions, no date, or a phase without odds.
pub(crate) fn drops(
    request: &Request,
    plan: &Plan,
    record: &Learned,
    wanted: u8,
) -> Result<DropList, Problem> {
    let runs = runs_for(plan.steps.len());
    let chances = chances(request.facts.yard, plan, request.now, record);
    drop_list(request, plan, &chances, runs, f64::from(wanted.min(100)) / 100.0)
        .filter(|_| matches!(plan.phase, Phase::Up | Phase::Change))
        .ok_or_else(|| {
            Problem::new(ProblemKind::Data, "no-odds", "there are no odds to better")
                .hint("tell sessions and the season's lights on; odds are of the phases up and change")
        })
}
