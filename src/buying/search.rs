//! The states of the shops, best first, until no open one can be cheaper than the basket in hand.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use super::cover::{CoverTable, NEVER};
use super::labels::{Counts, FULL, State};
use super::model::{Model, Tier};
use super::request::{
    Basket, Line, MOST_VENDORS, Missing, MissingReason, Proof, Request, RequestError, VendorTotal,
};
use crate::units::Money;

/// States taken up, and steps of the exact part, before the answer is only "best found".
const MOST_STATES: usize = 300_000;
const MOST_STEPS: u64 = 30_000_000;
/// What the credit search of one state counts, in steps.
const STEPS_A_STATE: u64 = 15_000;
/// Rounds of the credit search in one state.
const ROUNDS: usize = 60;

/// The cheapest baskets that meet every need that can be met.
pub fn cheapest(request: &Request) -> Result<Basket, RequestError> {
    request.check()?;
    let model = Model::new(request);
    let vendors: Vec<usize> = {
        let mut selling: BTreeMap<usize, usize> = BTreeMap::new();
        for choice in model.items.iter().flat_map(|i| &i.choices) {
            *selling.entry(choice.vendor).or_default() += 1;
        }
        let mut all: Vec<usize> = selling.keys().copied().collect();
        all.sort_by_key(|v| (Reverse(selling.get(v).copied()), *v));
        all
    };
    if vendors.len() > MOST_VENDORS {
        return Err(RequestError::Vendors(vendors.len()));
    }
    let mut search =
        Search { request, model: &model, vendors, least: BTreeMap::new(), best: None, steps: MOST_STEPS };
    let at_least = search.run();
    Ok(search.answer(at_least))
}

struct Search<'a> {
    request: &'a Request,
    model: &'a Model,
    /// Vendors that sell something usable, in the order they are settled.
    vendors: Vec<usize>,
    /// Least cents of an item from a set of vendors.
    least: BTreeMap<(usize, u64), i64>,
    best: Option<(i64, Counts)>,
    steps: u64,
}

/// A state with the first few vendors settled; at the end with its credits.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Open {
    /// 1024ths of a cent.
    bound: Reverse<i64>,
    settled: usize,
    number: Reverse<usize>,
    /// Tier of each settled vendor.
    tiers: Vec<Option<usize>>,
    /// Cents above the bound that are searched next.
    window: i64,
    /// Bound by the credits alone, and the credits.
    credit: Option<(i64, Vec<i64>)>,
}

