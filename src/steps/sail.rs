//! What the wind meets of a placement: area, height of its middle, force coefficient.

use std::collections::BTreeSet;

use super::facts::Facts;
use super::wind::{metres, out, stand_of, wind_at};
use crate::calc::refusal::Refusal;
use crate::calc::structural::arch;
use crate::calc::structural::force::{self, Drag, Members, Part};
use crate::domain::{Placement, Product, Stand, StandKind};
use crate::units::si::{Fraction, Metres, MetresPerSecond, SquareMetres};

/// Force coefficients of a solid board and of a round tube or strand, where none is told (common practice).
const BOARD: f64 = 1.8;
const TUBE: f64 = 1.2;
/// A frame more solid than this counts as a board.
const OPEN_SOLIDITY: i64 = 70;
/// So many times longer than wide is a tube or a strand (common practice).
const SLIM: f64 = 20.0;
const UNSIZED: &str = "area or size of all that stands in the wind";

/// What the wind meets: as told, or from the sizes of the prop, its mount and what it carries.
pub(super) fn parts(
    facts: &Facts,
    placement: &Placement,
    stand: &Stand,
    missing: &mut Vec<&'static str>,
) -> Result<Vec<Part>, Refusal> {
    let told = stand.drag_pct.map(|d| Drag::Told(d as f64 / 100.0));
    if let Some(area) = stand.area_cm2 {
        let Some(middle) = stand.centroid_mm else {
            missing.push("height of the area's middle");
            return Ok(Vec::new());
        };
        return Ok(vec![Part {
            name: placement.name.clone(),
            area: SquareMetres::new(area as f64 / 10_000.0).map_err(out)?,
            centroid: metres(middle.metres())?,
            drag: told.unwrap_or(Drag::Told(BOARD)),
        }]);
    }
    let on = standing(facts, placement, stand);
    let top = |p: &Placement| p.height_mm.map(crate::units::Length::metres);
    let mut all = Vec::new();
    let mut things: Vec<(&Product, i64, Option<f64>)> = Vec::new();
    for (at, p) in on.placements.iter().enumerate() {
        match facts.product_of(p) {
            Some(product) if stand.kind == StandKind::Arch && at < on.held => {
                all.push(arch_part(product, p.count, stand, missing)?);
            }
            Some(product) => things.push((product, p.count, top(p))),
            None => missing.push(UNSIZED),
        }
    }
    if stand.kind != StandKind::Arch {
        things.extend(on.mounts.iter().map(|m| (*m, 1, None)));
    }
    for (product, count, top) in things {
        let Some((area, centroid, drag)) = sail(product, count, top)? else {
            // What has no size has an area all the same: without it nothing is said to hold.
            missing.push(UNSIZED);
            continue;
        };
        all.push(Part {
            name: product.name.clone(),
            area,
            centroid: metres(stand.centroid_mm.map_or(centroid, crate::units::Length::metres))?,
            drag: told.unwrap_or(drag),
        });
    }
    Ok(all)
}

/// What one stand holds up.
pub(super) struct Standing<'a> {
    /// What stands on it, then all that these carry, and what that carries.
    pub placements: Vec<&'a Placement>,
    /// So many of them stand on it themselves.
    pub held: usize,
    /// Mounts under them, each once, but for those that are a placement's own product.
    pub mounts: Vec<&'a Product>,
}

pub(super) fn standing<'a>(facts: &Facts<'a>, placement: &'a Placement, stand: &Stand) -> Standing<'a> {
    let all = facts.placements_in(placement.season_id);
    let shares = |p: &Placement| stand.mount_id.is_some() && p.mount_id == stand.mount_id;
    let on_it = |p: &Placement| shares(p) && stand_of(facts, p).is_some_and(|s| s.id == stand.id);
    let mut on = vec![placement];
    on.extend(all.iter().copied().filter(|p| p.id != placement.id && on_it(p)));
    let held = on.len();
    let mut at = 0;
    while let Some(carrier) = on.get(at).map(|p| p.id) {
        for p in all.iter().copied().filter(|p| p.carried_by_id == Some(carrier)) {
            if !on.iter().any(|o| o.id == p.id) {
                on.push(p);
            }
        }
        at += 1;
    }
    let own: Vec<_> = on.iter().filter_map(|p| facts.product_of(p)).map(|p| p.id).collect();
    let pieces: BTreeSet<_> = on.iter().filter_map(|p| p.mount_id).collect();
    let mounts = pieces.into_iter().filter_map(|m| facts.product(facts.piece(m)?.product_id));
    let mounts = mounts.filter(|m| !own.contains(&m.id)).collect();
    Standing { placements: on, held, mounts }
}

/// Solid area of so many of a product, the height of its middle, how it meets the wind; nothing where its size is not
/// told.
pub(super) fn sail(
    product: &Product,
    count: i64,
    top: Option<f64>,
) -> Result<Option<(SquareMetres, f64, Drag)>, Refusal> {
    let length = |l: Option<crate::units::Length>| l.map(crate::units::Length::metres);
    let Some(width) = length(product.width_mm) else { return Ok(None) };
    let (height, run) = (length(product.height_mm), length(product.length_mm));
    let Some(high) = height.or(run) else { return Ok(None) };
    // Far longer than wide: a round tube or strand, no board.
    let slim = width * SLIM < high;
    if height.is_none() && slim {
        let strands = u32::try_from(count.max(1)).unwrap_or(u32::MAX);
        let area = force::strands(strands, metres(high)?, metres(width)?, Metres::default())?;
        return Ok(Some((area, top.unwrap_or(high) / 2.0, Drag::Told(TUBE))));
    }
    let solid = product.solid_pct.map_or(100, crate::units::Percent::get);
    let area = count.max(1) as f64 * width * high * solid as f64 / 100.0;
    let middle = (top.unwrap_or(high) - high / 2.0).max(high / 2.0);
    let drag = if slim {
        Drag::Told(TUBE)
    } else if solid <= OPEN_SOLIDITY {
        let solidity = Fraction::new(solid as f64 / 100.0).map_err(out)?;
        Drag::Open { solidity, members: Members::Flat }
    } else {
        Drag::Told(BOARD)
    };
    Ok(Some((SquareMetres::new(area).map_err(out)?, middle, drag)))
}

fn arch_part(
    product: &Product,
    count: i64,
    stand: &Stand,
    missing: &mut Vec<&'static str>,
) -> Result<Part, Refusal> {
    let (Some(width), Some(tube)) = (product.width_mm, stand.tube_mm) else {
        missing.push(if product.width_mm.is_none() { "span of the arch" } else { "width of the tube" });
        return Ok(Part {
            name: product.name.clone(),
            area: SquareMetres::default(),
            centroid: Metres::default(),
            drag: Drag::Told(TUBE),
        });
    };
    let radius = width.metres() / 2.0;
    let drag = stand.drag_pct.map_or(Drag::Told(TUBE), |d| Drag::Told(d as f64 / 100.0));
    let springing = product.height_mm.map_or(0.0, |h| (h.metres() - radius).max(0.0));
    // The wind is that of the part later on; here only the shape is asked for.
    let still = wind_at(None, MetresPerSecond::default());
    let one = arch::solve(arch::Input {
        wind: still,
        radius: metres(radius)?,
        tube: metres(tube.metres())?,
        drag,
        springing: metres(springing)?,
    })?;
    Ok(Part {
        name: product.name.clone(),
        area: SquareMetres::new(one.area.get() * count.max(1) as f64).map_err(out)?,
        centroid: one.centroid,
        drag,
    })
}
