//! What follows from the facts, worked out at its first use and kept until they change.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::owner::App;
use super::record::{Shares, Spare};
use super::view::{RecordBar, Seasons};
use crate::domain::{Phase, ProductId, RowChange, SeasonId, Yard};
use crate::steps::{Derived, Facts, Index, Progress, StepKey};

/// Steps by what they were derived for: a season, a phase and the day of a night.
type StepsOf = BTreeMap<(SeasonId, Phase, chrono::NaiveDate), Arc<Derived>>;

/// The local day, and how many seasons have been lit by now: until one of them changes the record says the same.
pub(super) type RecordDay = (chrono::NaiveDate, usize);

/// Sentences and bars.
type FailuresTold = (Vec<String>, Vec<RecordBar>);

/// See [`App::known`].
#[derive(Default)]
pub(super) struct Known {
    pub(super) index: Arc<Index>,
    /// With the recipes' own times, as what was done is measured against.
    pub(super) derived: RefCell<StepsOf>,
    /// With the times that plans take.
    pub(super) steps: RefCell<StepsOf>,
    pub(super) failed: Failed,
    /// What to carry by a day, at the usual service level; nothing of it follows from ticks.
    pub(super) spares: RefCell<Option<(RecordDay, Vec<Spare>)>>,
    /// What the record says on a day.
    pub(super) seasons: RefCell<Option<(RecordDay, Seasons)>>,
}

/// What failed, whatever was ticked or mended since: an evening of either leaves it as it is.
#[derive(Default)]
pub(super) struct Failed {
    /// By a day, as sentences and bars.
    pub(super) told: RefCell<Option<(RecordDay, FailuresTold)>>,
    /// How a product has done by a day, in a line; nothing where it has no record.
    pub(super) by_product: RefCell<BTreeMap<(RecordDay, ProductId), Option<String>>>,
    /// Of each product by a day; nothing where no unit-season is over.
    pub(super) shares: RefCell<Option<(RecordDay, Option<Arc<Shares>>)>>,
}

/// What a change of facts leaves as it was.
pub(super) struct Leaves {
    /// The steps whose ticks changed; no other has other progress.
    ticked: BTreeSet<StepKey>,
    /// What failed is the same.
    failures: bool,
}

impl Leaves {
    /// Of a change of `rows`, as the facts were `before` it.
    pub(super) fn of(before: &Yard, rows: &[RowChange]) -> Self {
        Self { ticked: ticked(before, rows), failures: rows.iter().all(|r| leaves_failures(before, r)) }
    }

    /// What is done again is in no facts but those `after` the change.
    pub(super) fn and(mut self, after: &Yard, rows: &[RowChange]) -> Self {
        self.ticked.append(&mut ticked(after, rows));
        self.failures = self.failures && rows.iter().all(|r| leaves_failures(after, r));
        self
    }
}

/// The steps that the ticks among `rows` belong to.
fn ticked(yard: &Yard, rows: &[RowChange]) -> BTreeSet<StepKey> {
    let ids: BTreeSet<_> = rows.iter().filter(|r| r.table == "tick").map(|r| r.id).collect();
    yard.ticks.iter().filter(|t| ids.contains(&t.id.0)).map(|t| StepKey::shared(&t.step_key)).collect()
}

/// Of a repair only its cause counts for what failed, of a piece not how it is now.
fn leaves_failures(yard: &Yard, row: &RowChange) -> bool {
    match row.table {
        "tick" => true,
        "repair_entry" => !yard.repair_entries.iter().any(|e| e.id.0 == row.id && e.cause.is_some()),
        "piece" => row.set.iter().all(|(column, _)| matches!(*column, "condition" | "looked_over_on")),
        _ => false,
    }
}

impl App {
    /// The facts, looked up by an index that is kept.
    pub(super) fn facts(&self) -> Facts<'_> {
        Facts::with(&self.yard, Arc::clone(&self.known.index))
    }

    /// What the ticks say of each step.
    pub(super) fn progress(&self) -> Arc<BTreeMap<StepKey, Progress>> {
        self.facts().progress()
    }

    /// Keeps of `before` what a change of `rows` leaves as it is: an evening's ticks do not ask for all of it again.
    pub(super) fn keep_known(&mut self, before: Known, rows: &[RowChange], leaves: &Leaves) {
        let only_ticks = rows.iter().all(|r| r.table == "tick");
        // Held by nobody else, the progress is changed where it is instead of copied whole.
        drop(before.steps);
        let mut derived = before.derived.into_inner();
        derived.retain(|_, _| only_ticks);
        derived.values_mut().filter_map(Arc::get_mut).for_each(|d| d.progress = Arc::default());
        self.known.index = before.index.after(&self.yard, rows, &leaves.ticked);
        if only_ticks {
            self.known.spares = before.spares;
            let progress = self.progress();
            let kept =
                derived.into_iter().filter_map(|(of, d)| Some((of, d.after(&leaves.ticked, &progress)?)));
            self.known.derived = RefCell::new(kept.collect());
        }
        if leaves.failures {
            self.known.failed = before.failed;
        }
    }

    /// See [`RecordDay`].
    pub(super) fn record_day(&self) -> RecordDay {
        let now = self.now().with_timezone(&self.zone()).naive_local();
        (now.date(), self.yard.seasons.iter().filter(|s| s.lights_on.is_some_and(|t| t <= now)).count())
    }
}
