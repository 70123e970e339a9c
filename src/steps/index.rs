//! Where rows of a yard's tables stand, kept over changes of others.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

use super::facts::Facts;
use super::key::StepKey;
use super::progress::{Progress, State, progress, progress_of};
use crate::domain::{
    FaultId, MethodId, PieceId, PlaceId, PlacementId, ProductId, Read, RecipeStepId, RepairDeed, SeasonId,
    Stamp, Tick, Yard, reading,
};

/// Positions in a table of the yard, by the id of what they belong to.
type Rows<K> = Once<BTreeMap<K, Vec<usize>>>;
type Row<K> = Once<BTreeMap<K, usize>>;

/// Worked out at its first use, with the tables that were read for it; copies share it.
pub(super) struct Once<T>(OnceLock<Arc<(T, Read)>>);

impl<T> Once<T> {
    pub(super) fn get_or_init(&self, make: impl FnOnce() -> T) -> &T {
        let (value, read) = &**self.0.get_or_init(|| Arc::new(reading(make)));
        read.note();
        value
    }

    /// Forgets what would come out otherwise now.
    fn keep(&mut self, now: &BTreeSet<Stamp>) {
        if self.0.get().is_some_and(|known| !known.1.holds(now)) {
            *self = Self::default();
        }
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
    pub(super) runs: Row<RecipeStepId>,
    pub(super) placements: Row<PlacementId>,
    /// How many of a season come before one by code that are called the same at the same place.
    pub(super) namesakes: Once<BTreeMap<PlacementId, usize>>,
    pub(super) pieces_of: Once<BTreeMap<PlacementId, Vec<PieceId>>>,
    pub(super) put_out_by: Row<(SeasonId, PieceId)>,
    pub(super) placements_of: Rows<PieceId>,
    /// Labelled leads that are plugged into a placement, or into a piece that it puts out.
    pub(super) leads_of: Once<BTreeMap<PlacementId, Vec<PieceId>>>,
    pub(super) repairs: Rows<FaultId>,
    pub(super) stands: Once<BTreeMap<FaultId, RepairDeed>>,
    pub(super) faults_of_piece: Rows<PieceId>,
    pub(super) open_of_piece: Rows<PieceId>,
    /// Of faults that name no piece.
    pub(super) faults_of_placement: Rows<PlacementId>,
    pub(super) mending_s: Once<BTreeMap<String, i64>>,
    progress: OnceLock<Arc<BTreeMap<StepKey, Progress>>>,
    /// Whether a step is begun and not over.
    running: OnceLock<bool>,
}

impl Index {
    /// What the ticks say of each step; whoever asks keeps account of the steps he asked about.
    pub(super) fn progress(&self, ticks: &[Tick]) -> Arc<BTreeMap<StepKey, Progress>> {
        Arc::clone(self.progress.get_or_init(|| Arc::new(progress(ticks))))
    }

    /// The index of `yard` as it is after a change that ticked the steps `ticked`: an evening's ticks do not ask for
    /// all of it again. Nothing for `ticked` where the steps are not known.
    #[must_use]
    pub fn after(self: Arc<Self>, yard: &Yard, ticked: Option<&BTreeSet<StepKey>>) -> Arc<Self> {
        let mut index = Arc::unwrap_or_clone(self);
        let now = yard.stamps();
        index.places.keep(&now);
        index.products.keep(&now);
        index.pieces.keep(&now);
        index.methods.keep(&now);
        index.recipes.keep(&now);
        index.runs.keep(&now);
        index.placements.keep(&now);
        index.pieces_of.keep(&now);
        index.namesakes.keep(&now);
        index.put_out_by.keep(&now);
        index.placements_of.keep(&now);
        index.leads_of.keep(&now);
        index.repairs.keep(&now);
        index.stands.keep(&now);
        index.faults_of_piece.keep(&now);
        index.open_of_piece.keep(&now);
        index.faults_of_placement.keep(&now);
        index.mending_s.keep(&now);
        if ticked.is_none_or(|t| !t.is_empty()) {
            index.running = OnceLock::new();
        }
        match ticked {
            None => index.progress = OnceLock::new(),
            Some(ticked) if !ticked.is_empty() => {
                if let Some(known) = index.progress.get_mut().map(Arc::make_mut) {
                    // A test and its start are ticked by each other.
                    let of_test = ticked.iter().filter_map(|k| k.start().or_else(|| k.started()));
                    let ticked: BTreeSet<StepKey> = ticked.iter().cloned().chain(of_test).collect();
                    for key in &ticked {
                        known.remove(key);
                    }
                    known.extend(progress_of(&yard.ticks, &ticked));
                }
            }
            Some(_) => {}
        }
        Arc::new(index)
    }

    /// Where rows stand, without what the ticks say.
    #[must_use]
    pub fn without_progress(&self) -> Self {
        Self { progress: OnceLock::new(), running: OnceLock::new(), ..self.clone() }
    }
}

impl Facts<'_> {
    /// Whether a step is begun and not over.
    pub fn anything_runs(&self) -> bool {
        let runs = |p: &Progress| p.state == State::Doing;
        *self.index.running.get_or_init(|| self.progress().values().any(runs))
    }
}
