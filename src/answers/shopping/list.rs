//! Needs put to the offers: the least-cost basket, within a budget or of fewer vendors where asked.

use std::collections::BTreeSet;

use chrono::{Duration, NaiveDate};

use crate::answers::Outlook;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::shopping::Wanted;
use crate::answers::shopping::needs::wanted;
use crate::buying::{
    Basket, Delivery, Missing, MissingReason, Need, Offer, Request, ShippingTier, TransitDays, Vendor,
    cheapest, order_by as last_day, within_budget,
};
use crate::domain::VendorId;
use crate::planner::Plan;
use crate::units::Money;

/// What is tried without touching facts.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BuyChoice {
    /// No more than this, least worth left out first.
    pub budget: Option<Money>,
    /// Only vendors nearby.
    pub local: bool,
    /// Codes or names of what is done without.
    pub without: Vec<String>,
    /// Codes of vendors that are closed.
    pub close: Vec<String>,
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
    /// Places in `wanted` of what the budget does not reach.
    pub left_out: Vec<usize>,
    /// Why no basket could be made, where none could.
    pub refused: Option<String>,
}

/// The least-cost baskets for everything that has an offer.
///
/// # Errors
/// `no-item`, `no-vendor` where the choice names something that is not there.
pub(crate) fn shopping(
    outlook: &Outlook,
    plan: Option<&Plan>,
    choice: &BuyChoice,
) -> Result<Shopping, Problem> {
    let wanted = chosen(outlook, wanted(outlook, plan), choice)?;
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
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
    let shut = |code: &str| choice.close.iter().any(|c| c.eq_ignore_ascii_case(code));
    let open: Vec<_> = outlook
        .yard
        .vendors
        .iter()
        .filter(|v| !v.closed && !shut(&v.code) && (v.local || !choice.local))
        .collect();
    let mut vendors = Vec::new();
    let mut offers = Vec::new();
    for v in open {
        for day in order_days_at(outlook, v, today) {
            // An order on a later day, once a sale is open, is an order of its own with its own fee.
            let id = order_id(v.id, day, today);
            vendors.push(Vendor { id: id.clone(), ..vendor(outlook, v) });
            let wait = (day - today).num_days();
            let on_sale = |o: &&crate::domain::Offer| {
                o.sale_from.is_none_or(|d| d <= day) && o.sale_to.is_none_or(|d| d >= day)
            };
            let its = outlook.yard.offers.iter().filter(|o| o.vendor_id == v.id);
            offers.extend(its.filter(on_sale).map(|o| Offer {
                vendor: id.clone(),
                item: o.product_id.to_string(),
                pack: u32::try_from(o.pack).unwrap_or(1),
                price: o.price_cents,
                lead_days: u32::try_from(wait + lead_days(outlook, o)).unwrap_or(0),
                min_packs: u32::try_from(o.min_packs).unwrap_or(1),
                max_packs: o.max_packs.and_then(|m| u32::try_from(m).ok()),
            }));
        }
    }
    let request = Request { order_date: today, needs, vendors, offers };
    let mut left_out = Vec::new();
    let found = match choice.budget {
        None => cheapest(&request),
        Some(budget) => {
            let worth: Vec<u32> = of_need.iter().map(|at| wanted.get(*at).map_or(0, |w| w.worth)).collect();
            within_budget(&request, &worth, budget).map(|answer| {
                left_out = answer.left_out.iter().filter_map(|n| of_need.get(*n).copied()).collect();
                answer.basket
            })
        }
    };
    let (basket, refused) = match found {
        Ok(basket) => (Some(basket), None),
        Err(error) => (None, Some(error.to_string())),
    };
    Ok(Shopping { wanted, request, of_need, basket, left_out, refused })
}

