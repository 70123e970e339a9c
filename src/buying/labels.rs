//! One state of the shops settled exactly: a dynamic programme over what is spent where a tier must be reached.

use std::collections::BTreeMap;

use super::cover::CoverTable;
use super::filler::{Filler, LONGEST};
use super::model::{Choice, Item, Model, Tier};

/// Credits are whole 1024ths of the price, so that bounds are exact whole numbers.
pub(super) const FULL: i64 = 1024;

/// One state of the shops: each vendor unused or used in a tier.
pub(super) struct State<'a> {
    pub(super) model: &'a Model,
    pub(super) used: Vec<Option<Tier>>,
    /// Vendors that must reach a subtotal or may not pass one.
    pub(super) bound: Vec<usize>,
    /// Bit of each choice that needs several packs at once, where it is one of the first 64.
    bits: BTreeMap<(usize, usize), u64>,
    /// Some choice found no bit: the answer can't be proven.
    pub(super) too_many: bool,
    fillers: BTreeMap<(usize, u64), Filler>,
}

/// Packs of each choice of each item.
pub(super) type Counts = Vec<Vec<usize>>;

struct Option_ {
    spent: Vec<i64>,
    mask: u64,
    cost: i64,
    counts: Vec<usize>,
}

#[derive(Clone)]
struct Label {
    spent: Vec<i64>,
    mask: u64,
    cost: i64,
    parent: usize,
    option: usize,
}

impl<'a> State<'a> {
    pub(super) fn new(model: &'a Model, used: Vec<Option<Tier>>) -> Self {
        let tier = |v: usize| used.get(v).copied().flatten();
        let bound: Vec<usize> =
            (0..used.len()).filter(|&v| tier(v).is_some_and(|t| t.low > 0 || t.high.is_some())).collect();
        let mut bits = BTreeMap::new();
        let mut too_many = bound.iter().any(|&v| tier(v).is_some_and(|t| t.low > LONGEST));
        for (i, item) in model.items.iter().enumerate() {
            for (c, choice) in item.choices.iter().enumerate() {
                if choice.max.is_none() && choice.min > 1 && bound.contains(&choice.vendor) {
                    if bits.len() < 64 {
                        bits.insert((i, c), 1 << bits.len());
                    } else {
                        too_many = true;
                    }
                }
            }
        }
        Self { model, used, bound, bits, too_many, fillers: BTreeMap::new() }
    }

    pub(super) fn tier(&self, vendor: usize) -> Option<Tier> {
        self.used.get(vendor).copied().flatten()
    }

    pub(super) fn fees(&self) -> i64 {
        self.used.iter().flatten().map(|t| t.fee).sum()
    }

