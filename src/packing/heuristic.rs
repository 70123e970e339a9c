//! Quick packings, for an upper bound: largest first, into the first or the fullest tote that takes it.

use super::units::{Size, Unit};

/// A tote being filled.
#[derive(Debug, Clone)]
pub(super) struct Open {
    pub(super) room: Size,
    pub(super) classes: u64,
    pub(super) enemies: u64,
    pub(super) units: Vec<usize>,
}

impl Open {
    pub(super) const fn new(room: Size) -> Self {
        Self { room, classes: 0, enemies: 0, units: Vec::new() }
    }

    pub(super) const fn takes(&self, unit: &Unit) -> bool {
        unit.size.fits(self.room) && self.enemies & unit.classes == 0 && self.classes & unit.enemies == 0
    }

    pub(super) fn put(&mut self, at: usize, unit: &Unit) {
        self.room = self.room.minus(unit.size);
        self.classes |= unit.classes;
        self.enemies |= unit.enemies;
        self.units.push(at);
    }
}

/// Share of the tote that a unit takes in its scarcer measure, and in both together, in millionths.
pub(super) fn shares(size: Size, capacity: Size) -> (i128, i128) {
    let share = |a: i64, b: i64| i128::from(a) * 1_000_000 / i128::from(b.max(1));
    let (v, w) = (share(size.volume, capacity.volume), share(size.weight, capacity.weight));
    (v.max(w), v + w)
}

/// The best of several quick packings of the units.
pub(super) fn quick(units: &[Unit], capacity: Size) -> Vec<Open> {
    let mut best: Option<Vec<Open>> = None;
    for order in 0..4 {
        let mut queue: Vec<usize> = (0..units.len()).collect();
        queue.sort_by_key(|&at| {
            let size = units.get(at).map_or(Size::ZERO, |u| u.size);
            let (most, both) = shares(size, capacity);
            let key = [most, both, i128::from(size.volume), i128::from(size.weight)];
            (std::cmp::Reverse(key.get(order).copied()), at)
        });
        for fullest in [false, true] {
            let mut totes: Vec<Open> = Vec::new();
            for &at in &queue {
                let Some(unit) = units.get(at) else { continue };
                let takers = totes.iter_mut().filter(|t| t.takes(unit));
                let tote = if fullest {
                    takers.min_by_key(|t| shares(t.room, capacity).1)
                } else {
                    { takers }.next()
                };
                if let Some(tote) = tote {
                    tote.put(at, unit);
                } else {
                    let mut tote = Open::new(capacity);
                    tote.put(at, unit);
                    totes.push(tote);
                }
            }
            if best.as_ref().is_none_or(|b| totes.len() < b.len()) {
                best = Some(totes);
            }
        }
    }
    best.unwrap_or_default()
}
