//! What the wind meets of a placement: area, height of its middle, force coefficient.

use super::facts::Facts;
use super::wind::{metres, out, wind_at};
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
    let mut all = Vec::new();
    let mut things: Vec<(&Product, i64, Option<f64>)> = Vec::new();
    let top = |p: &Placement| p.height_mm.map(crate::units::Length::metres);
    let mount = placement.mount_id.and_then(|m| facts.piece(m)).and_then(|m| facts.product(m.product_id));
    let own = facts.product_of(placement);
    things.extend(own.map(|p| (p, placement.count, top(placement))));
    things.extend(
        mount
            .filter(|m| stand.kind != StandKind::Arch && own.is_none_or(|o| o.id != m.id))
            .map(|m| (m, 1, None)),
    );
    for carried in facts.placements_in(placement.season_id) {
        if carried.carried_by_id == Some(placement.id) {
            things.extend(facts.product_of(carried).map(|p| (p, carried.count, top(carried))));
        }
    }
    for (product, count, top) in things {
        if stand.kind == StandKind::Arch {
            all.push(arch_part(product, count, stand, missing)?);
            continue;
        }
        let Some((area, centroid, drag)) = sail(product, count, top)? else {
            // What has no size has an area all the same: without it nothing is said to hold.
            missing.push("area or size of all that stands in the wind");
            continue;
        };
        all.push(Part {
            name: product.name.clone(),
            area,
            centroid: metres(stand.centroid_mm.map_or(centroid, crate::units::Length::metres))?,
            drag: told.unwrap_or(drag),
        });
    }
    if all.is_empty() && missing.is_empty() {
        missing.push("area or size");
    }
    Ok(all)
}

/// Solid area of so many of a product, the height of its middle, how it meets the wind; nothing where its size is not
/// told.
fn sail(
    product: &Product,
    count: i64,
    top: Option<f64>,
) -> Result<Option<(SquareMetres, f64, Drag)>, Refusal> {
    let length = |l: Option<crate::units::Length>| l.map(crate::units::Length::metres);
    let (width, height) = (length(product.width_mm), length(product.height_mm));
    let n = count.max(1) as f64;
    match (width, height, length(product.length_mm)) {
        (Some(width), Some(height), _) => {
            let solid = product.solid_pct.map_or(100, crate::units::Percent::get);
            let area = SquareMetres::new(n * width * height * solid as f64 / 100.0).map_err(out)?;
            let middle = (top.unwrap_or(height) - height / 2.0).max(height / 2.0);
            // A pole is a round tube, not a board.
            let drag = if width * 20.0 < height {
                Drag::Told(TUBE)
            } else if solid <= OPEN_SOLIDITY {
                let solidity = Fraction::new(solid as f64 / 100.0).map_err(out)?;
                Drag::Open { solidity, members: Members::Flat }
            } else {
                Drag::Told(BOARD)
            };
            Ok(Some((area, middle, drag)))
        }
        (Some(width), None, Some(run)) => {
            let strands = u32::try_from(count.max(1)).unwrap_or(u32::MAX);
            let area = force::strands(strands, metres(run)?, metres(width)?, Metres::default())?;
            Ok(Some((area, top.unwrap_or(run) / 2.0, Drag::Told(TUBE))))
        }
        _ => Ok(None),
    }
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
