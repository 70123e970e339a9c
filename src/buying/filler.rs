//! Packs bought only to bring a vendor's subtotal up to a tier: the smallest sum at or above a gap.

use super::model::Choice;

/// Longest table, in cents.
pub(super) const LONGEST: i64 = 2_000_000;

/// Which sums extra packs at one vendor can make.
pub(super) struct Filler {
    /// (item, choice, price, packs that come first at once)
    coins: Vec<(usize, usize, i64, i64)>,
    /// `reach[k][x]`: the sum x can be made with the first k coins.
    reach: Vec<Vec<bool>>,
    /// Smallest sum that can be made at or above each gap.
    next: Vec<Option<u32>>,
}

impl Filler {
    /// `coins` are the choices with no upper limit, each with whether it is in use already (then single packs may be
    /// added); gaps up to `gap` cents can be asked.
    pub(super) fn new(coins: &[(usize, usize, &Choice, bool)], gap: i64) -> Self {
        let coins: Vec<_> = coins
            .iter()
            .filter(|(_, _, c, _)| c.price > 0)
            .map(|&(item, at, c, used)| (item, at, c.price, if used { 1 } else { c.min as i64 }))
            .collect();
        // One smallest purchase beyond the gap is always enough.
        let beyond = coins.iter().map(|(_, _, price, first)| price.saturating_mul(*first)).min().unwrap_or(0);
        let size = gap.max(0).saturating_add(beyond).min(2 * LONGEST) as usize + 1;
        let mut base = vec![false; size];
        if let Some(zero) = base.first_mut() {
            *zero = true;
        }
        let mut reach = vec![base];
        for &(_, _, price, first) in &coins {
            let before = reach.last().cloned().unwrap_or_default();
            let (step, block) = (price as usize, price.saturating_mul(first) as usize);
            // Sums with at least `first` packs of this coin.
            let mut with = vec![false; size];
            for x in block.min(size)..size {
                let fresh = before.get(x - block) == Some(&true);
                let more = x >= step && with.get(x - step) == Some(&true);
                if let Some(slot) = with.get_mut(x) {
                    *slot = fresh || more;
                }
            }
            reach.push(before.iter().zip(with).map(|(a, b)| *a || b).collect());
        }
        let mut next = vec![None; size];
        let mut last = None;
        for x in (0..size).rev() {
            if reach.last().and_then(|r| r.get(x)) == Some(&true) {
                last = u32::try_from(x).ok();
            }
            if let Some(slot) = next.get_mut(x) {
                *slot = last;
            }
        }
        Self { coins, reach, next }
    }

    /// The smallest sum at or above `gap`.
    pub(super) fn at_least(&self, gap: i64) -> Option<i64> {
        if gap <= 0 {
            return Some(0);
        }
        self.next.get(usize::try_from(gap).ok()?).copied().flatten().map(i64::from)
    }

    /// The packs, as (item, choice, count), of a sum that can be made.
    pub(super) fn packs(&self, sum: i64) -> Vec<(usize, usize, usize)> {
        let mut out = Vec::new();
        let mut left = sum;
        let can = |k: usize, x: i64| {
            usize::try_from(x).is_ok_and(|x| self.reach.get(k).and_then(|r| r.get(x)) == Some(&true))
        };
        for (k, &(item, choice, price, first)) in self.coins.iter().enumerate().rev() {
            if can(k, left) {
                continue;
            }
            let mut count = first;
            while left >= count * price && !can(k, left - count * price) {
                count += 1;
            }
            out.push((item, choice, count as usize));
            left -= count * price;
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn choice(price: i64, min: usize) -> Choice {
        Choice { offer: 0, vendor: 0, pack: 1, price, class: 0, min, max: None }
    }

    #[test]
    fn smallest_sum_at_or_above_the_gap() {
        let (a, b) = (choice(450, 1), choice(1300, 3));
        let filler = Filler::new(&[(0, 0, &a, false), (1, 0, &b, false)], 5000);
        assert_eq!(filler.at_least(0), Some(0));
        assert_eq!(filler.at_least(451), Some(900));
        // 3 × 1300 is below 3901 to 4050, 9 × 450 is the next.
        assert_eq!(filler.at_least(3900), Some(3900));
        assert_eq!(filler.at_least(3901), Some(4050));
        assert_eq!(filler.packs(3900), vec![(1, 0, 3)]);
        assert_eq!(filler.at_least(4700), Some(4800));
        assert_eq!(filler.packs(4800), vec![(1, 0, 3), (0, 0, 2)]);
        let used = Filler::new(&[(1, 0, &b, true)], 5000);
        assert_eq!(used.at_least(1), Some(1300));
    }
}
