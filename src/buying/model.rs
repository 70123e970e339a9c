//! The request boiled down to numbers: items with the choices that arrive in time, vendors with their tiers.

use std::collections::BTreeMap;

use chrono::Days;

use super::request::{Missing, MissingReason, Request};

/// An offer that can be used for an item.
#[derive(Debug, Clone)]
pub(super) struct Choice {
    /// Place in the request's offers.
    pub(super) offer: usize,
    pub(super) vendor: usize,
    /// Pieces in a pack, in units of the item's `unit`.
    pub(super) pack: usize,
    /// Cents.
    pub(super) price: i64,
    /// First deadline that it meets; choices are sorted by it.
    pub(super) class: usize,
    pub(super) min: usize,
    pub(super) max: Option<usize>,
}

/// One item wanted, with what must have arrived by each deadline.
#[derive(Debug, Clone)]
pub(super) struct Item {
    /// Units needed by each deadline, all earlier needs included.
    pub(super) due: Vec<usize>,
    pub(super) choices: Vec<Choice>,
}

impl Item {
    /// Units needed in all.
    pub(super) fn total(&self) -> usize {
        self.due.last().copied().unwrap_or(0)
    }
}

/// How an order at a vendor may be charged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tier {
    /// The subtotal is at least this many cents,
    pub(super) low: i64,
    /// and at most that many, told only where a larger order would be charged more.
    pub(super) high: Option<i64>,
    pub(super) fee: i64,
}

impl Tier {
    /// What the bound adds for a subtotal so far: a credit is owed on what is missing to the lower end; a surcharge
    /// (a credit below zero) is owed on what passes the upper end, or is given back for what stays below it.
    pub(super) fn owed(self, credit: i64, subtotal: i64) -> i64 {
        match self.high {
            Some(high) if credit < 0 => credit.saturating_mul(high - subtotal),
            _ => credit.max(0).saturating_mul((self.low - subtotal).max(0)),
        }
    }

    /// By how much more the bound rises with the credit.
    pub(super) fn slope(self, credit: i64, subtotal: i64) -> i64 {
        match self.high {
            Some(high) if credit < 0 || (credit == 0 && subtotal > high) => high - subtotal,
            _ if credit > 0 || subtotal < self.low => self.low - subtotal,
            _ => 0,
        }
    }
}

#[derive(Debug, Clone)]
pub(super) struct Model {
    pub(super) items: Vec<Item>,
    /// The tiers of each vendor of the request.
    pub(super) tiers: Vec<Vec<Tier>>,
    pub(super) missing: Vec<Missing>,
}

impl Model {
    /// Boils down a checked request.
    pub(super) fn new(request: &Request) -> Self {
        let tiers = request.vendors.iter().map(tiers).collect();
        let places: BTreeMap<&str, usize> =
            request.vendors.iter().enumerate().map(|(at, v)| (v.id.as_str(), at)).collect();
        let mut wanted: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for (at, need) in request.needs.iter().enumerate().filter(|(_, n)| n.quantity > 0) {
            wanted.entry(&need.item).or_default().push(at);
        }
        let mut model = Self { items: Vec::new(), tiers, missing: Vec::new() };
        let mut closed = vec![false; request.vendors.len()];
        // Closing a vendor who can't be brought to the minimum order may leave another item short.
        loop {
            model.items.clear();
            model.missing.clear();
            for needs in wanted.values() {
                model.add(request, needs, &places, &closed);
            }
            let most = most_spent(&model.items, request.vendors.len());
            let before = closed.clone();
            for (at, vendor) in request.vendors.iter().enumerate() {
                let short = most.get(at).copied().flatten().is_some_and(|m| m < vendor.min_order.cents());
                if let Some(flag) = closed.get_mut(at) {
                    *flag |= short;
                }
            }
            if closed == before {
                model.missing.sort_by_key(|m| m.need);
                return model;
            }
        }
    }

