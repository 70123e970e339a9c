//! From a placement's facts to the wind formulas: what stands, how it is held, what is not told.

use std::collections::BTreeSet;

use crate::calc::refusal::Refusal;
use crate::calc::structural::force::{Part, Wind};
use crate::calc::structural::pressure::{Exposure, Method};
use crate::calc::structural::{ballast, gust, guyed};
use crate::domain::{
    Access, Guy, HoldingBy, Phase, Placement, Product, Role, Site, Stand, StandKind, StepDeed, WindExposure,
    WindMethod,
};
use crate::units::si::{Degrees, Metres, MetresPerSecond, Newtons};
use crate::units::{Length, Speed};

use super::facts::Facts;
use super::sail::{parts, standing};

pub(super) const GRAVITY: f64 = 9.806_65;
/// Factor asked of anchors that are known, and of those that are not; common practice, no published source.
pub const FACTOR: f64 = 1.5;
const FACTOR_UNTESTED: f64 = 2.0;
/// A stake that was not pull-tested may hold half of what is said of it (common practice).
const UNTESTED_SHARE: f64 = 0.5;
/// Friction on wet grass, where none is told (common practice).
const WET_GRASS: f64 = 0.3;
const MASS: &str = "mass of all that stands there: what has none counted as nothing";
/// What is no higher lies rather than stands (common practice).
const LOW: Length = Length::from_mm(600);

/// What holds a thing, as the formulas take it.
#[derive(Debug, Clone, PartialEq)]
pub enum Held {
    Guys(guyed::Input),
    Weight(ballast::Input),
}

/// How a placement stands in the wind.
#[derive(Debug, Clone, PartialEq)]
pub struct WindLook<'a> {
    pub placement: &'a Placement,
    /// Nothing where how it stands was not told.
    pub stand: Option<&'a Stand>,
    pub guys: Vec<&'a Guy>,
    /// Words for what is not told, as "anchor radius"; then nothing is computed.
    pub missing: Vec<&'static str>,
    pub held: Option<Held>,
    /// Others on the same stand, reckoned with it.
    pub with: Vec<&'a Placement>,
    /// Of something on it no height is told: taken as standing on the ground.
    pub on_ground: bool,
    /// What was not told and something was taken for, in words: "drag: 1.8 for a board".
    pub assumed: Vec<&'static str>,
    /// Facts that make no calculation, as a strand longer than a length may be.
    pub refused: Option<Refusal>,
}

/// What stands on its own in the wind in a season, each stand once; also what seems to and has no stand told.
pub fn wind_looks<'a>(facts: &Facts<'a>, season: crate::domain::SeasonId) -> Vec<WindLook<'a>> {
    let mut seen = BTreeSet::new();
    facts
        .placements_in(season)
        .into_iter()
        .filter_map(|p| wind_look(facts, p).or_else(|| set_down(facts, p).then(|| look(facts, p, None))))
        .filter(|l| l.stand.is_none_or(|s| seen.insert(s.id)))
        .collect()
}

/// How one placement holds in the wind, with all that shares its stand, where it stands on its own.
pub fn wind_look<'a>(facts: &Facts<'a>, placement: &'a Placement) -> Option<WindLook<'a>> {
    let stand = stand_of(facts, placement);
    (stand.is_some() || stands_alone(facts, placement)).then(|| look(facts, placement, stand))
}

/// Set on the ground outdoors, fixed to nothing, and not known to be low: the wind may take it.
fn set_down(facts: &Facts, p: &Placement) -> bool {
    let loose = facts.method_of(p).is_some_and(|m| matches!(m.code.as_str(), "set_out" | "laid" | "weigh"));
    let low =
        |x: &Product| x.height_mm.or(x.length_mm.filter(|_| x.width_mm.is_some())).is_some_and(|h| h < LOW);
    loose
        && p.carried_by_id.is_none()
        && facts.access(p.place_id) == Access::Ground
        && !facts.indoors(p.place_id)
        && facts.product_of(p).is_none_or(|x| matches!(x.role, Role::Prop | Role::Mount) && !low(x))
}

/// How a placement stands, told for itself or for its mount.
pub fn stand_of<'a>(facts: &Facts<'a>, p: &Placement) -> Option<&'a Stand> {
    let stands = &facts.yard.stands;
    stands
        .iter()
        .find(|s| s.placement_id == Some(p.id))
        .or_else(|| stands.iter().find(|s| s.mount_id.is_some() && s.mount_id == p.mount_id))
}

/// On the ground, raised or driven, with the wind named by its own recipe: a mast, a frame, an arch.
fn stands_alone(facts: &Facts, p: &Placement) -> bool {
    let Some(method) = facts.method_of(p) else { return false };
    if facts.access(p.place_id) != Access::Ground || facts.indoors(p.place_id) {
        return false;
    }
    let up: Vec<_> = facts.recipe(method.id).into_iter().filter(|r| r.phase == Phase::Up).collect();
    let windy = up.iter().any(|r| r.cautions.has("wind"));
    windy && up.iter().any(|r| matches!(r.deed, StepDeed::Raise | StepDeed::Drive))
}

