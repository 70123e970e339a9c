//! What was worked out from the facts, kept while the tables it was read from say the same.
//!
//! One rule for all of it: whatever is worked out notes the tables it reads ([`crate::domain::reading`]), and is
//! forgotten with a change of one of them. Two things are kept over more than that: steps over ticks of other steps
//! (`steps::Derived` knows of which steps' progress it asked), and what failed over mendings, as it is worked out from
//! facts in which mendings are left out.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::record::{Shares, Spare};
use super::totes::whereabouts::Located;
use super::view::{Power, RecordBar, Seasons};
use crate::domain::{
    Condition, Phase, Piece, PieceId, ProductId, Read, RowChange, Rows, SeasonId, Stamp, Yard, reading,
    reading_apart,
};
use crate::steps::{Derived, Index, StepKey};

/// What steps are derived for: a season, a phase and the day of a night.
type Of = (SeasonId, Phase, chrono::NaiveDate);

/// The local day, and how many seasons have been lit by now: until one of them changes the record says the same.
pub(crate) type RecordDay = (chrono::NaiveDate, usize);

/// Answers by what was asked, each with the tables it was read from.
pub(crate) struct Memo<K, V>(RefCell<BTreeMap<K, (Read, V)>>);

impl<K: Ord, V: Clone> Memo<K, V> {
    /// The answer, worked out unless it is known.
    pub(crate) fn get(&self, of: K, make: impl FnOnce() -> V) -> V {
        let made = self.get_or_try(of, || Ok::<V, std::convert::Infallible>(make()), |read| read);
        made.unwrap_or_else(|never| match never {})
    }

    /// The same where there may be none; `account` says which of the tables that were read count.
    pub(crate) fn get_or_try<E>(
        &self,
        of: K,
        make: impl FnOnce() -> Result<V, E>,
        account: impl FnOnce(Read) -> Read,
    ) -> Result<V, E> {
        if let Some((read, known)) = self.0.borrow().get(&of) {
            read.note();
            return Ok(known.clone());
        }
        let (made, read) = reading(make);
        let made = made?;
        self.0.borrow_mut().insert(of, (account(read), made.clone()));
        Ok(made)
    }

    /// How many answers are known.
    #[cfg(test)]
    pub(crate) fn known(&self) -> usize {
        self.0.borrow().len()
    }

    fn keep(&mut self, now: &BTreeSet<Stamp>) {
        self.0.get_mut().retain(|_, (read, _)| read.holds(now));
    }
}

impl<K, V> Default for Memo<K, V> {
    fn default() -> Self {
        Self(RefCell::default())
    }
}

