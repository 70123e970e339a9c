//! The yard's facts looked up by id, and what follows from them in one step.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use super::mend::recorded_seconds;
use crate::domain::{
    Access, Fault, FaultId, Link, LinkKind, Method, MethodId, Piece, PieceId, Place, PlaceId, Placement,
    PlacementId, Product, ProductId, RecipeStep, RepairDeed, RepairEntry, Season, SeasonId, Yard,
};

/// Lookups over a [`Yard`]; built once, used by every rule.
pub struct Facts<'a> {
    pub yard: &'a Yard,
    places: BTreeMap<PlaceId, &'a Place>,
    products: BTreeMap<ProductId, &'a Product>,
    pieces: BTreeMap<PieceId, &'a Piece>,
    methods: BTreeMap<MethodId, &'a Method>,
    recipes: BTreeMap<MethodId, Vec<&'a RecipeStep>>,
    placements: BTreeMap<PlacementId, &'a Placement>,
    pieces_of: BTreeMap<PlacementId, Vec<PieceId>>,
    repairs: BTreeMap<FaultId, Vec<&'a RepairEntry>>,
    faults_of_piece: BTreeMap<PieceId, Vec<&'a Fault>>,
    /// Of faults that name no piece.
    faults_of_placement: BTreeMap<PlacementId, Vec<&'a Fault>>,
    put_out_by: BTreeMap<(SeasonId, PieceId), &'a Placement>,
    placements_of: BTreeMap<PieceId, Vec<&'a Placement>>,
    mending_s: OnceLock<BTreeMap<String, i64>>,
}

impl<'a> Facts<'a> {
    pub fn new(yard: &'a Yard) -> Self {
        let mut recipes: BTreeMap<MethodId, Vec<&RecipeStep>> = BTreeMap::new();
        for step in &yard.recipe_steps {
            recipes.entry(step.method_id).or_default().push(step);
        }
        for steps in recipes.values_mut() {
            steps.sort_by(|a, b| (a.position, &a.code).cmp(&(b.position, &b.code)));
        }
        let mut pieces_of: BTreeMap<PlacementId, Vec<PieceId>> = BTreeMap::new();
        for p in &yard.placements {
            if let Some(piece) = p.piece_id {
                pieces_of.entry(p.id).or_default().push(piece);
            }
        }
        for pp in &yard.placement_pieces {
            let list = pieces_of.entry(pp.placement_id).or_default();
            if !list.contains(&pp.piece_id) {
                list.push(pp.piece_id);
            }
        }
        let mut repairs: BTreeMap<FaultId, Vec<&RepairEntry>> = BTreeMap::new();
        for entry in &yard.repair_entries {
            repairs.entry(entry.fault_id).or_default().push(entry);
        }
        for list in repairs.values_mut() {
            list.sort_by_key(|e| (e.at_ms, e.id));
        }
        let mut put_out_by: BTreeMap<(SeasonId, PieceId), &Placement> = BTreeMap::new();
        let mut placements_of: BTreeMap<PieceId, Vec<&Placement>> = BTreeMap::new();
        for p in &yard.placements {
            for piece in pieces_of.get(&p.id).into_iter().flatten() {
                placements_of.entry(*piece).or_default().push(p);
                if !p.wished {
                    put_out_by.entry((p.season_id, *piece)).or_insert(p);
                }
            }
        }
        let mut faults_of_piece: BTreeMap<PieceId, Vec<&Fault>> = BTreeMap::new();
        let mut faults_of_placement: BTreeMap<PlacementId, Vec<&Fault>> = BTreeMap::new();
        for fault in &yard.faults {
            match (fault.piece_id, fault.placement_id) {
                (Some(piece), _) => faults_of_piece.entry(piece).or_default().push(fault),
                (None, Some(placement)) => faults_of_placement.entry(placement).or_default().push(fault),
                (None, None) => {}
            }
        }
        Self {
            yard,
            places: yard.places.iter().map(|p| (p.id, p)).collect(),
            products: yard.products.iter().map(|p| (p.id, p)).collect(),
            pieces: yard.pieces.iter().map(|p| (p.id, p)).collect(),
            methods: yard.methods.iter().map(|m| (m.id, m)).collect(),
            recipes,
            placements: yard.placements.iter().map(|p| (p.id, p)).collect(),
            pieces_of,
            repairs,
            faults_of_piece,
            faults_of_placement,
            put_out_by,
            placements_of,
            mending_s: OnceLock::new(),
        }
    }