/// The gust of the site's design wind, at the method it names; simple where none is told.
pub fn wind_at(site: Option<&Site>, gust: MetresPerSecond) -> Wind {
    let method = match site.and_then(|s| s.wind_method) {
        Some(WindMethod::Asce716) => Method::Asce716 {
            exposure: match site.and_then(|s| s.wind_exposure) {
                Some(WindExposure::B) => Exposure::B,
                Some(WindExposure::D) => Exposure::D,
                // Open country is on the safe side of a suburb.
                Some(WindExposure::C) | None => Exposure::C,
            },
            kd: 0.85,
            kzt: 1.0,
        },
        Some(WindMethod::Simple) | None => Method::Simple { air_density: 1.25 },
    };
    Wind { gust, method, gust_factor: if matches!(method, Method::Asce716 { .. }) { 0.85 } else { 1.0 } }
}

fn look<'a>(facts: &Facts<'a>, placement: &'a Placement, stand: Option<&'a Stand>) -> WindLook<'a> {
    let mut looked = WindLook {
        placement,
        stand,
        guys: Vec::new(),
        missing: Vec::new(),
        held: None,
        with: Vec::new(),
        on_ground: false,
        assumed: Vec::new(),
        refused: None,
    };
    let Some(stand) = stand else {
        looked.missing.push("how it stands");
        return looked;
    };
    let on = standing(facts, placement, stand);
    let by_size = stand.area_cm2.is_none() && stand.centroid_mm.is_none() && stand.kind != StandKind::Arch;
    looked.on_ground = by_size && on.placements.iter().any(|p| p.height_mm.is_none());
    looked.with = on.placements.iter().copied().take(on.held).skip(1).collect();
    looked.assumed = assumed(
        &on.placements
            .iter()
            .filter_map(|p| facts.product_of(p))
            .chain(on.mounts.iter().copied())
            .collect::<Vec<_>>(),
        stand,
        by_size,
    );
    looked.guys = facts.yard.guys.iter().filter(|g| g.stand_id == stand.id).collect();
    let site = facts.yard.sites.first();
    let gust = site.and_then(|s| s.design_gust_mms).map_or(0.0, Speed::metres_per_second);
    let mut missing = Vec::new();
    match held(facts, placement, stand, &looked.guys, gust, &mut missing) {
        Ok(held) => looked.held = held,
        Err(refusal) => looked.refused = Some(refusal),
    }
    let mut seen = BTreeSet::new();
    missing.retain(|what| seen.insert(*what));
    looked.missing = missing;
    if !looked.missing.is_empty() {
        looked.held = None;
    }
    looked
}

/// What is not told of a stand and of what is on it, and what is taken instead.
fn assumed(on: &[&Product], stand: &Stand, by_size: bool) -> Vec<&'static str> {
    let board = |p: &&Product| p.width_mm.is_some() && p.solid_pct.is_none();
    let by_weight = stand.kind != StandKind::Guyed;
    [
        (by_weight && on.iter().any(|p| p.mass_g.is_none()), MASS),
        (by_weight && stand.ballast_g.is_none(), "ballast: none counted"),
        (
            stand.drag_pct.is_none(),
            "force coefficient: 1.8 taken for a board, 1.2 for a tube, by the table for a lattice",
        ),
        (by_size && on.iter().any(board), "solid share: 100 % taken"),
    ]
    .into_iter()
    .filter_map(|(untold, what)| untold.then_some(what))
    .collect()
}

fn held(
    facts: &Facts,
    placement: &Placement,
    stand: &Stand,
    guys: &[&Guy],
    gust: f64,
    missing: &mut Vec<&'static str>,
) -> Result<Option<Held>, Refusal> {
    let gust = MetresPerSecond::new(gust).map_err(too_fast)?;
    let wind = wind_at(facts.yard.sites.first(), gust);
    let parts = parts(facts, placement, stand, missing)?;
    let weight = weight(facts, placement, stand, missing)?;
    if stand.kind == StandKind::Guyed {
        return guyed_input(stand, guys, wind, parts, weight, missing).map(|i| i.map(Held::Guys));
    }
    let Some(half_base) = stand.half_base_mm else {
        missing.push("base width");
        return Ok(None);
    };
    Ok(Some(Held::Weight(ballast::Input {
        wind,
        parts,
        weight,
        half_base: metres(half_base.metres())?,
        friction: stand.friction_pct.map_or(WET_GRASS, |p| p as f64 / 100.0),
        required_factor: FACTOR,
    })))
}

