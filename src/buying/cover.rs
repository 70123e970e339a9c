//! One item: the cheapest packs that cover its need, and all covers nearly as cheap.

use super::model::Item;

/// No cover exists. Far below overflow when a few are added up.
pub(super) const NEVER: i64 = i64::MAX / 8;

/// `best[k][r]`: least weight to cover `r` more units with the choices from the `k`-th on.
pub(super) struct CoverTable<'a> {
    item: &'a Item,
    /// Weight of one pack of each choice; nothing where the choice is not open.
    weights: Vec<Option<i64>>,
    best: Vec<Vec<i64>>,
}

impl<'a> CoverTable<'a> {
    /// Fills the table; `weight` of a pack is at least zero.
    pub(super) fn new(item: &'a Item, weight: impl Fn(usize) -> Option<i64>) -> Self {
        let weights: Vec<_> = (0..item.choices.len()).map(weight).collect();
        let total = item.total();
        let mut best = vec![vec![NEVER; total + 1]; item.choices.len() + 1];
        if let Some(end) = best.last_mut().and_then(|row| row.first_mut()) {
            *end = 0;
        }
        let mut table = Self { item, weights, best };
        for k in (0..item.choices.len()).rev() {
            let row = table.row(k);
            if let Some(slot) = table.best.get_mut(k) {
                *slot = row;
            }
        }
        table
    }

    fn row(&self, k: usize) -> Vec<i64> {
        let total = self.item.total();
        let skip: Vec<i64> = (0..=total).map(|r| self.after(k, r)).collect();
        let (Some(choice), Some(weight)) = (self.item.choices.get(k), self.weights.get(k).copied().flatten())
        else {
            return skip;
        };
        let at = |row: &[i64], r: usize| row.get(r).copied().unwrap_or(NEVER);
        let mut row = skip.clone();
        if choice.max.is_some() {
            for (r, slot) in row.iter_mut().enumerate().skip(1) {
                for count in counts(choice.min, choice.max, r.div_ceil(choice.pack)) {
                    let rest = at(&skip, r.saturating_sub(count * choice.pack));
                    *slot = (*slot).min(rest.saturating_add(weight * count as i64).min(NEVER));
                }
            }
            return row;
        }
        // Any number of packs, zero included, of which the first `min` come at once.
        let mut any = skip.clone();
        for r in 1..=total {
            let one_more = at(&any, r.saturating_sub(choice.pack)).saturating_add(weight).min(NEVER);
            if let Some(slot) = any.get_mut(r) {
                *slot = (*slot).min(one_more);
            }
        }
        for (r, slot) in row.iter_mut().enumerate().skip(1) {
            let rest = at(&any, r.saturating_sub(choice.min.saturating_mul(choice.pack)));
            *slot = (*slot).min(rest.saturating_add(weight.saturating_mul(choice.min as i64)).min(NEVER));
        }
        row
    }

    /// Least weight once the `k`-th choice is settled and `r` units remain: a deadline that ends there must hold.
    fn after(&self, k: usize, r: usize) -> i64 {
        let choices = &self.item.choices;
        let next = choices.get(k + 1).map_or(self.item.due.len(), |c| c.class);
        let class = choices.get(k).map_or(0, |c| c.class);
        if next > class && r > self.slack_before(next) {
            return NEVER;
        }
        self.best.get(k + 1).and_then(|row| row.get(r)).copied().unwrap_or(NEVER)
    }

    /// Units that may still be missing when all choices of classes below `class` are settled.
    fn slack_before(&self, class: usize) -> usize {
        let due = class.checked_sub(1).and_then(|c| self.item.due.get(c)).copied().unwrap_or(0);
        self.item.total() - due
    }

    /// Least weight of a cover of the whole need.
    pub(super) fn least(&self) -> i64 {
        let first = self.item.choices.first().map_or(self.item.due.len(), |c| c.class);
        if self.item.total() > self.slack_before(first) {
            return NEVER;
        }
        self.best.first().and_then(|row| row.last()).copied().unwrap_or(NEVER)
    }

    /// Packs of each choice of one cover of least weight.
    pub(super) fn one(&self) -> Vec<usize> {
        let mut found = Vec::new();
        let least = self.least();
        if least < NEVER {
            self.each(least, &|_, _| 0, &mut 1_000_000, &mut |counts| {
                found = counts.to_vec();
                false
            });
        }
        found
    }

    /// Calls `take` with the packs of each cover of weight at most `most`, until it returns false; false where `left`
    /// ran out. Packs that could all be left out again are tried up to `extra(choice, packs needed)` only.
    pub(super) fn each(
        &self,
        most: i64,
        extra: &dyn Fn(usize, usize) -> usize,
        left: &mut u64,
        take: &mut dyn FnMut(&[usize]) -> bool,
    ) -> bool {
        let mut counts = vec![0; self.item.choices.len()];
        self.walk(0, self.item.total(), 0, most, extra, &mut counts, left, take);
        *left > 0
    }

    #[allow(clippy::too_many_arguments, reason = "one recursion; a struct would only rename them")]
    fn walk(
        &self,
        k: usize,
        r: usize,
        weight: i64,
        most: i64,
        extra: &dyn Fn(usize, usize) -> usize,
        counts: &mut Vec<usize>,
        left: &mut u64,
        take: &mut dyn FnMut(&[usize]) -> bool,
    ) -> bool {
        if *left == 0 {
            return false;
        }
        *left -= 1;
        let Some(choice) = self.item.choices.get(k) else {
            return take(counts);
        };
        if weight.saturating_add(self.after(k, r)) <= most
            && !self.walk(k + 1, r, weight, most, extra, counts, left, take)
        {
            return false;
        }
        let Some(each) = self.weights.get(k).copied().flatten() else { return true };
        let needed = r.div_ceil(choice.pack);
        let top = needed.max(extra(k, needed));
        for count in self::counts(choice.min, choice.max, top).filter(|_| top > 0) {
            let rest = r.saturating_sub(count * choice.pack);
            let heavier = weight.saturating_add(each.saturating_mul(count as i64));
            if heavier > most {
                break;
            }
            if heavier.saturating_add(self.after(k, rest)) > most {
                continue;
            }
            if let Some(slot) = counts.get_mut(k) {
                *slot = count;
            }
            let go_on = self.walk(k + 1, rest, heavier, most, extra, counts, left, take);
            if let Some(slot) = counts.get_mut(k) {
                *slot = 0;
            }
            if !go_on {
                return false;
            }
        }
        true
    }
}

/// Pack counts worth trying where `needed` would do: the fewest allowed up to `needed`.
fn counts(min: usize, max: Option<usize>, needed: usize) -> std::ops::RangeInclusive<usize> {
    let top = needed.max(min);
    min..=max.map_or(top, |m| m.min(top))
}
