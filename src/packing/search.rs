//! The exact search: can the units of one place lie in so many totes?

use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use super::heuristic::{Open, quick, shares};
use super::rules::{Item, PackError, Packing, Proof, Rules};
use super::units::{Size, Unit, capacity, units};

/// So many totes are looked at before the answer is only "best found": some tenths of a second.
const MOST_LOOKS: u64 = 12_000_000;
/// States known not to lead to a packing that are kept.
const MOST_KNOWN: usize = 400_000;

/// The fewest totes for the items.
pub fn pack(rules: &Rules, items: &[Item]) -> Result<Packing, PackError> {
    let capacity = capacity(rules)?;
    let too_long: BTreeSet<usize> = items
        .iter()
        .enumerate()
        .filter(|(_, i)| i.longest.is_some_and(|l| l > rules.tote.longest))
        .map(|(at, _)| at)
        .collect();
    let all = units(rules, items, &too_long)?;
    let mut oversize = Vec::new();
    let mut places: BTreeMap<usize, Vec<Unit>> = BTreeMap::new();
    for unit in all {
        if unit.impossible || !unit.size.fits(capacity) {
            oversize.push(unit.items);
        } else {
            places.entry(unit.place).or_default().push(unit);
        }
    }
    let mut totes = Vec::new();
    let (mut at_least, mut left) = (0, MOST_LOOKS);
    for units in places.values() {
        let (packed, bound) = fewest(units, capacity, &mut left);
        at_least += bound;
        for tote in packed {
            let mut inside: Vec<usize> = tote
                .units
                .iter()
                .filter_map(|u| units.get(*u))
                .flat_map(|u| u.items.iter().copied())
                .collect();
            inside.sort_unstable();
            totes.push(inside);
        }
    }
    let proof = if at_least >= totes.len() { Proof::Proven } else { Proof::BestFound { at_least } };
    Ok(Packing { totes, too_long: too_long.into_iter().collect(), oversize, proof })
}

/// A packing of units that may share totes, and how many totes at least are needed.
fn fewest(units: &[Unit], capacity: Size, left: &mut u64) -> (Vec<Open>, usize) {
    let mut best = quick(units, capacity);
    let mut bound = lower_bound(units, capacity);
    // Largest first: the hard ones are settled while there is room.
    let mut order: Vec<usize> = (0..units.len()).collect();
    order.sort_by_key(|&at| {
        let size = units.get(at).map_or(Size::ZERO, |u| u.size);
        (std::cmp::Reverse(shares(size, capacity)), at)
    });
    let mut rest = vec![Size::ZERO; order.len() + 1];
    let mut least = vec![capacity; order.len() + 1];
    for (k, &at) in order.iter().enumerate().rev() {
        let size = units.get(at).map_or(Size::ZERO, |u| u.size);
        let (after, small) =
            (rest.get(k + 1).copied().unwrap_or(Size::ZERO), least.get(k + 1).copied().unwrap_or(capacity));
        if let Some(slot) = rest.get_mut(k) {
            *slot = after.plus(size);
        }
        if let Some(slot) = least.get_mut(k) {
            *slot = Size { volume: small.volume.min(size.volume), weight: small.weight.min(size.weight) };
        }
    }
    while bound < best.len() {
        let mut dive = Dive { units, order: &order, rest: &rest, least: &least, left, known: HashSet::new() };
        let mut totes = vec![Open::new(capacity); bound];
        match dive.place(0, &mut totes) {
            Some(true) => best = totes,
            Some(false) => bound += 1,
            None => break,
        }
    }
    best.retain(|t| !t.units.is_empty());
    (best, bound)
}

struct Dive<'a> {
    units: &'a [Unit],
    order: &'a [usize],
    /// Sum of the units from the k-th on.
    rest: &'a [Size],
    /// Least volume and weight of any unit from the k-th on.
    least: &'a [Size],
    left: &'a mut u64,
    known: HashSet<(usize, u64, u64)>,
}

/// All that matters of a tote for what is still to come: volume, weight, classes and their enemies.
type State = (i64, i64, u64, u64);

