//! How much room a piece takes in a tote: as told, or its share of the tote it lies in now.

use std::collections::BTreeMap;

use crate::domain::{Container, ContainerId, Piece, Product, Role};
use crate::units::{Length, Mass, Volume};

/// Share of a tote's inside that odd shapes fill. Common practice, no published source.
pub(super) const FILL_PCT: i64 = 85;
/// A tote's own weight where none is known. Common practice, no published source.
pub(super) const TARE_G: i64 = 2_000;
/// What one person may lift where a tote tells nothing: the load constant of the revised lifting equation (Waters,
/// Putz-Anderson, Garg: NIOSH publication 94-110, 1994).
pub(super) const LIFT_G: i64 = 23_000;

/// Room and weight of one piece.
#[derive(Debug, Clone, Copy)]
pub(super) struct Size {
    pub(super) volume: Volume,
    /// Nothing where it is not told.
    pub(super) mass: Option<Mass>,
    /// Longest side that does not bend.
    pub(super) longest: Option<Length>,
    /// The volume is its share of the tote it lies in, as none was told.
    pub(super) shared: bool,
}

/// Inside of a container, where its sides are told.
pub(super) fn inside(c: &Container) -> Option<(Volume, Length)> {
    let (l, w, h) = (c.length_mm?, c.width_mm?, c.height_mm?);
    let ml = volume_ml([l, w, h])?;
    Some((Volume::from_ml(ml), l.max(w).max(h)))
}

fn volume_ml(sides: [Length; 3]) -> Option<i64> {
    let mm3 = sides.iter().try_fold(1_i64, |v, side| v.checked_mul(side.mm()))?;
    Some((mm3 / 1000).max(1))
}

/// The size of a piece; nothing where neither its sides nor its tote tell the room it takes.
pub(super) fn size_of(
    piece: &Piece,
    product: &Product,
    homes: &BTreeMap<ContainerId, (&Container, i64)>,
) -> Option<Size> {
    let long = piece.long(Some(product));
    let flat = [product.width_mm, product.height_mm, product.depth_mm];
    // Told with width and height, a length is the third side.
    let third = product.depth_mm.is_none() && flat.iter().flatten().count() == 2;
    // Strings and leads bend: only what is stiff has a longest side.
    let stiff = match product.role {
        Role::Mount | Role::Tool | Role::Ladder | Role::Part => true,
        Role::Prop => third && product.pixels.is_none() && product.pitch_mm.is_none(),
        _ => false,
    };
    let longest = flat.into_iter().flatten().chain(long.filter(|_| stiff)).max();
    let sides = flat.into_iter().chain([long.filter(|_| stiff || third)]).flatten().collect::<Vec<_>>();
    let told = <[Length; 3]>::try_from(sides).ok().and_then(volume_ml);
    let share = || {
        let (home, n) = homes.get(&piece.home_id?)?;
        let (volume, _) = inside(home)?;
        Some((volume.ml() * FILL_PCT / 100 / (*n).max(1)).max(1))
    };
    Some(Size {
        volume: Volume::from_ml(told.or_else(share)?),
        mass: product.mass_g,
        longest,
        shared: told.is_none(),
    })
}

/// The totes of the most usual size.
pub(super) fn usual(totes: Vec<&Container>) -> Vec<&Container> {
    let kind = |c: &Container| (inside(c).map(|(v, l)| (v.ml(), l.mm())), c.max_mass_g.map(Mass::g));
    let mut count: BTreeMap<_, usize> = BTreeMap::new();
    for c in &totes {
        *count.entry(kind(c)).or_default() += 1;
    }
    let most = count.into_iter().max_by_key(|(k, n)| (*n, *k)).map(|(k, _)| k);
    totes.into_iter().filter(|c| Some(kind(c)) == most).collect()
}
