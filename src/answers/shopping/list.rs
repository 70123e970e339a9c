//! Needs put to the offers: the least-cost basket, within a budget or of fewer vendors where asked.

use std::collections::BTreeSet;

use chrono::{Duration, NaiveDate};

use crate::answers::Outlook;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::shopping::Wanted;
use crate::answers::shopping::needs::wanted;
use crate::answers::shopping::ordered::to_come;
use crate::answers::words::say_date;
use crate::buying::{
    Basket, Delivery, Line, Missing, MissingReason, Need, Offer, Request, ShippingTier, TransitDays, Vendor,
    arrival, cheapest, order_by as last_day, within_budget,
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
    /// Places in `wanted` of what no offer brings in time, with the day the soonest would come: ordered all the same.
    pub late: Vec<(usize, NaiveDate)>,
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
    let mut wanted = chosen(outlook, wanted(outlook, plan), choice)?;
    let first = basket_of(outlook, &wanted, choice);
    // What is late is not ordered twice: an order that comes no later than the soonest offer stands.
    if !covered(outlook, &mut wanted, &first.late) {
        return Ok(Shopping { wanted, ..first });
    }
    let again = basket_of(outlook, &wanted, choice);
    Ok(Shopping { wanted, ..again })
}

/// Takes off what is late and on order all the same; whether there was any.
fn covered(outlook: &Outlook, wanted: &mut Vec<Wanted>, late: &[(usize, NaiveDate)]) -> bool {
    let mut any = false;
    for (at, soonest) in late {
        let Some(row) = wanted.get_mut(*at) else { continue };
        for (coming, order) in row.product.into_iter().flat_map(|id| to_come(outlook, id)) {
            let Some(on) = order.expected_on else { continue };
            // What comes in time was taken off before.
            if on <= *soonest && row.need_by.is_some_and(|d| on > d) {
                row.quantity -= coming;
                row.reasons.push(format!(
                    "{coming} on order ({}, expected {on}): late, nothing comes sooner",
                    order.code
                ));
                any = true;
            }
        }
    }
    wanted.retain(|w| w.quantity > 0);
    any
}

/// The least-cost basket for what is wanted; `wanted` itself is left to the caller.
fn basket_of(outlook: &Outlook, wanted: &[Wanted], choice: &BuyChoice) -> Shopping {
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
            let on_sale = |o: &&crate::domain::Offer| {
                o.sale_from.is_none_or(|d| d <= day) && o.sale_to.is_none_or(|d| d >= day)
            };
            let its = outlook.yard.offers.iter().filter(|o| o.vendor_id == v.id);
            offers.extend(its.filter(on_sale).map(|o| Offer {
                vendor: id.clone(),
                item: o.product_id.to_string(),
                pack: u32::try_from(o.pack).unwrap_or(1),
                price: o.price_cents,
                lead_days: u32::try_from((arrives(outlook, o, day) - today).num_days()).unwrap_or(0),
                min_packs: u32::try_from(o.min_packs).unwrap_or(1),
                max_packs: o.max_packs.and_then(|m| u32::try_from(m).ok()),
            }));
        }
    }
    let mut request = Request { order_date: today, needs, vendors, offers };
    let mut left_out = Vec::new();
    let worth: Vec<u32> = of_need.iter().map(|at| wanted.get(*at).map_or(0, |w| w.worth)).collect();
    let mut solve = |request: &Request| match choice.budget {
        None => cheapest(request),
        Some(budget) => within_budget(request, &worth, budget).map(|answer| {
            left_out = answer.left_out.iter().filter_map(|n| of_need.get(*n).copied()).collect();
            answer.basket
        }),
    };
    let mut found = solve(&request);
    let mut late = Vec::new();
    for missing in found.iter().flat_map(|b| &b.missing) {
        if let (MissingReason::AllTooLate { soonest }, Some(need)) =
            (missing.reason, request.needs.get_mut(missing.need))
        {
            need.need_by = soonest;
            late.extend(of_need.get(missing.need).map(|at| (*at, soonest)));
        }
    }
    if !late.is_empty() {
        found = solve(&request);
    }
    let (basket, refused) = match found {
        Ok(basket) => (Some(ordered_today(&request, basket)), None),
        Err(error) => (None, Some(error.to_string())),
    };
    Shopping { wanted: Vec::new(), request, of_need, basket, late, left_out, refused }
}