impl Search<'_> {
    fn below(&self) -> i64 {
        self.best.as_ref().map_or(NEVER / FULL, |(total, _)| *total)
    }

    /// Runs to the proof or the limit; gives a lower bound in cents where it was cut short.
    fn run(&mut self) -> Option<i64> {
        let mut heap = BinaryHeap::new();
        let mut number = 0;
        let mut cut: Option<i64> = None;
        heap.push(Open {
            window: 0,
            bound: Reverse(0),
            settled: 0,
            number: Reverse(0),
            tiers: Vec::new(),
            credit: None,
        });
        while let Some(open) = heap.pop() {
            if open.bound.0 > (self.below() - 1).saturating_mul(FULL) {
                break;
            }
            if number > MOST_STATES || self.steps == 0 {
                cut = Some(cut.map_or(open.bound.0, |c| c.min(open.bound.0)));
                break;
            }
            if let Some((bound, credit)) = &open.credit {
                let mut state = State::new(self.model, self.used(&open.tiers));
                // Nothing cheaper than this is looked for yet, so that a state far from its bound costs little.
                let target = cents_up(open.bound.0).saturating_add(open.window).min(self.below());
                let mut found = Vec::new();
                let whole = state.settle(credit, *bound, target, &mut self.steps, &mut found);
                if !whole || state.too_many {
                    cut = Some(cut.map_or(open.bound.0, |c| c.min(open.bound.0)));
                }
                let again = whole && found.is_empty() && target < self.below();
                for counts in found {
                    self.offer(counts);
                }
                if again {
                    number += 1;
                    heap.push(Open {
                        bound: Reverse(target.saturating_mul(FULL)),
                        number: Reverse(number),
                        window: open.window * 2,
                        ..open
                    });
                }
                continue;
            }
            if open.settled == self.vendors.len() {
                let (bound, credit) = self.credits(&open.tiers);
                self.steps = self.steps.saturating_sub(STEPS_A_STATE);
                number += 1;
                let tiers = open.tiers;
                heap.push(Open {
                    bound: Reverse(bound.max(open.bound.0)),
                    settled: open.settled,
                    number: Reverse(number),
                    tiers,
                    window: 64,
                    credit: Some((bound, credit)),
                });
                continue;
            }
            let Some(&vendor) = self.vendors.get(open.settled) else { continue };
            for tier in self.ways(vendor) {
                let mut tiers = open.tiers.clone();
                tiers.push(tier);
                let bound = self.bound(&tiers);
                if bound <= (self.below() - 1).saturating_mul(FULL) {
                    number += 1;
                    heap.push(Open {
                        bound: Reverse(bound),
                        settled: open.settled + 1,
                        number: Reverse(number),
                        tiers,
                        window: 0,
                        credit: None,
                    });
                }
            }
        }
        cut.map(cents_up)
    }

    /// The ways to use a vendor; not using one that charges nothing is the same as ordering nothing.
    fn ways(&self, vendor: usize) -> Vec<Option<usize>> {
        let tiers = self.model.tiers.get(vendor).map(Vec::as_slice).unwrap_or_default();
        let free = tiers.iter().any(|t| t.low == 0 && t.fee == 0 && t.high.is_none());
        let mut ways: Vec<Option<usize>> = (0..tiers.len()).map(Some).collect();
        if !free {
            ways.push(None);
        }
        ways
    }

    fn tier(&self, vendor: usize, tier: Option<usize>) -> Option<Tier> {
        self.model.tiers.get(vendor)?.get(tier?).copied()
    }

    fn used(&self, tiers: &[Option<usize>]) -> Vec<Option<Tier>> {
        let mut used = vec![None; self.model.tiers.len()];
        for (&vendor, &tier) in self.vendors.iter().zip(tiers) {
            if let Some(slot) = used.get_mut(vendor) {
                *slot = self.tier(vendor, tier);
            }
        }
        used
    }

    /// Fees of the settled vendors and each item from its cheapest open vendors, in 1024ths.
    fn bound(&mut self, tiers: &[Option<usize>]) -> i64 {
        let mut open = 0_u64;
        let (mut fees, mut lows) = (0, 0);
        for (at, &vendor) in self.vendors.iter().enumerate() {
            match tiers.get(at) {
                Some(None) => {}
                Some(&tier) => {
                    let tier = self.tier(vendor, tier);
                    fees += tier.map_or(0, |t| t.fee);
                    lows += tier.map_or(0, |t| t.low);
                    open |= 1 << at;
                }
                None => open |= 1 << at,
            }
        }
        let mut goods = 0_i64;
        for item in 0..self.model.items.len() {
            goods = goods.saturating_add(self.least_of(item, open));
        }
        goods.max(lows).saturating_add(fees).min(NEVER / FULL).saturating_mul(FULL)
    }

    fn least_of(&mut self, at: usize, open: u64) -> i64 {
        let Some(item) = self.model.items.get(at) else { return 0 };
        let place = |vendor: usize| self.vendors.iter().position(|v| *v == vendor);
        let sellers = item.choices.iter().filter_map(|c| place(c.vendor)).fold(0_u64, |m, p| m | 1 << p);
        if let Some(&known) = self.least.get(&(at, open & sellers)) {
            return known;
        }
        let least = CoverTable::new(item, |c| {
            let choice = item.choices.get(c)?;
            place(choice.vendor).is_some_and(|p| open & (1 << p) != 0).then_some(choice.price)
        })
        .least();
        self.least.insert((at, open & sellers), least);
        least
    }

    /// The best credits found for a state with the bound they give; every cover met on the way is a candidate.
    fn credits(&mut self, tiers: &[Option<usize>]) -> (i64, Vec<i64>) {
        let mut state = State::new(self.model, self.used(tiers));
        let mut credit = vec![0_i64; self.model.tiers.len()];
        let (mut best, mut best_credit) = (i64::MIN, credit.clone());
        let (mut pace, mut stuck) = (1.0_f64, 0);
        for _ in 0..ROUNDS {
            let mut value = state.fees() * FULL;
            let mut counts: Counts = Vec::new();
            for item in &self.model.items {
                let table = state.table(item, &credit);
                value = value.saturating_add(table.least()).min(NEVER);
                counts.push(table.one());
            }
            if value >= NEVER || counts.iter().any(Vec::is_empty) {
                return (NEVER, credit);
            }
            let mut slope = Vec::new();
            for &v in &state.bound {
                let (Some(tier), Some(&c)) = (state.tier(v), credit.get(v)) else { continue };
                value += tier.owed(c, 0);
                slope.push((v, tier.slope(c, spent_at(self.model, &counts, v))));
            }
            if value > best {
                (best, stuck) = (value, 0);
                best_credit.clone_from(&credit);
            } else {
                stuck += 1;
                if stuck % 4 == 0 {
                    pace /= 2.0;
                }
            }
            if state.fill(&mut counts).is_some() {
                self.offer(counts);
            }
            let length: f64 = slope.iter().map(|(_, g)| (*g as f64).powi(2)).sum();
            let room = (self.below().saturating_mul(FULL) - value) as f64;
            if best > (self.below() - 1).saturating_mul(FULL) || length == 0.0 || pace < 0.01 {
                break;
            }
            let mut moved = false;
            for (v, g) in slope {
                let step = (pace * room.min(value.max(1) as f64) * g as f64 / length).round() as i64;
                let least = if state.tier(v).is_some_and(|t| t.high.is_some()) { -FULL } else { 0 };
                if let Some(c) = credit.get_mut(v) {
                    let next = (*c + step).clamp(least, FULL);
                    moved |= next != *c;
                    *c = next;
                }
            }
            if !moved {
                break;
            }
        }
        (best, best_credit)
    }

    /// Keeps a plan that is cheaper than the one in hand.
    fn offer(&mut self, counts: Counts) {
        let total = charge(self.request, self.model, &counts)
            .map(|bill| bill.iter().map(|t| t.goods.cents() + t.shipping.cents()).sum::<i64>());
        if total.is_some_and(|t| t < self.below()) {
            self.best = total.map(|t| (t, counts));
        }
    }

    fn answer(self, cut: Option<i64>) -> Basket {
        let mut missing = self.model.missing.clone();
        if self.best.is_none() {
            // The search was cut short before any basket: nothing is claimed to be met.
            let told: Vec<usize> = missing.iter().map(|m| m.need).collect();
            let rest = (0..self.request.needs.len()).filter(|n| !told.contains(n));
            missing.extend(rest.map(|need| Missing { need, reason: MissingReason::NotEnough }));
        }
        let counts = self.best.map(|(_, counts)| counts).unwrap_or_default();
        let mut lines: Vec<Line> = self
            .model
            .items
            .iter()
            .zip(&counts)
            .flat_map(|(item, counts)| item.choices.iter().zip(counts))
            .filter(|(_, packs)| **packs > 0)
            .map(|(choice, packs)| Line { offer: choice.offer, packs: *packs as u64 })
            .collect();
        lines.sort_by_key(|l| l.offer);
        let vendors = charge(self.request, self.model, &counts).unwrap_or_default();
        let sum =
            |f: fn(&VendorTotal) -> Money| Money::from_cents(vendors.iter().map(|v| f(v).cents()).sum());
        let (goods, shipping) = (sum(|v| v.goods), sum(|v| v.shipping));
        let total = Money::from_cents(goods.cents() + shipping.cents());
        let proof = match cut {
            Some(bound) if bound < total.cents() => Proof::BestFound { at_least: Money::from_cents(bound) },
            _ => Proof::Proven,
        };
        Basket { lines, vendors, goods, shipping, total, missing, proof }
    }
}