    pub fn place(&self, id: PlaceId) -> Option<&'a Place> {
        self.places.get(&id).copied()
    }

    pub fn product(&self, id: ProductId) -> Option<&'a Product> {
        self.products.get(&id).copied()
    }

    pub fn piece(&self, id: PieceId) -> Option<&'a Piece> {
        self.pieces.get(&id).copied()
    }

    pub fn method(&self, id: MethodId) -> Option<&'a Method> {
        self.methods.get(&id).copied()
    }

    pub fn placement(&self, id: PlacementId) -> Option<&'a Placement> {
        self.placements.get(&id).copied()
    }

    /// The season of an id; seasons are few.
    pub fn season(&self, id: SeasonId) -> Option<&'a Season> {
        self.yard.seasons.iter().find(|s| s.id == id)
    }

    /// A recipe's steps in their order; none for a method without a recipe.
    pub fn recipe(&self, method: MethodId) -> &[&'a RecipeStep] {
        self.recipes.get(&method).map_or(&[], Vec::as_slice)
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
        self.pieces_of.get(&placement).map_or(&[], Vec::as_slice)
    }

    /// The product of a placement, told or by its piece.
    pub fn product_of(&self, placement: &Placement) -> Option<&'a Product> {
        placement
            .product_id
            .or_else(|| placement.piece_id.and_then(|p| self.piece(p)).map(|p| p.product_id))
            .and_then(|id| self.product(id))
    }

    /// How a place is reached: told, or as the place it belongs to; ground where nothing is told.
    pub fn access(&self, place: Option<PlaceId>) -> Access {
        let mut at = place;
        for _ in 0..16 {
            let Some(p) = at.and_then(|id| self.place(id)) else { break };
            if let Some(access) = p.access {
                return access;
            }
            at = p.parent_id;
        }
        Access::Ground
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
            if let Some(piece) = link.from_piece_id {
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
        self.put_out_by.get(&(season, piece)).copied()
    }

    /// What was done about a fault, in order.
    pub fn repairs(&self, fault: FaultId) -> &[&'a RepairEntry] {
        self.repairs.get(&fault).map_or(&[], Vec::as_slice)
    }

    /// The last deed that changed how a fault stands: looking at it does not.
    pub fn fault_stands(&self, fault: FaultId) -> Option<RepairDeed> {
        self.repairs(fault).iter().rev().map(|e| e.deed).find(|d| *d != RepairDeed::Looked)
    }

    /// The middle of what mending by a cause took so far, seconds.
    pub(super) fn mending_s(&self, cause: &str) -> Option<i64> {
        self.mending_s.get_or_init(|| recorded_seconds(&self.yard.repair_entries)).get(cause).copied()
    }

    /// Whether a fault is over: mended and tested, or the piece scrapped.
    pub fn fault_over(&self, fault: &Fault) -> bool {
        matches!(self.fault_stands(fault.id), Some(RepairDeed::Tested | RepairDeed::Scrapped))
    }

    /// Every placement that puts a piece out, of all seasons.
    pub fn placements_of(&self, piece: PieceId) -> &[&'a Placement] {
        self.placements_of.get(&piece).map_or(&[], Vec::as_slice)
    }

    /// Every fault of a piece, over and open.
    pub fn faults_of_piece(&self, piece: PieceId) -> &[&'a Fault] {
        self.faults_of_piece.get(&piece).map_or(&[], Vec::as_slice)
    }

    /// Open faults of a piece.
    pub fn open_faults(&self, piece: PieceId) -> Vec<&'a Fault> {
        let all = self.faults_of_piece.get(&piece).into_iter().flatten();
        all.copied().filter(|f| !self.fault_over(f)).collect()
    }

    /// All faults of a placement's pieces, and those of the placement itself that name no piece.
    pub fn faults_of(&self, placement: PlacementId) -> impl Iterator<Item = &'a Fault> + '_ {
        let of_pieces =
            self.pieces_of(placement).iter().filter_map(|p| self.faults_of_piece.get(p)).flatten();
        of_pieces.chain(self.faults_of_placement.get(&placement).into_iter().flatten()).copied()
    }
}
