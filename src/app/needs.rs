//! What next year needs, gathered from the record, with its reasons and the day it must be there.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Duration, NaiveDate};

use super::owner::App;
use crate::buying::{
    Basket, Delivery, Missing, MissingReason, Need, Offer, Request, ShippingTier, TransitDays, Vendor,
    cheapest, order_by,
};
use crate::domain::{Condition, NeedReason, Phase, PlacementId, ProductId, RepairDeed};
use crate::planner::Plan;
use crate::steps::{Facts, State, on_hand};
use crate::units::Money;

/// Days before its first use by which a bought thing is to be there: it is tested on the bench first.
const BENCH_DAYS: i64 = 7;
/// Where no step says when: so long before lights on.
const BEFORE_LIGHTS_ON_DAYS: i64 = 28;

/// One thing to buy, all its reasons together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// Nothing where it is only told in words: then no offer is known.
    pub product: Option<ProductId>,
    pub title: String,
    pub quantity: i64,
    pub need_by: Option<NaiveDate>,
    pub reasons: Vec<String>,
}

/// What to order where, and what no offer meets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shopping {
    pub wanted: Vec<Wanted>,
    /// The request behind the basket: its needs are those of `wanted` that have a product.
    pub request: Request,
    /// For each need of the request, its place in `wanted`.
    pub of_need: Vec<usize>,
    pub basket: Option<Basket>,
    /// Why no basket could be made, where none could.
    pub refused: Option<String>,
}

impl App {
    /// Everything needed, sorted by the day it is needed and its name.
    pub fn wanted(&self, plan: Option<&Plan>) -> Vec<Wanted> {
        let facts = Facts::new(&self.yard);
        let season = self.season_for(Phase::Up).ok();
        let today = self.now().with_timezone(&self.zone()).date_naive();
        let default_by = season
            .and_then(|s| s.lights_on)
            .map(|t| t.date() - Duration::days(BEFORE_LIGHTS_ON_DAYS))
            .filter(|d| *d > today);
        let first_use = self.first_use(plan);
        let by_product = |id: ProductId| first_use.get(&id).copied().or(default_by);
        let mut by: BTreeMap<(Option<ProductId>, String), Wanted> = BTreeMap::new();
        let mut add =
            |product: Option<ProductId>, title: String, n: i64, by_day: Option<NaiveDate>, reason: String| {
                if n <= 0 {
                    return;
                }
                let key = (product, if product.is_some() { String::new() } else { title.clone() });
                let row = by.entry(key).or_insert_with(|| Wanted {
                    product,
                    title,
                    quantity: 0,
                    need_by: None,
                    reasons: Vec::new(),
                });
                row.quantity += n;
                row.need_by = match (row.need_by, by_day) {
                    (Some(a), Some(b)) => Some(a.min(b)),
                    (a, b) => a.or(b),
                };
                row.reasons.push(reason);
            };
        let name = |id: ProductId| facts.product(id).map_or_else(String::new, |p| p.name.clone());
        let told_for: BTreeSet<_> = self.yard.needs.iter().filter_map(|n| n.fault_id).collect();
        for n in self.yard.needs.iter().filter(|n| n.met_on.is_none()) {
            let day = n.need_by.or(n.product_id.map_or(default_by, by_product));
            let reason = match n.reason {
                NeedReason::Noted => "noted".to_owned(),
                r => r.as_str().replace('_', " "),
            };
            let reason = if n.note.is_empty() { reason } else { format!("{reason}: {}", n.note) };
            let title = n.product_id.map_or_else(|| n.title.clone(), name);
            add(n.product_id, title, n.quantity, day, reason);
        }
        for f in self.yard.faults.iter().filter(|f| !told_for.contains(&f.id)) {
            // In the dark only the prop was named: one of its pieces then.
            let product = match f.piece_id.and_then(|p| facts.piece(p)) {
                Some(piece) => Some(piece.product_id),
                None => f
                    .placement_id
                    .and_then(|p| facts.placement(p))
                    .and_then(|p| facts.product_of(p))
                    .map(|p| p.id),
            };
            let Some(product) = product else { continue };
            let entries = facts.repairs(f.id);
            let last = facts.fault_stands(f.id);
            let what = self.target_name(f.piece_id, f.placement_id);
            let part = entries.iter().rev().find_map(|e| e.part_id);
            match last {
                Some(RepairDeed::Scrapped) if self.recent(f.found_ms.0) => {
                    add(
                        Some(product),
                        name(product),
                        1,
                        by_product(product),
                        format!("scrapped: {what}, {}", f.code),
                    );
                }
                Some(RepairDeed::WaitingPart) => {
                    let id = part.unwrap_or(product);
                    add(
                        Some(id),
                        name(id),
                        1,
                        by_product(product),
                        format!("repair waits: {what}, {}", f.code),
                    );
                }
                Some(RepairDeed::Mended | RepairDeed::Tested | RepairDeed::Replaced) => {}
                _ if facts.fault_over(f) => {}
                _ => {
                    let id = part.unwrap_or(product);
                    let symptom = Self::symptom_words(f);
                    add(
                        Some(id),
                        name(id),
                        1,
                        by_product(product),
                        format!("repair: {what}, {symptom}, {}", f.code),
                    );
                }
            }
        }
        for p in self.yard.pieces.iter().filter(|p| p.condition == Condition::Lost) {
            let told = self
                .yard
                .needs
                .iter()
                .any(|n| n.product_id == Some(p.product_id) && n.reason == NeedReason::Lost);
            if !told {
                add(
                    Some(p.product_id),
                    name(p.product_id),
                    1,
                    by_product(p.product_id),
                    format!("lost: {}", p.code),
                );
            }
        }
        for (product, n) in self.shortfall(&facts, plan) {
            let p = name(product);
            add(
                Some(product),
                p,
                n,
                by_product(product).or(default_by),
                "used by this plan, not on hand".to_owned(),
            );
        }
        for p in self.yard.placements.iter().filter(|p| p.wished) {
            if let Some(product) = p.product_id {
                add(Some(product), name(product), p.count, default_by, format!("new build: {}", p.name));
            }
        }
        let mut list: Vec<Wanted> = by.into_values().collect();
        list.sort_by(|a, b| {
            (a.need_by.is_none(), a.need_by, &a.title).cmp(&(b.need_by.is_none(), b.need_by, &b.title))
        });
        list
    }

