//! What to leave out, by least worth lost, so that the odds reach a wanted level.
//!
//! Placements are ranked by worth for each hour they free, with all that they carry or feed; the shortest beginning of
//! that row that reaches the level is found by halving, each try verified by the odds with the same random figures;
//! then whatever proves needless is put back, the most worthy first.
//!
//! Not here: holding anything back (`app`).

use std::collections::{BTreeMap, BTreeSet};

use super::ask::Request;
use super::odds::{Chances, OddsRequest, odds};
use super::plan::Plan;
use crate::domain::PlacementId;
use crate::steps::{Reason, State};

/// Placements that go together, because the first carries or feeds the others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drop {
    pub placement: PlacementId,
    /// What it carries or feeds, left out with it.
    pub with: BTreeSet<PlacementId>,
    pub worth: i64,
    /// Minutes of hands that it frees.
    pub minutes: i64,
}

/// What to leave out.
#[derive(Debug, Clone, PartialEq)]
pub struct DropList {
    pub wanted: f64,
    /// Odds, 0 to 1, with everything.
    pub before: f64,
    /// Odds with the drops left out; where the level is not reached, with everything left out that can be.
    pub after: f64,
    pub reached: bool,
    /// Empty where nothing need be left out, or leaving out does not help enough.
    pub drops: Vec<Drop>,
}

/// The list for `wanted`, 0 to 1; nothing where there are no odds.
pub fn drop_list(
    request: &Request,
    plan: &Plan,
    chances: &Chances,
    runs: u32,
    wanted: f64,
) -> Option<DropList> {
    let try_without = |drops: &[Drop]| {
        let without: BTreeSet<PlacementId> = drops
            .iter()
            .flat_map(|d| d.with.iter().copied().chain([d.placement]))
            .chain(plan.left_out.clone())
            .collect();
        odds(&OddsRequest { request, plan, followed: plan, chances, runs, without: &without })
            .map(|o| o.in_time)
    };
    let before = try_without(&[])?;
    let mut list = DropList { wanted, before, after: before, reached: before >= wanted, drops: Vec::new() };
    if list.reached {
        return Some(list);
    }
    let row = candidates(request, plan);
    list.after = try_without(&row)?;
    if list.after < wanted {
        return Some(list);
    }
    let (mut few, mut many) = (0, row.len());
    while many - few > 1 {
        let half = few.midpoint(many);
        if try_without(row.get(..half).unwrap_or_default())? >= wanted {
            many = half;
        } else {
            few = half;
        }
    }
    let mut drops: Vec<Drop> = row.into_iter().take(many).collect();
    let mut back: Vec<PlacementId> = drops.iter().map(|d| d.placement).collect();
    back.sort_by_key(|id| {
        drops.iter().find(|d| d.placement == *id).map(|d| (-d.worth, d.minutes, d.placement))
    });
    for id in back {
        let fewer: Vec<Drop> = drops.iter().filter(|d| d.placement != id).cloned().collect();
        if try_without(&fewer)? >= wanted {
            drops = fewer;
        }
    }
    list.after = try_without(&drops)?;
    list.reached = list.after >= wanted;
    list.drops = drops;
    Some(list)
}

/// Everything that may be left out, least worth for an hour first.
fn candidates(request: &Request, plan: &Plan) -> Vec<Drop> {
    let of_step: BTreeMap<_, PlacementId> =
        plan.steps.iter().filter_map(|p| Some((&p.step.key, p.step.placement?))).collect();
    let mut minutes: BTreeMap<PlacementId, i64> = BTreeMap::new();
    let mut needs: BTreeMap<PlacementId, BTreeSet<PlacementId>> = BTreeMap::new();
    for p in plan.steps.iter().filter(|p| p.state == State::Open) {
        let Some(own) = p.step.placement else { continue };
        *minutes.entry(own).or_default() += p.minutes * p.step.hands.max(1);
        for e in p.after.iter().filter(|e| matches!(e.reason, Reason::Carries | Reason::Feeds)) {
            if let Some(under) = of_step.get(&e.key).filter(|u| **u != own) {
                needs.entry(*under).or_default().insert(own);
            }
        }
    }
    // What a box feeds stays dark without it, whatever hangs where.
    for (fed, piece) in request.facts.fed_by(request.season.id) {
        let feeds = request.facts.placement_of_piece(request.season.id, piece).filter(|b| b.id != fed);
        if let Some(under) = feeds.filter(|_| minutes.contains_key(&fed)) {
            needs.entry(under.id).or_default().insert(fed);
        }
    }
    let worth_of = |id: PlacementId| request.facts.placement(id).map_or(0, |p| p.worth);
    let mut row: Vec<Drop> = minutes
        .keys()
        .map(|first| {
            let mut with: BTreeSet<PlacementId> = BTreeSet::new();
            let mut todo = vec![*first];
            while let Some(id) = todo.pop() {
                for next in needs.get(&id).into_iter().flatten() {
                    if next != first && with.insert(*next) {
                        todo.push(*next);
                    }
                }
            }
            let all = with.iter().chain([first]);
            let (worth, freed) =
                all.fold((0, 0), |(w, m), id| (w + worth_of(*id), m + minutes.get(id).copied().unwrap_or(0)));
            Drop { placement: *first, with, worth, minutes: freed }
        })
        .collect();
    // Worth for a minute, compared without dividing; then the one that frees more.
    row.sort_by(|a, b| {
        (a.worth * b.minutes.max(1), b.minutes, a.placement).cmp(&(
            b.worth * a.minutes.max(1),
            a.minutes,
            b.placement,
        ))
    });
    row
}
