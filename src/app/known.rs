//! What follows from the facts, worked out at its first use and kept until they change.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::owner::App;
use super::record::Spare;
use super::view::{RecordBar, Seasons};
use crate::domain::{Phase, ProductId, RowChange, SeasonId, Value};
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
    pub(super) lasting: Lasting,
    /// What the record says on a day.
    pub(super) seasons: RefCell<Option<(RecordDay, Seasons)>>,
}

/// What follows from the facts other than ticks: an evening's ticks leave it as it is.
#[derive(Default)]
pub(super) struct Lasting {
    /// What failed by a day, as sentences and bars.
    pub(super) failures: RefCell<Option<(RecordDay, FailuresTold)>>,
    /// What to carry by a day, at the usual service level.
    pub(super) spares: RefCell<Option<(RecordDay, Vec<Spare>)>>,
    /// How a product has done by a day, in a line; nothing where it has no record.
    pub(super) product_records: RefCell<BTreeMap<(RecordDay, ProductId), Option<String>>>,
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
    pub(super) fn keep_known(&mut self, before: Known, rows: &[RowChange]) {
        self.known.index = before.index.after(&self.yard, rows);
        if rows.iter().all(|r| r.table == "tick") {
            self.known.lasting = before.lasting;
            self.keep_derived(before.derived.into_inner(), rows);
        }
    }

    /// Keeps what was derived over ticks of steps that it did not ask about; taken back, a tick may be anything.
    fn keep_derived(&mut self, before: StepsOf, ticks: &[RowChange]) {
        let key = |r: &RowChange| match r.set.iter().find(|(column, _)| *column == "step_key") {
            Some((_, Value::Text(key))) => Some(StepKey::from_text(key)),
            _ => None,
        };
        let Some(ticked) = ticks.iter().map(key).collect::<Option<BTreeSet<StepKey>>>() else { return };
        let progress = self.progress();
        let kept = before.into_iter().filter_map(|(of, d)| Some((of, d.after(&ticked, &progress)?)));
        self.known.derived = RefCell::new(kept.collect());
    }

    /// See [`RecordDay`].
    pub(super) fn record_day(&self) -> RecordDay {
        let now = self.now().with_timezone(&self.zone()).naive_local();
        (now.date(), self.yard.seasons.iter().filter(|s| s.lights_on.is_some_and(|t| t <= now)).count())
    }
}