/// Leaves out what is done without, and refuses names that are not there.
pub(crate) fn chosen(
    outlook: &Outlook,
    mut wanted: Vec<Wanted>,
    choice: &BuyChoice,
) -> Result<Vec<Wanted>, Problem> {
    for code in &choice.close {
        if !outlook.yard.vendors.iter().any(|v| v.code.eq_ignore_ascii_case(code)) {
            let known: Vec<&str> = outlook.yard.vendors.iter().map(|v| v.code.as_str()).collect();
            return Err(Problem::new(ProblemKind::Data, "no-vendor", format!("there is no vendor {code:?}"))
                .hint(known.join(", ")));
        }
    }
    for item in &choice.without {
        let before = wanted.len();
        wanted.retain(|w| {
            let product = outlook.yard.products.iter().find(|p| Some(p.id) == w.product);
            !(w.title.eq_ignore_ascii_case(item)
                || product.is_some_and(|p| p.code.eq_ignore_ascii_case(item)))
        });
        if wanted.len() == before {
            return Err(Problem::new(ProblemKind::Data, "no-item", format!("{item:?} is not on the list"))
                .hint("ladderday buy shows what is"));
        }
    }
    Ok(wanted)
}

/// Today, and each later day on which a sale of a vendor begins.
fn order_days_at(outlook: &Outlook, v: &crate::domain::Vendor, today: NaiveDate) -> BTreeSet<NaiveDate> {
    let own = outlook.yard.offers.iter().filter(|o| o.vendor_id == v.id);
    let later = own.filter_map(|o| o.sale_from).filter(|d| *d > today);
    std::iter::once(today).chain(later).collect()
}

pub(crate) fn vendor(outlook: &Outlook, v: &crate::domain::Vendor) -> Vendor {
    let mut tiers: Vec<ShippingTier> = outlook
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
pub(crate) fn lead_days(outlook: &Outlook, o: &crate::domain::Offer) -> i64 {
    let vendor = outlook.yard.vendors.iter().find(|v| v.id == o.vendor_id);
    let road = outlook
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
pub(crate) fn order_by(outlook: &Outlook, o: &crate::domain::Offer, need_by: NaiveDate) -> Option<NaiveDate> {
    let vendor = outlook.yard.vendors.iter().find(|v| v.id == o.vendor_id)?;
    let road = outlook
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
    last_day(need_by, 0, delivery, &BTreeSet::new()).map(|o| o.order_by)
}

/// Needs that no open offer can meet in time any more.
pub(crate) fn late_needs(outlook: &Outlook, plan: Option<&Plan>) -> usize {
    shopping(outlook, plan, &BuyChoice::default()).ok().and_then(|s| s.basket).map_or(0, |b| {
        b.missing.iter().filter(|m| matches!(m.reason, MissingReason::AllTooLate { .. })).count()
    })
}

/// The name of an order at a vendor: by its id, with its day where that is later than today.
fn order_id(vendor: VendorId, day: NaiveDate, today: NaiveDate) -> String {
    if day == today { vendor.to_string() } else { format!("{vendor}@{day}") }
}

/// The vendor of an order, and the day before which it can't be placed.
pub(crate) fn order_parts(id: &str) -> (&str, Option<NaiveDate>) {
    id.split_once('@').map_or((id, None), |(vendor, day)| (vendor, day.parse().ok()))
}

/// Why a need is not met, in words, with what to do.
pub(crate) fn missing_words(missing: &Missing, need_by: Option<NaiveDate>) -> String {
    match missing.reason {
        MissingReason::NoOffer => "no offer is known: add one, or buy it nearby".to_owned(),
        MissingReason::AllTooLate { soonest } => {
            let needed = need_by.map_or_else(String::new, |d| format!(", needed {}", d.format("%-d %b %Y")));
            format!(
                "every offer arrives too late: would arrive {}{needed}; find it nearby, or move the step",
                soonest.format("%-d %b %Y")
            )
        }
        MissingReason::NotEnough => {
            "the vendors together don't sell that many: find another offer".to_owned()
        }
    }
}
