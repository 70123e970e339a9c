//! Where rows of a yard's tables stand, kept over changes of others.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

use super::key::StepKey;
use super::progress::{Progress, progress_of};
use crate::domain::{
    FaultId, MethodId, PieceId, PlaceId, PlacementId, ProductId, RepairDeed, RowChange, SeasonId, Yard,
};

/// Positions in a table of the yard, by the id of what they belong to.
type Rows<K> = Once<BTreeMap<K, Vec<usize>>>;
type Row<K> = Once<BTreeMap<K, usize>>;

/// Worked out at its first use; copies share what was.
pub(super) struct Once<T>(OnceLock<Arc<T>>);

impl<T> Once<T> {
    pub(super) fn get_or_init(&self, make: impl FnOnce() -> T) -> &T {
        self.0.get_or_init(|| Arc::new(make()))
    }

    pub(super) fn shared(&self, make: impl FnOnce() -> T) -> Arc<T> {
        Arc::clone(self.0.get_or_init(|| Arc::new(make())))
    }
}

impl<T> Clone for Once<T> {
    fn clone(&self) -> Self {
        Self(self.0.clone())
    }
}

impl<T> Default for Once<T> {
    fn default() -> Self {
        Self(OnceLock::new())
    }
}

/// Where rows of a [`Yard`] stand, each kind looked up at its first use, so that asking for little costs little.
///
/// Kept over a change, it must be brought [`after`](Index::after) it.
#[derive(Clone, Default)]
pub struct Index {
    pub(super) places: Row<PlaceId>,
    pub(super) products: Row<ProductId>,
    pub(super) pieces: Row<PieceId>,
    pub(super) methods: Row<MethodId>,
    pub(super) recipes: Rows<MethodId>,
    pub(super) placements: Row<PlacementId>,
    pub(super) pieces_of: Once<BTreeMap<PlacementId, Vec<PieceId>>>,
    pub(super) put_out_by: Row<(SeasonId, PieceId)>,
    pub(super) placements_of: Rows<PieceId>,
    pub(super) repairs: Rows<FaultId>,
    pub(super) stands: Once<BTreeMap<FaultId, RepairDeed>>,
    pub(super) faults_of_piece: Rows<PieceId>,
    pub(super) open_of_piece: Rows<PieceId>,
    /// Of faults that name no piece.
    pub(super) faults_of_placement: Rows<PlacementId>,
    pub(super) mending_s: Once<BTreeMap<String, i64>>,
    pub(super) progress: Once<BTreeMap<StepKey, Progress>>,
}

impl Index {
    /// What it looks things up in, besides ticks and repairs.
    const TABLES: [&'static str; 8] =
        ["place", "product", "piece", "method", "recipe_step", "placement", "placement_piece", "fault"];

    /// The index of `yard` as it is after a change of `rows`, whose ticks are of the steps `ticked`: an evening's ticks
    /// do not ask for all of it again.
    #[must_use]
    pub fn after(self: Arc<Self>, yard: &Yard, rows: &[RowChange], ticked: &BTreeSet<StepKey>) -> Arc<Self> {
        let mut index = Arc::unwrap_or_clone(self);
        for row in rows {
            index.forget(row.table);
        }
        if let Some(known) = index.progress.0.get_mut() {
            let known = Arc::make_mut(known);
            for key in ticked {
                known.remove(key);
            }
            known.extend(progress_of(&yard.ticks, ticked));
        }
        Arc::new(index)
    }

    /// Where rows stand, without what the ticks say.
    #[must_use]
    pub fn without_progress(&self) -> Self {
        Self { progress: Once::default(), ..self.clone() }
    }

    /// Forgets what it looked up in a table.
    fn forget(&mut self, table: &str) {
        match table {
            // A repair is ticked like any step, evening after evening.
            "repair_entry" => {
                self.repairs = Once::default();
                self.stands = Once::default();
                self.open_of_piece = Once::default();
                self.mending_s = Once::default();
            }
            _ if Self::TABLES.contains(&table) => {
                let progress = std::mem::take(&mut self.progress);
                *self = Self { progress, ..Self::default() };
            }
            _ => {}
        }
    }
}