    /// The covers of an item where spending at vendor v is credited with `credit[v]` 1024ths of the price.
    pub(super) fn table(&self, item: &'a Item, credit: &[i64]) -> CoverTable<'a> {
        CoverTable::new(item, |c| {
            let choice = item.choices.get(c)?;
            self.tier(choice.vendor)?;
            Some(choice.price * (FULL - credit.get(choice.vendor).copied().unwrap_or(0)))
        })
    }

    /// What the packs of one item spend at each bound vendor, and which several-pack choices they unlock.
    fn spending(&self, at: usize, item: &Item, counts: &[usize]) -> (Vec<i64>, u64, i64) {
        let (mut spent, mut mask, mut cost) = (vec![0; self.bound.len()], 0, 0);
        for (c, (choice, &count)) in item.choices.iter().zip(counts).enumerate().filter(|(_, (_, n))| **n > 0)
        {
            let amount = choice.price * count as i64;
            cost += amount;
            if let Some(slot) =
                self.bound.iter().position(|v| *v == choice.vendor).and_then(|b| spent.get_mut(b))
            {
                *slot += amount;
            }
            mask |= self.bits.get(&(at, c)).copied().unwrap_or(0);
        }
        (spent, mask, cost)
    }

    /// Adds to a cover the cheapest packs that bring each bound vendor to its tier, and gives their cost.
    pub(super) fn fill(&mut self, counts: &mut Counts) -> Option<i64> {
        let (mut spent, mut mask) = (vec![0; self.bound.len()], 0);
        for (at, (item, packs)) in self.model.items.iter().zip(counts.iter()).enumerate() {
            let (s, m, _) = self.spending(at, item, packs);
            spent.iter_mut().zip(s).for_each(|(a, b)| *a += b);
            mask |= m;
        }
        let mut added = 0;
        for (vendor, spent) in self.bound.clone().into_iter().zip(spent) {
            let gap = self.tier(vendor)?.low - spent;
            if gap <= 0 {
                continue;
            }
            let filler = self.filler(vendor, mask);
            let sum = filler.at_least(gap)?;
            for (item, choice, packs) in filler.packs(sum) {
                *counts.get_mut(item)?.get_mut(choice)? += packs;
            }
            added += sum;
        }
        Some(added)
    }

    fn filler(&mut self, vendor: usize, mask: u64) -> &Filler {
        let own =
            self.bits.iter().filter(|((i, c), _)| self.choice(*i, *c).is_some_and(|x| x.vendor == vendor));
        let mask = own.fold(0, |m, (_, bit)| m | (mask & bit));
        if !self.fillers.contains_key(&(vendor, mask)) {
            let mut coins: Vec<(usize, usize, &Choice, bool)> = Vec::new();
            for (i, item) in self.model.items.iter().enumerate() {
                for (c, choice) in item.choices.iter().enumerate() {
                    if choice.vendor == vendor && choice.max.is_none() {
                        let unlocked = self.bits.get(&(i, c)).is_some_and(|bit| mask & bit != 0);
                        coins.push((i, c, choice, unlocked));
                    }
                }
            }
            let low = self.tier(vendor).map_or(0, |t| t.low.min(LONGEST));
            let filler = Filler::new(&coins, low);
            self.fillers.insert((vendor, mask), filler);
        }
        self.fillers.entry((vendor, mask)).or_insert_with(|| Filler::new(&[], 0))
    }

    fn choice(&self, item: usize, choice: usize) -> Option<&'a Choice> {
        self.model.items.get(item)?.choices.get(choice)
    }

    /// Everything cheaper than `below` cents in this state, goes to `found`, best last; `bound` is the state's lower
    /// bound in 1024ths of a cent at `credit`. False where `left` steps did not suffice.
    pub(super) fn settle(
        &mut self,
        credit: &[i64],
        bound: i64,
        below: i64,
        left: &mut u64,
        found: &mut Vec<Counts>,
    ) -> bool {
        let slack = (below - 1).saturating_mul(FULL).saturating_sub(bound);
        let mut stages = Vec::new();
        for (at, item) in self.model.items.iter().enumerate() {
            let table = self.table(item, credit);
            let least = table.least();
            let Some(options) = self.options(at, item, &table, least.saturating_add(slack), left) else {
                return false;
            };
            stages.push((at, least, options));
        }
        stages.sort_by_key(|(at, _, options)| (options.len(), *at));
        let mut layers =
            vec![vec![Label { spent: vec![0; self.bound.len()], mask: 0, cost: 0, parent: 0, option: 0 }]];
        let mut rest: i64 = stages.iter().map(|(_, least, _)| least).sum();
        let fixed = self.fees() * FULL;
        let limit = (below - 1).saturating_mul(FULL);
        for (_, least, options) in &stages {
            rest -= least;
            let mut next = Vec::new();
            for (parent, label) in layers.last().into_iter().flatten().enumerate() {
                for (at, option) in options.iter().enumerate() {
                    if *left == 0 {
                        return false;
                    }
                    *left -= 1;
                    let cost = label.cost + option.cost;
                    let mut fits = true;
                    let mut value = fixed + rest + cost * FULL;
                    let mut spent = Vec::with_capacity(self.bound.len());
                    for ((&v, a), b) in self.bound.iter().zip(&label.spent).zip(&option.spent) {
                        let Some(tier) = self.tier(v) else { continue };
                        let sum = if tier.high.is_some() { a + b } else { (a + b).min(tier.low) };
                        value += tier.owed(credit.get(v).copied().unwrap_or(0), sum);
                        fits &= tier.high.is_none_or(|h| sum <= h);
                        spent.push(sum);
                    }
                    if fits && value <= limit {
                        next.push(Label { spent, mask: label.mask | option.mask, cost, parent, option: at });
                    }
                }
            }
            self.thin(&mut next);
            layers.push(next);
        }
        let mut best = below;
        for last in layers.last().cloned().unwrap_or_default() {
            let mut total = last.cost + self.fees();
            let mut possible = true;
            for (v, s) in self.bound.clone().into_iter().zip(&last.spent) {
                let Some(tier) = self.tier(v) else { continue };
                match self.filler(v, last.mask).at_least(tier.low - s) {
                    Some(sum) if tier.high.is_none_or(|h| s + sum <= h) => total += sum,
                    _ => possible = false,
                }
            }
            if !possible || total >= best {
                continue;
            }
            best = total;
            let mut counts: Counts = vec![Vec::new(); stages.len()];
            let mut label = &last;
            for (layer, (at, _, options)) in layers.iter().zip(&stages).rev() {
                let (Some(slot), Some(option), Some(parent)) =
                    (counts.get_mut(*at), options.get(label.option), layer.get(label.parent))
                else {
                    return false;
                };
                slot.clone_from(&option.counts);
                label = parent;
            }
            if self.fill(&mut counts).is_some() {
                found.push(counts);
            }
        }
        true
    }

