//! What moves as one: single items and keep-together groups, with their size in whole numbers.

use std::collections::{BTreeMap, BTreeSet};

use super::rules::{Item, PackError, Rules};

/// Something that goes into one tote as a whole.
#[derive(Debug, Clone)]
pub(super) struct Unit {
    /// Places in the list of items.
    pub(super) items: Vec<usize>,
    pub(super) size: Size,
    /// Bits of the classes in it that have rules.
    pub(super) classes: u64,
    /// Bits of the classes that may not lie with it.
    pub(super) enemies: u64,
    /// Number of its place; 0 where places may be mixed.
    pub(super) place: usize,
    /// Breaks a rule by itself.
    pub(super) impossible: bool,
}

/// Hundredths of a millilitre and grams.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Size {
    pub(super) volume: i64,
    pub(super) weight: i64,
}

impl Size {
    pub(super) const ZERO: Self = Self { volume: 0, weight: 0 };

    pub(super) const fn plus(self, other: Self) -> Self {
        Self {
            volume: self.volume.saturating_add(other.volume),
            weight: self.weight.saturating_add(other.weight),
        }
    }

    pub(super) const fn minus(self, other: Self) -> Self {
        Self { volume: self.volume - other.volume, weight: self.weight - other.weight }
    }

    pub(super) const fn fits(self, room: Self) -> bool {
        self.volume <= room.volume && self.weight <= room.weight
    }
}

/// Largest figure taken, so that sums stay whole.
const MOST: i64 = 1_000_000_000_000;

/// What a tote takes.
pub(super) fn capacity(rules: &Rules) -> Result<Size, PackError> {
    let tote = &rules.tote;
    let (fill, ml) = (tote.fill.get(), tote.volume.ml());
    let payload = tote.max_gross.g().saturating_sub(tote.tare.g());
    if !(1..=100).contains(&fill) || !(1..=MOST).contains(&ml) || !(1..=MOST).contains(&payload) {
        return Err(PackError::Tote {
            usable_ml: ml.saturating_mul(fill.clamp(0, 100)) / 100,
            payload_g: payload,
        });
    }
    Ok(Size { volume: ml * fill, weight: payload })
}

/// The units of the items that are not too long, in the order of their first item.
pub(super) fn units(
    rules: &Rules,
    items: &[Item],
    too_long: &BTreeSet<usize>,
) -> Result<Vec<Unit>, PackError> {
    let mut names: BTreeSet<&str> = BTreeSet::new();
    for (a, b) in &rules.keep_apart {
        names.insert(a);
        names.insert(b);
    }
    // Classes past the 64th share the last bit, which keeps more apart than asked, never less.
    let bit = |class: &str| names.iter().position(|n| *n == class).map_or(0, |at| 1_u64 << at.min(63));
    let enemies_of = |classes: u64| {
        rules.keep_apart.iter().fold(0, |m, (a, b)| {
            m | if classes & bit(a) != 0 { bit(b) } else { 0 }
                | if classes & bit(b) != 0 { bit(a) } else { 0 }
        })
    };
    let places: BTreeSet<&str> = items.iter().map(|i| i.place.as_str()).collect();
    let place =
        |name: &str| if rules.mix_places { 0 } else { places.iter().position(|p| *p == name).unwrap_or(0) };
    let mut groups: BTreeMap<&str, usize> = BTreeMap::new();
    let mut out: Vec<Unit> = Vec::new();
    for (at, item) in items.iter().enumerate() {
        let (ml, g) = (item.volume.ml(), item.weight.g());
        let mm = item.longest.map_or(0, crate::units::Length::mm);
        if !(0..=MOST).contains(&ml) || !(0..=MOST).contains(&g) || mm < 0 {
            return Err(PackError::Negative { item: item.id.clone() });
        }
        if too_long.contains(&at) {
            continue;
        }
        let classes = item.class.as_deref().map_or(0, bit);
        let one = Unit {
            items: vec![at],
            size: Size { volume: ml * 100, weight: g },
            classes,
            enemies: enemies_of(classes),
            place: place(&item.place),
            impossible: false,
        };
        let known = item.keep_with.as_deref().and_then(|name| groups.get(name).copied());
        if let (None, Some(name)) = (known, item.keep_with.as_deref()) {
            groups.insert(name, out.len());
        }
        match known.and_then(|k| out.get_mut(k)) {
            None => out.push(one),
            Some(group) => {
                group.impossible |= group.enemies & one.classes != 0 || group.place != one.place;
                group.items.push(at);
                group.size = group.size.plus(one.size);
                group.classes |= one.classes;
                group.enemies |= one.enemies;
            }
        }
    }
    Ok(out)
}