    /// A scrapped piece of the last two years is missed; an older one was done without.
    fn recent(&self, ms: i64) -> bool {
        self.now_ms() - ms < 2 * 365 * 86_400_000
    }

    /// Consumables that the open steps of a plan use, less what is on hand and usable.
    pub(super) fn shortfall(&self, facts: &Facts, plan: Option<&Plan>) -> Vec<(ProductId, i64)> {
        let mut use_of: BTreeMap<ProductId, i64> = BTreeMap::new();
        for p in plan.iter().flat_map(|p| &p.steps).filter(|p| p.state == State::Open) {
            let Some(placement) = p.step.placement.and_then(|id| facts.placement(id)) else { continue };
            let uses = self.yard.recipe_uses.iter().filter(|u| {
                self.yard
                    .recipe_steps
                    .iter()
                    .any(|r| r.id == u.recipe_step_id && r.code == p.step.recipe_step)
            });
            for u in uses {
                let metres = placement.length_mm.map_or(0, |l| (l.mm() + 999) / 1000);
                *use_of.entry(u.product_id).or_default() +=
                    u.per_placement + u.per_piece * placement.count + u.per_metre * metres;
            }
        }
        let last_use = self.season_for(Phase::Up).ok().and_then(|s| s.lights_on).map(|t| t.date());
        use_of
            .into_iter()
            .filter_map(|(product, wanted)| {
                let usable = self.yard.stock.iter().filter(|s| {
                    s.product_id == product
                        && !s.frozen
                        && s.use_by.is_none_or(|d| last_use.is_none_or(|l| d >= l))
                });
                let have: i64 = usable.map(|s| on_hand(&self.yard, s.id)).sum();
                (wanted > have).then_some((product, wanted - have))
            })
            .collect()
    }

    /// The day before which each product's first step begins, less time on the bench.
    fn first_use(&self, plan: Option<&Plan>) -> BTreeMap<ProductId, NaiveDate> {
        let Some(plan) = plan else { return BTreeMap::new() };
        let facts = Facts::new(&self.yard);
        let mut first: BTreeMap<PlacementId, NaiveDate> = BTreeMap::new();
        for p in plan.steps.iter().filter(|p| p.state == State::Open) {
            if let (Some(placement), Some(from)) = (p.step.placement, p.from) {
                let day = from.with_timezone(&plan.zone).date_naive();
                let e = first.entry(placement).or_insert(day);
                *e = (*e).min(day);
            }
        }
        let mut by: BTreeMap<ProductId, NaiveDate> = BTreeMap::new();
        for (placement, day) in first {
            let Some(product) = facts.placement(placement).and_then(|p| facts.product_of(p)) else {
                continue;
            };
            let day = day - Duration::days(BENCH_DAYS);
            let e = by.entry(product.id).or_insert(day);
            *e = (*e).min(day);
        }
        by
    }