    /// Adds the item of `needs`, leaving out the latest needs that can't be met.
    fn add(&mut self, request: &Request, needs: &[usize], places: &BTreeMap<&str, usize>, closed: &[bool]) {
        let mut needs: Vec<(usize, &super::Need)> =
            needs.iter().filter_map(|&at| request.needs.get(at).map(|n| (at, n))).collect();
        needs.sort_by_key(|(at, need)| (need.need_by, *at));
        let Some((_, first)) = needs.first().copied() else { return };
        let mut offers = Vec::new();
        for (at, offer) in request.offers.iter().enumerate().filter(|(_, o)| o.item == first.item) {
            let Some(&vendor) = places.get(offer.vendor.as_str()) else { continue };
            let Some(arrives) = request.order_date.checked_add_days(Days::new(u64::from(offer.lead_days)))
            else {
                continue;
            };
            offers.push((at, offer, vendor, arrives));
        }
        let mut kept: Vec<(usize, &super::Need)> = Vec::new();
        let mut due: Vec<u64> = Vec::new();
        for (at, need) in needs {
            let in_time = offers.iter().filter(|(.., arrives)| *arrives <= need.need_by);
            // Pieces to be had by this date; nothing where there is no cap.
            let capacity = in_time
                .clone()
                .filter(|(_, _, v, _)| closed.get(*v) == Some(&false))
                .try_fold(0_u64, |sum, (_, o, ..)| {
                    o.max_packs.map(|m| sum + u64::from(m) * u64::from(o.pack))
                });
            let so_far = due.last().copied().unwrap_or(0) + u64::from(need.quantity);
            if capacity.is_none_or(|c| c >= so_far) {
                kept.push((at, need));
                due.push(so_far);
                continue;
            }
            let reason = match offers.iter().map(|(.., arrives)| *arrives).min() {
                None => MissingReason::NoOffer,
                Some(soonest) if in_time.clone().next().is_none() => MissingReason::AllTooLate { soonest },
                Some(_) => MissingReason::NotEnough,
            };
            self.missing.push(Missing { need: at, reason });
        }
        if kept.is_empty() {
            return;
        }
        let unit = offers.iter().map(|(_, o, ..)| u64::from(o.pack)).fold(0, gcd).max(1);
        let mut choices = Vec::new();
        for (at, offer, vendor, arrives) in offers {
            let class = kept.iter().position(|(_, need)| arrives <= need.need_by);
            if let (Some(class), Some(false)) = (class, closed.get(vendor)) {
                choices.push(Choice {
                    offer: at,
                    vendor,
                    pack: (u64::from(offer.pack) / unit) as usize,
                    price: offer.price.cents(),
                    class,
                    min: offer.min_packs as usize,
                    max: offer.max_packs.map(|m| m as usize),
                });
            }
        }
        choices.sort_by_key(|c| (c.class, std::cmp::Reverse(c.pack), c.offer));
        let due = due.into_iter().map(|d| d.div_ceil(unit) as usize).collect();
        self.items.push(Item { due, choices });
    }
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// The most that can be spent at each vendor; nothing where there is no cap.
fn most_spent(items: &[Item], vendors: usize) -> Vec<Option<i64>> {
    let mut most = vec![Some(0_i64); vendors];
    for choice in items.iter().flat_map(|i| &i.choices) {
        if let Some(sum) = most.get_mut(choice.vendor) {
            *sum = match (*sum, choice.max) {
                (Some(s), Some(max)) => Some(s.saturating_add(choice.price.saturating_mul(max as i64))),
                (Some(s), None) if choice.price == 0 => Some(s),
                _ => None,
            };
        }
    }
    most
}

fn tiers(vendor: &super::Vendor) -> Vec<Tier> {
    let mut steps: Vec<(i64, i64)> =
        vendor.shipping.iter().map(|t| (t.from.cents(), t.fee.cents())).collect();
    steps.sort_unstable();
    if steps.is_empty() {
        steps.push((0, 0));
    }
    let minimum = vendor.min_order.cents();
    let mut out: Vec<Tier> = Vec::new();
    for (at, &(from, fee)) in steps.iter().enumerate() {
        let later = steps.get(at + 1..).unwrap_or_default();
        // A later step that charges no more makes the upper end of this one needless.
        let high = later.iter().find(|(_, f)| *f > fee).map(|(next, _)| next - 1);
        let low = from.max(minimum);
        if high.is_none_or(|h| h >= low) && later.first().is_none_or(|(next, _)| *next > minimum) {
            out.push(Tier { low, high, fee });
        }
    }
    // Where a tier asks more spending and charges as much or more, with no wider end, it is never better.
    let all = out.clone();
    out.retain(|t| {
        !all.iter().any(|o| {
            o != t
                && o.low <= t.low
                && o.fee <= t.fee
                && (o.high.is_none() || o.high >= t.high && t.high.is_some())
        })
    });
    out
}