/// What was worked out from one yard's facts.
#[derive(Default)]
pub struct Remembered {
    pub(crate) index: Arc<Index>,
    /// With the recipes' own times, as what was done is measured against.
    pub(crate) derived: Memo<Of, Arc<Derived>>,
    /// With the times that plans take.
    pub(crate) steps: Memo<(Of, bool), Arc<Derived>>,
    /// What to carry by a day, at the usual service level.
    pub(crate) spares: Memo<RecordDay, Vec<Spare>>,
    /// What the record says on a day.
    pub(crate) seasons: Memo<RecordDay, Seasons>,
    /// By a day, as sentences and bars.
    pub(crate) failures_told: Memo<RecordDay, (Vec<String>, Vec<RecordBar>)>,
    /// Of a season, its open numbers proposed in a way: loads, voltages and what is wrong with its wiring.
    pub(crate) power: Memo<(SeasonId, Option<&'static str>), Arc<Power>>,
    /// Where every piece is, by the shows that hang.
    pub(crate) whereabouts: Memo<BTreeMap<SeasonId, i64>, Arc<BTreeMap<PieceId, Located>>>,
    /// How a product has done by a day, in a line; nothing where it has no record.
    pub(crate) by_product: Memo<(RecordDay, ProductId), Option<String>>,
    /// Of each product by a day; nothing where no unit-season is over.
    pub(crate) shares: Memo<RecordDay, Option<Arc<Shares>>>,
    pub(crate) failed: RefCell<Option<Box<Failed>>>,
}

impl Remembered {
    /// What of it holds for `now`, the facts after a change that ticked the steps `ticked`; nothing for them where the
    /// change is not known row by row.
    #[must_use]
    pub fn after(mut self, ticked: Option<BTreeSet<StepKey>>, now: &Yard) -> Self {
        let stamps = now.stamps();
        self.steps.keep(&stamps);
        self.derived.keep(&stamps);
        let mut derived = self.derived.0.into_inner();
        if ticked.as_ref().is_none_or(|t| !t.is_empty()) {
            // Held by nobody else, the progress is changed where it is instead of copied whole.
            self.steps.0.get_mut().clear();
            derived
                .values_mut()
                .filter_map(|(_, d)| Arc::get_mut(d))
                .for_each(|d| d.progress = Arc::default());
        }
        self.index = self.index.after(now, ticked.as_ref());
        match ticked {
            None => derived.clear(),
            Some(ticked) if !ticked.is_empty() => {
                let progress = crate::steps::Facts::with(now, Arc::clone(&self.index)).progress();
                derived = derived
                    .into_iter()
                    .filter_map(|(of, (read, d))| Some((of, (read, d.after(&ticked, &progress)?))))
                    .collect();
            }
            Some(_) => {}
        }
        self.derived = Memo(RefCell::new(derived));
        self.spares.keep(&stamps);
        self.seasons.keep(&stamps);
        self.failures_told.keep(&stamps);
        self.power.keep(&stamps);
        self.whereabouts.keep(&stamps);
        self.by_product.keep(&stamps);
        self.shares.keep(&stamps);
        self
    }
}

/// The steps that the ticks among `rows` belong to in `yard`.
pub fn ticked(yard: &Yard, rows: &[RowChange]) -> BTreeSet<StepKey> {
    let ids: BTreeSet<_> = rows.iter().filter(|r| r.table == "tick").map(|r| r.id).collect();
    if ids.is_empty() {
        return BTreeSet::new();
    }
    yard.ticks.iter().filter(|t| ids.contains(&t.id.0)).map(|t| StepKey::shared(&t.step_key)).collect()
}

/// The facts that say what failed: without ticks, without what repairs did but for their causes, without how a piece
/// is now. An evening of ticks and mendings leaves them as they are.
pub(crate) struct Failed {
    of: BTreeSet<Stamp>,
    pub(crate) yard: Yard,
    pub(crate) remembered: Remembered,
}

impl Failed {
    /// Asks of what failed; what is read of it counts as read of the facts that it was made from.
    pub(crate) fn ask<T>(&self, yard: &Yard, ask: impl FnOnce(&Self) -> T) -> T {
        let (out, read) = reading_apart(|| ask(self));
        let own = read.except(self.yard.ticks.stamp()).except(self.yard.time_corrections.stamp());
        own.made_from(self.yard.pieces.stamp(), yard.pieces.stamp())
            .made_from(self.yard.repair_entries.stamp(), yard.repair_entries.stamp())
            .note();
        out
    }

    /// Brings `slot` up to `yard`; ticks leave it as it is.
    pub(crate) fn of<'s>(slot: &'s mut Option<Box<Self>>, yard: &Yard) -> &'s Self {
        let mut of = yard.stamps();
        of.remove(&yard.ticks.stamp());
        of.remove(&yard.time_corrections.stamp());
        let made = match slot.take() {
            Some(known) if known.of == of => known,
            Some(known) => {
                let masked = without_mending(yard).keeping(&known.yard);
                let remembered = known.remembered.after(Some(BTreeSet::new()), &masked);
                Box::new(Self { of, yard: masked, remembered })
            }
            None => Box::new(Self { of, yard: without_mending(yard), remembered: Remembered::default() }),
        };
        slot.insert(made)
    }
}

fn without_mending(yard: &Yard) -> Yard {
    let as_bought = |p: &Piece| Piece { condition: Condition::Good, looked_over_on: None, ..p.clone() };
    Yard {
        ticks: Rows::default(),
        time_corrections: Rows::default(),
        repair_entries: yard.repair_entries.iter().filter(|e| e.cause.is_some()).cloned().collect(),
        pieces: yard.pieces.iter().map(as_bought).collect(),
        ..yard.clone()
    }
}
