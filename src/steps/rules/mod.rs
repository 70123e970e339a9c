//! Edges across placements, one rule a file. Each takes the steps and adds edges with their reason.
//!
//! Not here: the order inside a recipe (`placements`), the round of one box (`boxes`).

mod above;
mod bench;
mod carries;
mod deliveries;
mod desk;
mod faults;
mod feeds;
mod lays;
mod look_over;
mod outlets;
mod packing;
mod shared;
mod tied;

pub(super) use above::above;
pub(super) use bench::bench;
pub(super) use carries::{carries_down, carries_up};
pub(super) use deliveries::deliveries;
pub(super) use desk::desk;
pub(super) use faults::faults;
pub(super) use feeds::{feeds_down, feeds_up};
pub(super) use lays::lays;
pub(super) use look_over::look_over;
pub(super) use outlets::outlets;
pub(super) use packing::pack_by_condition;
pub(super) use shared::shared;
pub(super) use tied::tied;

use crate::domain::{Phase, PlacementId, StepDeed};
use crate::steps::Step;

/// Deeds that put something up, in or on: before them nothing of the prop is in the way or needs what carries it.
pub(super) const fn puts_up(deed: StepDeed) -> bool {
    matches!(
        deed,
        StepDeed::Raise
            | StepDeed::Hang
            | StepDeed::Set
            | StepDeed::Tie
            | StepDeed::Tension
            | StepDeed::Drive
    )
}

/// Deeds that take something off or down.
pub(super) const fn takes_down(deed: StepDeed) -> bool {
    matches!(deed, StepDeed::Release | StepDeed::Lower | StepDeed::Pull)
}

/// The first step up of a placement that handles the prop itself: its mount is made, and spots may be marked and stakes
/// driven, before it is there.
pub(super) fn first_handling(steps: &[Step], placement: PlacementId) -> Option<&Step> {
    let of_mount = |s: &&Step| matches!(s.deed, StepDeed::Make | StepDeed::Cure | StepDeed::LookOver);
    let ground = |s: &&Step| matches!(s.deed, StepDeed::Mark | StepDeed::Drive | StepDeed::Other);
    let ups = || of(steps, placement).filter(|s| s.phase == Phase::Up && !of_mount(s));
    ups().find(|s| !ground(s)).or_else(|| ups().next())
}

/// The steps of one placement, in their order.
pub(super) fn of(steps: &[Step], placement: PlacementId) -> impl DoubleEndedIterator<Item = &Step> {
    steps.iter().filter(move |s| s.placement == Some(placement))
}
