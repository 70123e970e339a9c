//! The yard's facts looked up by id, and what follows from them in one step.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::index::Index;
use super::key::StepKey;
use super::mend::recorded_seconds;
use super::mounts::slug;
use super::progress::Progress;
use crate::domain::{
    Access, Fault, FaultId, Link, LinkKind, Method, MethodId, Piece, PieceId, Place, PlaceId, Placement,
    PlacementId, Product, ProductId, RecipeRun, RecipeStep, RecipeStepId, RepairDeed, RepairEntry, Season,
    SeasonId, Yard,
};

/// The facts of a yard, with their [`Index`].
pub struct Facts<'a> {
    pub yard: &'a Yard,
    pub(super) index: Arc<Index>,
}

/// Groups the rows of a table by a key, in the order of the table.
fn grouped<K: Ord, T>(rows: &[T], key: impl Fn(&T) -> Option<K>) -> BTreeMap<K, Vec<usize>> {
    let mut by: BTreeMap<K, Vec<usize>> = BTreeMap::new();
    for (i, row) in rows.iter().enumerate() {
        if let Some(key) = key(row) {
            by.entry(key).or_default().push(i);
        }
    }
    by
}

/// The rows of some positions.
fn rows_at<'a, T>(rows: &'a [T], at: Option<&Vec<usize>>) -> Vec<&'a T> {
    at.into_iter().flatten().filter_map(|i| rows.get(*i)).collect()
}

impl<'a> Facts<'a> {
    pub fn new(yard: &'a Yard) -> Self {
        Self::with(yard, Arc::default())
    }

    /// Facts whose index is kept by the caller, who drops it with every change of its tables.
    pub const fn with(yard: &'a Yard, index: Arc<Index>) -> Self {
        Self { yard, index }
    }

    fn all_pieces_of(&self) -> &BTreeMap<PlacementId, Vec<PieceId>> {
        self.index.pieces_of.get_or_init(|| {
            let mut pieces_of: BTreeMap<PlacementId, Vec<PieceId>> = BTreeMap::new();
            for p in &self.yard.placements {
                if let Some(piece) = p.piece_id {
                    pieces_of.entry(p.id).or_default().push(piece);
                }
            }
            for pp in &self.yard.placement_pieces {
                let list = pieces_of.entry(pp.placement_id).or_default();
                if !list.contains(&pp.piece_id) {
                    list.push(pp.piece_id);
                }
            }
            pieces_of
        })
    }

    fn by_piece(&self) -> &BTreeMap<PieceId, Vec<usize>> {
        self.index.faults_of_piece.get_or_init(|| grouped(&self.yard.faults, |f| f.piece_id))
    }