/// An order on the day of a sale that takes nothing of the sale is placed today: it costs the same and comes sooner.
fn ordered_today(request: &Request, mut basket: Basket) -> Basket {
    for n in 0..basket.vendors.len() {
        let Some(later) = basket.vendors.get(n).map(|t| t.vendor) else { continue };
        let later_id = request.vendors.get(later).map_or("", |v| v.id.as_str());
        let (today_id, Some(_)) = order_parts(later_id) else { continue };
        let today = request.vendors.iter().position(|v| v.id == today_id);
        let Some(today) = today.filter(|t| !basket.vendors.iter().any(|x| x.vendor == *t)) else { continue };
        let now = |at: usize| {
            let offer = request.offers.get(at)?;
            let same = Offer { vendor: today_id.to_owned(), lead_days: 0, ..offer.clone() };
            request.offers.iter().position(|o| Offer { lead_days: 0, ..o.clone() } == same)
        };
        let of_later = |at: usize| request.offers.get(at).is_some_and(|o| o.vendor == later_id);
        let moved: Option<Vec<_>> = basket
            .lines
            .iter()
            .map(|l| Some(Line { offer: if of_later(l.offer) { now(l.offer)? } else { l.offer }, ..*l }))
            .collect();
        let Some(lines) = moved else { continue };
        basket.lines = lines;
        if let Some(total) = basket.vendors.get_mut(n) {
            total.vendor = today;
        }
    }
    basket.lines.sort_by_key(|l| l.offer);
    basket.vendors.sort_by_key(|t| t.vendor);
    basket
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

/// How a vendor sends what is ready: handling in business days, the slowest of its ways in days of the calendar.
fn delivery(outlook: &Outlook, o: &crate::domain::Offer) -> Delivery {
    let days = |n: i64| u32::try_from(n).unwrap_or(0);
    let vendor = outlook.yard.vendors.iter().find(|v| v.id == o.vendor_id);
    let tiers = outlook.yard.shipping_tiers.iter().filter(|t| t.vendor_id == o.vendor_id);
    Delivery {
        handling: days(vendor.map_or(0, |v| v.handling_days)),
        transit: TransitDays::Calendar(days(tiers.map(|t| t.transit_days).max().unwrap_or(0))),
    }
}

/// The day on which what is ordered on a day arrives: it is made first, then packed and sent.
pub(crate) fn arrives(outlook: &Outlook, o: &crate::domain::Offer, ordered: NaiveDate) -> NaiveDate {
    let made = ordered + Duration::days(o.lead_days);
    arrival(made, delivery(outlook, o), &BTreeSet::new()).unwrap_or(NaiveDate::MAX)
}

/// The last day to order from a vendor's offer so that it is there in time.
pub(crate) fn order_by(outlook: &Outlook, o: &crate::domain::Offer, need_by: NaiveDate) -> Option<NaiveDate> {
    let made = last_day(need_by, 0, delivery(outlook, o), &BTreeSet::new())?.order_by;
    made.checked_sub_signed(Duration::days(o.lead_days))
}

/// Needs that no open offer can meet in time any more.
pub(crate) fn late_needs(outlook: &Outlook, plan: Option<&Plan>) -> usize {
    shopping(outlook, plan, &BuyChoice::default()).map_or(0, |s| s.late.len())
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
pub(crate) fn missing_words(outlook: &Outlook, missing: &Missing, of: Option<&Wanted>) -> String {
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let offers = outlook.yard.offers.iter().filter(|o| of.is_some_and(|w| w.product == Some(o.product_id)));
    let ended = offers.filter_map(|o| o.sale_to.filter(|d| *d < today)).max();
    match missing.reason {
        MissingReason::NoOffer if ended.is_some() => {
            let day = ended.map(say_date).unwrap_or_default();
            format!(
                "the offers that are known ended, the last on {day}: ask for the price of today and add it"
            )
        }
        MissingReason::NoOffer if of.is_some_and(|w| w.own_work) => {
            "made at home: no offer is known, add one for what it is made of".to_owned()
        }
        MissingReason::NoOffer => "no offer is known: add one, or buy it nearby".to_owned(),
        MissingReason::AllTooLate { soonest } => late_words(soonest, None, of),
        MissingReason::NotEnough => {
            "the vendors together don't sell that many: find another offer".to_owned()
        }
    }
}

/// "late: nearest is 1 Oct 2026 at Slow Boat, needed 20 Sep 2026; order it today, or move the step".
pub(crate) fn late_words(soonest: NaiveDate, vendor: Option<&str>, of: Option<&Wanted>) -> String {
    let day = |d: NaiveDate| d.format("%-d %b %Y").to_string();
    let needed = of.and_then(|w| w.need_by).map_or_else(String::new, |d| format!(", needed {}", day(d)));
    let at = vendor.map_or_else(String::new, |v| format!(" at {v}"));
    format!("late: nearest is {}{at}{needed}; order it today, find it nearby, or move the step", day(soonest))
}