/// Whole cents at or above a bound in 1024ths.
fn cents_up(bound: i64) -> i64 {
    bound.div_euclid(FULL) + i64::from(bound.rem_euclid(FULL) > 0)
}

fn spent_at(model: &Model, counts: &Counts, vendor: usize) -> i64 {
    let packs = model.items.iter().zip(counts).flat_map(|(item, counts)| item.choices.iter().zip(counts));
    packs.filter(|(c, _)| c.vendor == vendor).map(|(c, n)| c.price * *n as i64).sum()
}

/// What each vendor charges by the request's own words; nothing where one would not take the order.
fn charge(request: &Request, model: &Model, counts: &Counts) -> Option<Vec<VendorTotal>> {
    let mut out = Vec::new();
    for (at, vendor) in request.vendors.iter().enumerate() {
        let packs = model.items.iter().zip(counts).flat_map(|(item, counts)| item.choices.iter().zip(counts));
        if packs.filter(|(c, n)| c.vendor == at && **n > 0).count() == 0 {
            continue;
        }
        let goods = spent_at(model, counts, at);
        if goods < vendor.min_order.cents() {
            return None;
        }
        let tier = vendor.shipping.iter().filter(|t| t.from.cents() <= goods).max_by_key(|t| t.from);
        let shipping = tier.map_or(Money::default(), |t| t.fee);
        out.push(VendorTotal { vendor: at, goods: Money::from_cents(goods), shipping });
    }
    Some(out)
}

#[cfg(test)]
#[path = "search_tests.rs"]
mod tests;