    pub fn place(&self, id: PlaceId) -> Option<&'a Place> {
        let rows = &self.yard.places;
        let at = self.index.places.get_or_init(|| rows.iter().enumerate().map(|(i, x)| (x.id, i)).collect());
        rows.get(*at.get(&id)?)
    }

    pub fn product(&self, id: ProductId) -> Option<&'a Product> {
        let rows = &self.yard.products;
        let at =
            self.index.products.get_or_init(|| rows.iter().enumerate().map(|(i, x)| (x.id, i)).collect());
        rows.get(*at.get(&id)?)
    }

    pub fn piece(&self, id: PieceId) -> Option<&'a Piece> {
        let rows = &self.yard.pieces;
        let at = self.index.pieces.get_or_init(|| rows.iter().enumerate().map(|(i, x)| (x.id, i)).collect());
        rows.get(*at.get(&id)?)
    }

    pub fn method(&self, id: MethodId) -> Option<&'a Method> {
        let rows = &self.yard.methods;
        let at = self.index.methods.get_or_init(|| rows.iter().enumerate().map(|(i, x)| (x.id, i)).collect());
        rows.get(*at.get(&id)?)
    }

    pub fn placement(&self, id: PlacementId) -> Option<&'a Placement> {
        let rows = &self.yard.placements;
        let at =
            self.index.placements.get_or_init(|| rows.iter().enumerate().map(|(i, x)| (x.id, i)).collect());
        rows.get(*at.get(&id)?)
    }

    /// How many placements of its season have its name, place and method, no mount told, and a code before its own.
    pub(super) fn namesakes_before(&self, placement: &Placement) -> usize {
        let counted = self.index.namesakes.get_or_init(|| {
            let mut rows: Vec<&Placement> =
                self.yard.placements.iter().filter(|p| p.mount_id.is_none()).collect();
            rows.sort_by_key(|p| (&p.code, p.id));
            let mut seen: BTreeMap<_, usize> = BTreeMap::new();
            let mut before = BTreeMap::new();
            for p in rows {
                let n = seen.entry((p.season_id, p.place_id, p.method_id, slug(&p.name))).or_default();
                if *n > 0 {
                    before.insert(p.id, *n);
                }
                *n += 1;
            }
            before
        });
        counted.get(&placement.id).copied().unwrap_or_default()
    }

    /// The season of an id; seasons are few.
    pub fn season(&self, id: SeasonId) -> Option<&'a Season> {
        self.yard.seasons.iter().find(|s| s.id == id)
    }

    /// A recipe's steps in their order; none for a method without a recipe.
    pub fn recipe(&self, method: MethodId) -> Vec<&'a RecipeStep> {
        let rows = &self.yard.recipe_steps;
        let of = self.index.recipes.get_or_init(|| grouped(rows, |r| Some(r.method_id)));
        let mut steps = rows_at(rows, of.get(&method));
        steps.sort_by(|a, b| (a.position, &a.code).cmp(&(b.position, &b.code)));
        steps
    }

    /// How a recipe step runs by itself, where it does.
    pub fn run_of(&self, step: RecipeStepId) -> Option<&'a RecipeRun> {
        let rows = &self.yard.recipe_runs;
        let at = self
            .index
            .runs
            .get_or_init(|| rows.iter().enumerate().map(|(i, r)| (r.recipe_step_id, i)).collect());
        rows.get(*at.get(&step)?).filter(|r| r.runs_s.s() > 0)
    }

    /// The method of a placement; `set_out` where how it is mounted was not told.
    pub fn method_of(&self, placement: &Placement) -> Option<&'a Method> {
        match placement.method_id {
            Some(id) => self.method(id),
            None => self.yard.methods.iter().find(|m| m.code == "set_out"),
        }
    }

    /// The labelled pieces a placement puts out.
    pub fn pieces_of(&self, placement: PlacementId) -> &[PieceId] {
        self.all_pieces_of().get(&placement).map_or(&[], Vec::as_slice)
    }

    /// The labelled leads that are plugged into a placement in its season, or into a piece that it puts out.
    pub fn leads_of(&self, placement: PlacementId) -> &[PieceId] {
        let all = self.index.leads_of.get_or_init(|| {
            let mut by: BTreeMap<PlacementId, Vec<PieceId>> = BTreeMap::new();
            for season in &self.yard.seasons {
                for link in self.links_in(season.id) {
                    let Some(lead) = link.lead_id else { continue };
                    let piece = |id: Option<PieceId>| self.placement_of_piece(season.id, id?).map(|p| p.id);
                    let placed = [link.to_placement_id, link.from_placement_id];
                    let ends = placed.into_iter().chain([piece(link.to_piece_id), piece(link.from_piece_id)]);
                    let mine = |p: &PlacementId| self.placement(*p).is_some_and(|p| p.season_id == season.id);
                    for end in ends.flatten().filter(mine) {
                        let leads = by.entry(end).or_default();
                        if !leads.contains(&lead) {
                            leads.push(lead);
                        }
                    }
                }
            }
            by
        });
        all.get(&placement).map_or(&[], Vec::as_slice)
    }

    /// The product of a placement, told or by its piece; of several pieces where they are of one product.
    pub fn product_of(&self, placement: &Placement) -> Option<&'a Product> {
        let of_pieces = || {
            let mut all =
                self.pieces_of(placement.id).iter().filter_map(|p| self.piece(*p)).map(|p| p.product_id);
            let first = all.next()?;
            all.all(|other| other == first).then_some(first)
        };
        placement
            .product_id
            .or_else(|| placement.piece_id.and_then(|p| self.piece(p)).map(|p| p.product_id))
            .or_else(of_pieces)
            .and_then(|id| self.product(id))
    }

    /// How a place is reached: told, or as the place it belongs to; ground where nothing is told.
    pub fn access(&self, place: Option<PlaceId>) -> Access {
        place.and_then(|id| self.access_told(self.place(id)?)).unwrap_or(Access::Ground)
    }

    /// How a place is reached, told of it or of what it is part of.
    pub fn access_told(&self, place: &'a Place) -> Option<Access> {
        let part_of = |p: &&'a Place| p.parent_id.and_then(|id| self.place(id));
        std::iter::successors(Some(place), part_of).take(16).find_map(|p| p.access)
    }

    /// Whether a place is under a roof.
    pub fn indoors(&self, place: Option<PlaceId>) -> bool {
        place.and_then(|id| self.place(id)).is_some_and(|p| p.indoors)
    }

    /// Placements of a season that are to be put up, in the order of their codes.
    pub fn placements_in(&self, season: SeasonId) -> Vec<&'a Placement> {
        self.yard.placements.iter().filter(|p| p.season_id == season && !p.wished).collect()
    }

    /// The leads in use in a season: its own, and those told for every season that it does not replace by one of the
    /// same code.
    pub fn links_in(&self, season: SeasonId) -> Vec<&'a Link> {
        let own: BTreeSet<&str> =
            self.yard.links.iter().filter(|l| l.season_id == Some(season)).map(|l| l.code.as_str()).collect();
        self.yard
            .links
            .iter()
            .filter(|l| match l.season_id {
                Some(s) => s == season,
                None => !own.contains(l.code.as_str()),
            })
            .collect()
    }

    /// The box (or controller) that feeds each placement of a season, by its dc or data lead, through other props
    /// where leads run from prop to prop.
    pub fn fed_by(&self, season: SeasonId) -> BTreeMap<PlacementId, PieceId> {
        let mut direct: BTreeMap<PlacementId, PieceId> = BTreeMap::new();
        let mut through: BTreeMap<PlacementId, PlacementId> = BTreeMap::new();
        for link in self.links_in(season) {
            if !matches!(link.kind, LinkKind::Dc | LinkKind::Data) {
                continue;
            }
            let Some(to) = link.to_placement_id else { continue };
            let box_of = || self.box_of(link.from_placement_id?);
            if let Some(piece) = link.from_piece_id.or_else(box_of) {
                // Data decides which box a prop belongs to; a dc feed from elsewhere is an injection.
                if link.kind == LinkKind::Data || !direct.contains_key(&to) {
                    direct.insert(to, piece);
                }
            } else if let Some(from) = link.from_placement_id {
                through.entry(to).or_insert(from);
            }
        }
        let mut fed = direct.clone();
        for start in through.keys() {
            let mut seen = BTreeSet::from([*start]);
            let mut at = *start;
            while !fed.contains_key(start) {
                let Some(next) = through.get(&at) else { break };
                if !seen.insert(*next) {
                    break;
                }
                if let Some(piece) = direct.get(next) {
                    fed.insert(*start, *piece);
                }
                at = *next;
            }
        }
        fed.retain(|p, _| self.placement(*p).is_some_and(|p| p.season_id == season));
        fed
    }

    /// The placement that puts a box out this season.
    pub fn placement_of_piece(&self, season: SeasonId, piece: PieceId) -> Option<&'a Placement> {
        let rows = &self.yard.placements;
        let by = self.index.put_out_by.get_or_init(|| {
            let mut by = BTreeMap::new();
            for (i, p) in rows.iter().enumerate().filter(|(_, p)| !p.wished) {
                for piece in self.pieces_of(p.id) {
                    by.entry((p.season_id, *piece)).or_insert(i);
                }
            }
            by
        });
        rows.get(*by.get(&(season, piece))?)
    }

    /// What was done about a fault, in order.
    pub fn repairs(&self, fault: FaultId) -> Vec<&'a RepairEntry> {
        rows_at(&self.yard.repair_entries, self.repairs_by().get(&fault))
    }

    fn repairs_by(&self) -> &BTreeMap<FaultId, Vec<usize>> {
        self.index.repairs.get_or_init(|| {
            let rows = &self.yard.repair_entries;
            let mut by = grouped(rows, |e| Some(e.fault_id));
            for list in by.values_mut() {
                list.sort_by_key(|i| rows.get(*i).map(|e| (e.at_ms, e.id)));
            }
            by
        })
    }

    /// The last deed that changed how a fault stands: looking at it does not.
    pub fn fault_stands(&self, fault: FaultId) -> Option<RepairDeed> {
        let stands = self.index.stands.get_or_init(|| {
            let rows = &self.yard.repair_entries;
            let last = |of: &[usize]| {
                let last_first = of.iter().rev().filter_map(|i| rows.get(*i));
                last_first.map(|e| e.deed).find(|d| *d != RepairDeed::Looked)
            };
            self.repairs_by().iter().filter_map(|(fault, of)| Some((*fault, last(of)?))).collect()
        });
        stands.get(&fault).copied()
    }

    /// The middle of what mending by a cause took so far, seconds.
    pub(super) fn mending_s(&self, cause: &str) -> Option<i64> {
        self.index.mending_s.get_or_init(|| recorded_seconds(&self.yard.repair_entries)).get(cause).copied()
    }

    /// Whether a fault is over: mended and tested, or the piece scrapped.
    pub fn fault_over(&self, fault: &Fault) -> bool {
        matches!(self.fault_stands(fault.id), Some(RepairDeed::Tested | RepairDeed::Scrapped))
    }

    /// Every placement that puts a piece out, of all seasons.
    pub fn placements_of(&self, piece: PieceId) -> Vec<&'a Placement> {
        let rows = &self.yard.placements;
        let of = self.index.placements_of.get_or_init(|| {
            let mut of: BTreeMap<PieceId, Vec<usize>> = BTreeMap::new();
            for (i, p) in rows.iter().enumerate() {
                for piece in self.pieces_of(p.id) {
                    of.entry(*piece).or_default().push(i);
                }
            }
            of
        });
        rows_at(rows, of.get(&piece))
    }

    /// Every fault of a piece, over and open.
    pub fn faults_of_piece(&self, piece: PieceId) -> Vec<&'a Fault> {
        rows_at(&self.yard.faults, self.by_piece().get(&piece))
    }

    /// Open faults of a piece.
    pub fn open_faults(&self, piece: PieceId) -> Vec<&'a Fault> {
        let rows = &self.yard.faults;
        let open = |f: &Fault| f.piece_id.filter(|_| !self.fault_over(f));
        rows_at(rows, self.index.open_of_piece.get_or_init(|| grouped(rows, open)).get(&piece))
    }

    /// What is of a placement is of the same prop in every later season, too.
    fn followed(&self, mut of: BTreeMap<PlacementId, Vec<usize>>) -> BTreeMap<PlacementId, Vec<usize>> {
        if of.is_empty() {
            return of;
        }
        let mut props: BTreeMap<_, Vec<&Placement>> = BTreeMap::new();
        for p in &self.yard.placements {
            props.entry(p.prop()).or_default().push(p);
        }
        // One whose day is not told is still to come.
        let lit = |p: &Placement| {
            let on = self.season(p.season_id).and_then(|s| s.lights_on);
            (on.is_none(), on)
        };
        let mut more: Vec<(PlacementId, Vec<usize>)> = Vec::new();
        for (id, faults) in &of {
            let Some(p) = self.placement(*id) else { continue };
            let later = props.get(&p.prop()).into_iter().flatten().filter(|x| lit(x) > lit(p));
            more.extend(later.map(|x| (x.id, faults.clone())));
        }
        for (id, faults) in more {
            let all = of.entry(id).or_default();
            all.extend(faults);
            all.sort_unstable();
        }
        of
    }

    /// What has been done of every step ever ticked.
    pub fn progress(&self) -> Arc<BTreeMap<StepKey, Progress>> {
        self.index.progress(&self.yard.ticks)
    }

    /// All faults of a placement's pieces, and those of the placement itself that name no piece; of the same prop in
    /// the seasons before, too.
    pub fn faults_of(&self, placement: PlacementId) -> impl Iterator<Item = &'a Fault> + '_ {
        let rows = &self.yard.faults;
        let own = self.index.faults_of_placement.get_or_init(|| {
            self.followed(grouped(rows, |f| f.placement_id.filter(|_| f.piece_id.is_none())))
        });
        let of_pieces = self.pieces_of(placement).iter().filter_map(|p| self.by_piece().get(p)).flatten();
        of_pieces.chain(own.get(&placement).into_iter().flatten()).filter_map(|i| rows.get(*i))
    }
}