/// A state of all totes in 128 bits: two states fall together by chance once in 10^20 searches.
fn fingerprint(k: usize, state: &[State]) -> (usize, u64, u64) {
    let of = |salt: u64| {
        let mut hasher = DefaultHasher::new();
        (salt, state).hash(&mut hasher);
        hasher.finish()
    };
    (k, of(0), of(1))
}

impl Dive<'_> {
    /// Places the k-th unit and all after it; nothing where the search was cut short.
    fn place(&mut self, k: usize, totes: &mut [Open]) -> Option<bool> {
        let Some(&at) = self.order.get(k) else { return Some(true) };
        let unit = self.units.get(at)?;
        *self.left = self.left.checked_sub(totes.len() as u64)?;
        // Room in totes that no unit to come fits into is lost.
        let smallest = self.least.get(k).copied().unwrap_or(Size::ZERO);
        let usable =
            totes.iter().filter(|t| smallest.fits(t.room)).fold(Size::ZERO, |sum, t| sum.plus(t.room));
        if !self.rest.get(k).copied().unwrap_or(Size::ZERO).fits(usable) {
            return Some(false);
        }
        let mut state: Vec<State> =
            totes.iter().map(|t| (t.room.volume, t.room.weight, t.classes, t.enemies)).collect();
        state.sort_unstable();
        let state = fingerprint(k, &state);
        if self.known.contains(&state) {
            return Some(false);
        }
        let mut tried: BTreeSet<State> = BTreeSet::new();
        for t in 0..totes.len() {
            let Some(tote) = totes.get_mut(t) else { continue };
            // Totes alike give the same packing.
            let alike = (tote.room.volume, tote.room.weight, tote.classes, tote.enemies);
            if !tote.takes(unit) || !tried.insert(alike) {
                continue;
            }
            let before = tote.clone();
            tote.put(at, unit);
            if self.place(k + 1, totes)? {
                return Some(true);
            }
            if let Some(tote) = totes.get_mut(t) {
                *tote = before;
            }
        }
        if self.known.len() < MOST_KNOWN {
            self.known.insert(state);
        }
        Some(false)
    }
}

/// Totes needed at least: by volume, by weight, and by units that can't lie together pair by pair.
fn lower_bound(units: &[Unit], capacity: Size) -> usize {
    let total = units.iter().fold(Size::ZERO, |sum, u| sum.plus(u.size));
    let by_sum = |sum: i64, room: i64| usize::try_from((sum + room - 1) / room.max(1)).unwrap_or(0);
    // Martello and Toth's L2: units over half, and what of the middling ones does not fit beside them.
    let large = |size: fn(&Unit) -> i64, room: i64| {
        let sizes: Vec<i64> = units.iter().map(size).collect();
        let mut best = 0;
        for &k in sizes.iter().filter(|s| 2 * **s <= room) {
            let alone = sizes.iter().filter(|s| **s > room - k).count();
            let half: Vec<i64> = sizes.iter().copied().filter(|s| *s <= room - k && 2 * s > room).collect();
            let middling: i64 = sizes.iter().filter(|s| 2 * **s <= room && **s >= k).sum();
            let beside = half.len() as i64 * room - half.iter().sum::<i64>();
            let more = by_sum((middling - beside).max(0), room);
            best = best.max(alone + half.len() + more);
        }
        best.max(sizes.iter().filter(|s| 2 * **s > room).count())
    };
    // A set of units of which no two may share, taken greedily, largest first.
    let mut order: Vec<&Unit> = units.iter().collect();
    order.sort_by_key(|u| std::cmp::Reverse(shares(u.size, capacity)));
    let mut apart: Vec<&Unit> = Vec::new();
    for unit in order {
        let shares_with = |other: &&Unit| {
            unit.size.plus(other.size).fits(capacity)
                && unit.classes & other.enemies == 0
                && unit.enemies & other.classes == 0
        };
        if !apart.iter().any(shares_with) {
            apart.push(unit);
        }
    }
    by_sum(total.volume, capacity.volume)
        .max(by_sum(total.weight, capacity.weight))
        .max(large(|u| u.size.volume, capacity.volume))
        .max(large(|u| u.size.weight, capacity.weight))
        .max(apart.len())
}

#[cfg(test)]
#[path = "search_tests.rs"]
mod tests;