    /// The least-cost baskets for everything that has an offer.
    pub fn shopping(&self, plan: Option<&Plan>) -> Shopping {
        let wanted = self.wanted(plan);
        let today = self.now().with_timezone(&self.zone()).date_naive();
        let mut needs = Vec::new();
        let mut of_need = Vec::new();
        for (i, w) in wanted.iter().enumerate() {
            if let Some(product) = w.product {
                needs.push(Need {
                    item: product.to_string(),
                    quantity: u32::try_from(w.quantity).unwrap_or(u32::MAX),
                    // No day told: within the year.
                    need_by: w.need_by.unwrap_or(today + Duration::days(365)),
                });
                of_need.push(i);
            }
        }
        let open: Vec<_> = self.yard.vendors.iter().filter(|v| !v.closed).collect();
        let vendors = open.iter().map(|v| self.vendor(v)).collect();
        let offers = self
            .yard
            .offers
            .iter()
            .filter(|o| open.iter().any(|v| v.id == o.vendor_id))
            .filter(|o| o.sale_from.is_none_or(|d| d <= today) && o.sale_to.is_none_or(|d| d >= today))
            .map(|o| Offer {
                vendor: o.vendor_id.to_string(),
                item: o.product_id.to_string(),
                pack: u32::try_from(o.pack).unwrap_or(1),
                price: o.price_cents,
                lead_days: u32::try_from(self.lead_days(o)).unwrap_or(0),
                min_packs: u32::try_from(o.min_packs).unwrap_or(1),
                max_packs: o.max_packs.and_then(|m| u32::try_from(m).ok()),
            })
            .collect();
        let request = Request { order_date: today, needs, vendors, offers };
        let (basket, refused) = match cheapest(&request) {
            Ok(basket) => (Some(basket), None),
            Err(error) => (None, Some(error.to_string())),
        };
        Shopping { wanted, request, of_need, basket, refused }
    }

    fn vendor(&self, v: &crate::domain::Vendor) -> Vendor {
        let mut tiers: Vec<ShippingTier> = self
            .yard
            .shipping_tiers
            .iter()
            .filter(|t| t.vendor_id == v.id)
            .map(|t| ShippingTier { from: t.from_subtotal_cents, fee: t.fee_cents })
            .collect();
        if v.local && tiers.is_empty() {
            // Fetching it oneself costs the trip, whatever is bought.
            tiers.push(ShippingTier { from: Money::default(), fee: v.trip_cents });
        }
        tiers.sort_by_key(|t| t.from);
        Vendor { id: v.id.to_string(), shipping: tiers, min_order: v.min_order_cents }
    }

    /// Days from order to arrival: making, handling and the road.
    fn lead_days(&self, o: &crate::domain::Offer) -> i64 {
        let vendor = self.yard.vendors.iter().find(|v| v.id == o.vendor_id);
        let road = self
            .yard
            .shipping_tiers
            .iter()
            .filter(|t| t.vendor_id == o.vendor_id)
            .map(|t| t.transit_days)
            .max();
        // Handling is told in business days: a weekend may lie between.
        let handling = vendor.map_or(0, |v| v.handling_days);
        o.lead_days + handling + 2 * ((handling + 4) / 5) + road.unwrap_or(0)
    }

    /// The last day to order from a vendor's offer so that it is there in time.
    pub(super) fn order_by(&self, o: &crate::domain::Offer, need_by: NaiveDate) -> Option<NaiveDate> {
        let vendor = self.yard.vendors.iter().find(|v| v.id == o.vendor_id)?;
        let road = self
            .yard
            .shipping_tiers
            .iter()
            .filter(|t| t.vendor_id == o.vendor_id)
            .map(|t| t.transit_days)
            .max();
        let days = |n: i64| u32::try_from(n).unwrap_or(0);
        let delivery = Delivery {
            handling: days(vendor.handling_days),
            transit: TransitDays::Calendar(days(o.lead_days + road.unwrap_or(0))),
        };
        order_by(need_by, 0, delivery, &BTreeSet::new()).map(|o| o.order_by)
    }

    /// Needs that no open offer can meet in time any more.
    pub(super) fn late_needs(&self, plan: Option<&Plan>) -> usize {
        self.shopping(plan).basket.map_or(0, |b| {
            b.missing.iter().filter(|m| matches!(m.reason, MissingReason::AllTooLate { .. })).count()
        })
    }
}

/// Why a need is not met, in words, with what to do.
pub(super) fn missing_words(missing: &Missing) -> String {
    match missing.reason {
        MissingReason::NoOffer => "no offer is known: add one, or buy it nearby".to_owned(),
        MissingReason::AllTooLate { soonest } => {
            format!(
                "every offer arrives too late, the soonest {}: find it nearby, or move the step",
                soonest.format("%-d %b %Y")
            )
        }
        MissingReason::NotEnough => {
            "the vendors together don't sell that many: find another offer".to_owned()
        }
    }
}
