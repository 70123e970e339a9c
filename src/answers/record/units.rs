//! Unit-seasons: one thing put out for one season, with the faults that were its own.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDateTime;

use crate::answers::symptoms::symptom;
use crate::domain::{
    Fault, FaultId, Piece, PieceId, Placement, PlacementId, Product, Role, Season, SeasonId,
};
use crate::steps::Facts;

/// One thing in one season.
#[derive(Debug, Clone)]
pub(crate) struct UnitSeason<'a> {
    /// Nothing for a counted thing without a label.
    pub piece: Option<&'a Piece>,
    pub product: &'a Product,
    pub placement: &'a Placement,
    pub season: &'a Season,
    /// Faults of the thing itself.
    pub faults: u64,
    /// Pixels × hours lit; nothing where pixels or nightly hours are not told.
    pub pixel_hours: Option<f64>,
}

impl UnitSeason<'_> {
    pub(crate) fn is_prop(&self) -> bool {
        self.product.role == Role::Prop
    }
}

/// What can wear out; ladders, mounts and the like have no rate.
const ROLES: [Role; 7] =
    [Role::Prop, Role::Supply, Role::Controller, Role::Box, Role::Sound, Role::Player, Role::Network];

/// Seen at a thing that is not its failure: where it hangs, what feeds it, how it is set.
const NOT_ITS_OWN: [&str; 7] =
    ["outlet_trips", "mount_loose", "guy_slack", "missing", "other_picture", "mirrored", "no_network"];
/// Causes that lie outside the thing.
const CAUSES_OUTSIDE: [&str; 5] =
    ["wrong_setting", "wrong_port", "reversed_end", "theft", "missing_common_minus"];

/// Whether a fault is a failure of the thing it was logged on.
pub(crate) fn own_failure(facts: &Facts, fault: &Fault) -> bool {
    let code = symptom(&fault.symptom).map_or(fault.symptom.as_str(), |s| s.code);
    let cause = facts.repairs(fault.id).iter().rev().find_map(|e| e.cause.as_deref());
    let outside = cause.is_some_and(|c| CAUSES_OUTSIDE.contains(&c.replace([' ', '-'], "_").as_str()));
    // A lead that broke is not the prop, unless the lead itself was named.
    let lead = code == "broken_lead" && fault.piece_id.is_none();
    !outside && !lead && !NOT_ITS_OWN.contains(&code)
}

/// The season a fault belongs to: told, or by its placement.
pub(crate) fn season_of(facts: &Facts, fault: &Fault) -> Option<SeasonId> {
    fault.season_id.or_else(|| fault.placement_id.and_then(|p| facts.placement(p)).map(|p| p.season_id))
}

/// All unit-seasons of the shows that were lit before `now`, in the order of seasons and placements.
pub(crate) fn unit_seasons<'a>(facts: &Facts<'a>, now: NaiveDateTime) -> Vec<UnitSeason<'a>> {
    let mut seasons: Vec<&Season> =
        facts.yard.seasons.iter().filter(|s| s.lights_on.is_some_and(|t| t <= now)).collect();
    seasons.sort_by_key(|s| (s.lights_on, s.code.as_str()));
    let mut units: Vec<UnitSeason> = Vec::new();
    let mut at: BTreeMap<(PieceId, SeasonId), usize> = BTreeMap::new();
    let mut of: BTreeMap<PlacementId, Vec<usize>> = BTreeMap::new();
    for season in seasons {
        for placement in facts.placements_in(season.id) {
            let mut add = |piece: Option<&'a Piece>, product: &'a Product| {
                if !ROLES.contains(&product.role) {
                    return;
                }
                if let Some(p) = piece
                    && at.insert((p.id, season.id), units.len()).is_some()
                {
                    return;
                }
                of.entry(placement.id).or_default().push(units.len());
                let pixel_hours = hours_lit(season, now).zip(product.pixels).map(|(h, n)| h * n as f64);
                units.push(UnitSeason { piece, product, placement, season, faults: 0, pixel_hours });
            };
            let pieces = facts.pieces_of(placement.id);
            for piece in pieces.iter().filter_map(|p| facts.piece(*p)) {
                if let Some(product) = facts.product(piece.product_id) {
                    add(Some(piece), product);
                }
            }
            if pieces.is_empty()
                && let Some(product) = facts.product_of(placement)
            {
                for _ in 0..placement.count.clamp(0, 1000) {
                    add(None, product);
                }
            }
        }
    }
    for fault in facts.yard.faults.iter().filter(|f| own_failure(facts, f)) {
        let labelled = fault.piece_id.zip(season_of(facts, fault)).and_then(|key| at.get(&key).copied());
        let unit = match (labelled, fault.piece_id, fault.placement_id) {
            (Some(unit), ..) => Some(unit),
            // Which of several it was is not told: one that has none yet.
            (None, None, Some(p)) => {
                let list = of.get(&p).map_or(&[][..], Vec::as_slice);
                let sound = list.iter().find(|u| units.get(**u).is_some_and(|u| u.faults == 0));
                sound.or(list.first()).copied()
            }
            _ => None,
        };
        if let Some(unit) = unit.and_then(|u| units.get_mut(u)) {
            unit.faults += 1;
        }
    }
    units
}

/// Faults of the thing itself that belong to no unit-season, as of a spare on the bench.
pub(crate) fn beside(facts: &Facts, units: &[UnitSeason]) -> Vec<FaultId> {
    let pieces: BTreeSet<_> = units.iter().filter_map(|u| Some((u.piece?.id, u.season.id))).collect();
    let placements: BTreeSet<_> = units.iter().map(|u| (u.placement.id, u.season.id)).collect();
    let placed = |f: &Fault| {
        season_of(facts, f).is_some_and(|season| match (f.piece_id, f.placement_id) {
            (Some(piece), _) => pieces.contains(&(piece, season)),
            (None, Some(placement)) => placements.contains(&(placement, season)),
            (None, None) => false,
        })
    };
    facts.yard.faults.iter().filter(|f| own_failure(facts, f) && !placed(f)).map(|f| f.id).collect()
}

/// Hours a season was lit until `now`: its nights times its nightly hours.
fn hours_lit(season: &Season, now: NaiveDateTime) -> Option<f64> {
    let (first, last) = (season.lights_on?.date(), season.lights_off?.min(now.date()));
    let nights = (last - first).num_days() + 1;
    let nightly = season.nightly_minutes()?;
    (nights > 0).then(|| nights as f64 * nightly as f64 / 60.0)
}
