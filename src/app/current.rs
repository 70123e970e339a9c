//! The facts as the file has them, and the one owner of what is worked out from them.
//!
//! The rule: facts change in [`Current::take`] and nowhere else. What a page or a step was worked out from is noted
//! table by table ([`Remembered`]); a plan and its odds hold for one version of the facts and one moment. A plan of
//! older facts may only stand in for the one being made beside the screens, and only while nothing changed but what
//! ticks write: a tick must not wait for a plan.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::{DateTime, NaiveDate, Utc};

use crate::answers::remembered::{Remembered, ticked};
use crate::domain::{KeptStep, Phase, RowChange, SeasonId, Stamp, Yard};
use crate::planner::{Odds, Plan};

/// What a plan is of.
pub(super) type PlanOf = (SeasonId, Phase);

/// What a plan was made from: equal, and it would be the same plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct MadeFrom {
    pub(super) version: u64,
    pub(super) now: DateTime<Utc>,
    /// The day whose night it is.
    pub(super) night: NaiveDate,
    pub(super) own_times: bool,
}

/// The odds of a plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum OddsKnown {
    NotYet,
    /// There are none where they make no sense.
    Known(Option<Box<Odds>>),
}

/// A plan with what it was made from.
pub(super) struct Made {
    pub(super) plan: Arc<Plan>,
    pub(super) from: MadeFrom,
    /// Searched as long as a plan is that was asked for by name.
    pub(super) thorough: bool,
    pub(super) odds: OddsKnown,
    /// Everything that no tick writes, as it stood.
    frame: BTreeSet<Stamp>,
}

/// See the head of this file.
pub(super) struct Current {
    /// Shared with the work beside the screens, which keeps the facts it began with.
    pub(super) yard: Arc<Yard>,
    /// Counts what was taken in.
    version: u64,
    pub(super) remembered: Remembered,
    plans: BTreeMap<PlanOf, Made>,
    kept: Vec<KeptStep>,
}

impl Current {
    pub(super) fn new(yard: Yard, kept: Vec<KeptStep>) -> Self {
        let yard = Arc::new(yard);
        Self { yard, version: 1, remembered: Remembered::default(), plans: BTreeMap::new(), kept }
    }

    pub(super) fn yard(&self) -> &Yard {
        &self.yard
    }

    pub(super) fn shared(&self) -> Arc<Yard> {
        Arc::clone(&self.yard)
    }

    pub(super) fn version(&self) -> u64 {
        self.version
    }

    /// Takes in facts that changed: `rows` are what the change set, or nothing where that is not known.
    pub(super) fn take<E>(
        &mut self,
        rows: Option<&[RowChange]>,
        change: impl FnOnce(&mut Yard) -> Result<(), E>,
    ) -> Result<(), E> {
        // Ticks that are gone after it, and those that are new.
        let mut ticks = rows.map(|rows| ticked(&self.yard, rows));
        let changed = change(Arc::make_mut(&mut self.yard));
        self.version += 1;
        if let Some((list, rows)) = ticks.as_mut().zip(rows) {
            list.append(&mut ticked(&self.yard, rows));
        }
        // A change that broke off half-way leaves nothing that could be relied on.
        let ticks = ticks.filter(|_| changed.is_ok());
        self.remembered = std::mem::take(&mut self.remembered).after(ticks, &self.yard);
        changed
    }

    /// What people expect, of all phases.
    pub(super) fn kept(&self) -> &[KeptStep] {
        &self.kept
    }

    /// Takes in what people expect.
    pub(super) fn take_kept(&mut self, kept: Vec<KeptStep>) {
        if self.kept != kept {
            self.kept = kept;
            self.version += 1;
        }
    }

    /// The plan that holds.
    pub(super) fn plan(&self, of: PlanOf, from: MadeFrom) -> Option<&Made> {
        self.plans.get(&of).filter(|made| made.from == from)
    }

    /// The plan that may show until the one that holds was made beside the screens.
    pub(super) fn stand_in(&self, of: PlanOf) -> Option<&Made> {
        let made = self.plans.get(&of)?;
        (made.plan.told.sessions && made.frame == frame(&self.yard)).then_some(made)
    }

    pub(super) fn keep(&mut self, of: PlanOf, plan: Arc<Plan>, from: MadeFrom, thorough: bool) {
        let frame = frame(&self.yard);
        self.plans.insert(of, Made { plan, from, thorough, odds: OddsKnown::NotYet, frame });
    }

    pub(super) fn keep_odds(&mut self, of: PlanOf, odds: Option<Odds>) {
        if let Some(made) = self.plans.get_mut(&of) {
            made.odds = OddsKnown::Known(odds.map(Box::new));
        }
    }
}

/// What of the facts no tick writes.
fn frame(yard: &Yard) -> BTreeSet<Stamp> {
    let mut stamps = yard.stamps();
    let ticked = [yard.ticks.stamp(), yard.time_corrections.stamp(), yard.repair_entries.stamp()];
    for stamp in ticked.into_iter().chain([yard.pieces.stamp(), yard.faults.stamp()]) {
        stamps.remove(&stamp);
    }
    stamps
}