    fn options(
        &self,
        at: usize,
        item: &Item,
        table: &CoverTable,
        most: i64,
        left: &mut u64,
    ) -> Option<Vec<Option_>> {
        // Packs with an upper limit are no filler, so buying past the need is tried here.
        let extra = |c: usize, _: usize| {
            let Some(choice) = item.choices.get(c) else { return 0 };
            let low = self.tier(choice.vendor).map_or(0, |t| t.low);
            if choice.max.is_none() || low == 0 || choice.price == 0 {
                return 0;
            }
            (low / choice.price + 1) as usize
        };
        let mut best: BTreeMap<(Vec<i64>, u64), (i64, Vec<usize>)> = BTreeMap::new();
        let whole = table.each(most, &extra, left, &mut |counts| {
            let (spent, mask, cost) = self.spending(at, item, counts);
            let slot = best.entry((spent, mask)).or_insert_with(|| (cost, counts.to_vec()));
            if cost < slot.0 {
                *slot = (cost, counts.to_vec());
            }
            true
        });
        whole.then(|| {
            let all =
                best.into_iter().map(|((spent, mask), (cost, counts))| Option_ { spent, mask, cost, counts });
            let mut all: Vec<_> = all.collect();
            all.sort_by_key(|o| o.cost);
            all
        })
    }

    /// Keeps of labels that spend the same the cheapest, and drops many that another one beats.
    fn thin(&self, labels: &mut Vec<Label>) {
        labels.sort_by(|a, b| {
            (&b.spent, b.mask, a.cost, a.parent, a.option)
                .cmp(&(&a.spent, a.mask, b.cost, b.parent, b.option))
        });
        labels.dedup_by(|later, kept| later.spent == kept.spent && later.mask == kept.mask);
        let exact: Vec<bool> =
            self.bound.iter().map(|&v| self.tier(v).is_some_and(|t| t.high.is_some())).collect();
        let beats = |a: &Label, b: &Label| {
            a.cost <= b.cost
                && a.mask | b.mask == a.mask
                && exact.iter().zip(a.spent.iter().zip(&b.spent)).all(|(e, (x, y))| x == y || x > y && !e)
        };
        let mut kept: Vec<Label> = Vec::with_capacity(labels.len());
        for label in labels.drain(..) {
            let near = kept.len().saturating_sub(48);
            let recent = kept.get(near..).unwrap_or_default();
            let first = kept.get(..near.min(48)).unwrap_or_default();
            if !recent.iter().rev().chain(first).any(|k| beats(k, &label)) {
                kept.push(label);
            }
        }
        *labels = kept;
    }
}