fn guyed_input(
    stand: &Stand,
    guys: &[&Guy],
    wind: Wind,
    parts: Vec<Part>,
    weight: Newtons,
    missing: &mut Vec<&'static str>,
) -> Result<Option<guyed::Input>, Refusal> {
    let told = |t: Option<Length>, what: &'static str, missing: &mut Vec<&'static str>| {
        if t.is_none() {
            missing.push(what);
        }
        t.map_or(0.0, Length::metres)
    };
    let height = told(stand.guy_height_mm, "guy height", missing);
    if guys.is_empty() {
        missing.push("guys");
    }
    let stiffness = stand.guy_stiffness_mn.map_or(0.0, crate::units::Force::newtons);
    let pretension = stand.pretension_mn.map_or(0.0, crate::units::Force::newtons);
    if stand.guy_stiffness_mn.is_none() {
        missing.push("stiffness of the guys");
    }
    if stand.pretension_mn.is_none() {
        missing.push("pretension");
    }
    let mut list = Vec::with_capacity(guys.len());
    let mut anchors = Vec::with_capacity(guys.len());
    let mut untested = false;
    for guy in guys {
        let radius = told(guy.radius_mm, "anchor radius", missing);
        let inside = |half: &f64| guy.radius_mm.is_some() && radius < *half;
        if let Some(half) = stand.half_base_mm.map(Length::metres).filter(inside) {
            return Err(Refusal {
                code: "anchor_in_base",
                what: "anchor from the mast",
                value: radius,
                unit: "m",
                range: (half, 50.0),
                remedy: "the anchor lies inside the base: set it outside",
            });
        }
        list.push(guyed::Guy {
            azimuth: Degrees::new(guy.azimuth_deg as f64).map_err(out)?,
            radius: metres(radius)?,
            anchor_height: guy.rise_mm.map_or(0.0, Length::metres),
            stiffness: newtons(stiffness)?,
            pretension: newtons(pretension)?,
        });
        let Some(holding) = guy.holding_mn else {
            missing.push("anchor holding");
            continue;
        };
        let by = guy.holding_by.unwrap_or(HoldingBy::Untested);
        untested |= by != HoldingBy::Tested;
        anchors.push(guyed::Anchor {
            holding: newtons(holding.newtons())?,
            soil_factor: if by == HoldingBy::Untested { UNTESTED_SHARE } else { 1.0 },
            count: 1,
            tested: by == HoldingBy::Tested,
        });
    }
    if !missing.is_empty() {
        return Ok(None);
    }
    Ok(Some(guyed::Input {
        wind,
        toward: Degrees::default(),
        parts,
        guy_height: metres(height)?,
        guys: list,
        weight,
        anchors,
        required_factor: if untested { FACTOR_UNTESTED } else { FACTOR },
        strap_limit: stand.strap_limit_mn.map(|f| newtons(f.newtons())).transpose()?,
    }))
}

fn weight(
    facts: &Facts,
    placement: &Placement,
    stand: &Stand,
    missing: &mut Vec<&'static str>,
) -> Result<Newtons, Refusal> {
    let mass = |p: &Product| p.mass_g.map_or(0.0, crate::units::Mass::kilograms);
    let on = standing(facts, placement, stand);
    let things =
        on.placements.iter().filter_map(|p| Some(mass(facts.product_of(p)?) * p.count.max(1) as f64));
    let kg = things.chain(on.mounts.iter().map(|m| mass(m))).sum::<f64>()
        + stand.ballast_g.map_or(0.0, crate::units::Mass::kilograms);
    if kg <= 0.0 && stand.kind != StandKind::Guyed {
        missing.push("weight");
    }
    newtons(kg * GRAVITY)
}

impl Held {
    /// The strongest gust at which it still holds; nothing where it does not stand in calm air.
    ///
    /// # Errors
    /// What lies outside the formulas' ranges, as a guy too steep.
    pub fn holds_to(&self) -> Result<Option<MetresPerSecond>, Refusal> {
        match self {
            Self::Guys(input) => gust::mast_holds_to(input),
            Self::Weight(input) => gust::ballast_holds_to(input),
        }
    }

    /// How many times the wind's pull is asked of what holds it: 1.5, or 2 where an anchor was not pull-tested.
    pub fn asked(&self) -> f64 {
        match self {
            Self::Guys(input) => input.required_factor,
            Self::Weight(input) => input.required_factor,
        }
    }
}

impl WindLook<'_> {
    /// The gust from which it is to be lowered: the owner's own, or where it stops to hold, whichever comes first.
    pub fn lower_at(&self) -> Option<Speed> {
        let told = self.stand.and_then(|s| s.lower_gust_mms);
        let computed = self
            .held
            .as_ref()
            .and_then(|h| h.holds_to().ok())
            .and_then(|v| Speed::from_metres_per_second(v.map_or(0.0, MetresPerSecond::get)));
        match (told, computed) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        }
    }
}

pub(super) fn metres(value: f64) -> Result<Metres, Refusal> {
    Metres::new(value).map_err(out)
}

fn newtons(value: f64) -> Result<Newtons, Refusal> {
    Newtons::new(value).map_err(out)
}

pub(super) fn out(error: crate::units::si::OutOfRange) -> Refusal {
    Refusal {
        code: "wind_fact",
        what: error.what,
        value: error.value,
        unit: error.unit,
        range: error.range,
        remedy: "correct the fact",
    }
}

fn too_fast(error: crate::units::si::OutOfRange) -> Refusal {
    Refusal {
        code: "wind_speed",
        what: "design gust",
        value: error.value,
        unit: error.unit,
        range: (0.0, crate::calc::structural::FASTEST_MS),
        remedy: "take it down; ask an engineer",
    }
}
