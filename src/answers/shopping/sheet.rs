//! Baskets in the yard's words, and the shopping sheet.

use chrono::NaiveDate;

use crate::answers::Outlook;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::shopping::list::{order_by, order_parts, shopping};
use crate::answers::shopping::page::buy_page;
use crate::answers::shopping::{BuyChoice, Shopping};
use crate::answers::view::{ShoppingLine, ShoppingSheet, ShoppingVendor};
use crate::answers::words::say_date;
use crate::domain::{Offer, OfferId, ProductId, Vendor, VendorId};
use crate::planner::Plan;
use crate::units::Money;

/// One line of a basket with the offer behind it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct VendorLine {
    pub offer: Option<OfferId>,
    pub product: Option<ProductId>,
    pub item: String,
    pub packs: i64,
    pub pack: i64,
    /// Of one pack.
    pub price: Money,
    /// The day the price was asked.
    pub priced_on: Option<NaiveDate>,
    /// Places in `Shopping::wanted`, with the last day to order for each.
    pub wanted: Vec<(usize, Option<NaiveDate>)>,
}

impl VendorLine {
    /// "priced 29 Nov 2025", and that it is old after a year; empty where no day is told.
    pub(crate) fn priced_words(&self, today: NaiveDate) -> String {
        let Some(day) = self.priced_on else { return String::new() };
        let old = if (today - day).num_days() > 365 { ", over a year ago: ask again" } else { "" };
        format!("priced {}{old}", day.format("%-d %b %Y"))
    }
}

/// What is ordered at one vendor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct VendorBasket {
    pub vendor: Option<VendorId>,
    pub vendor_name: String,
    /// It can't be ordered before: the sale begins then.
    pub opens: Option<NaiveDate>,
    pub order_by: Option<NaiveDate>,
    pub lines: Vec<VendorLine>,
    pub goods: Money,
    pub shipping: Money,
}

/// The basket of a shopping answer by vendor.
pub(crate) fn vendor_baskets(outlook: &Outlook, shopping: &Shopping) -> Vec<VendorBasket> {
    let Some(basket) = &shopping.basket else { return Vec::new() };
    let request = &shopping.request;
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let mut out = Vec::new();
    for total in &basket.vendors {
        let Some(vendor) = request.vendors.get(total.vendor) else { continue };
        let (vendor_id, opens) = order_parts(&vendor.id);
        let known = outlook.yard.vendors.iter().find(|v| v.id.to_string() == vendor_id);
        let mut lines = Vec::new();
        for line in &basket.lines {
            let Some(offer) = request.offers.get(line.offer).filter(|o| o.vendor == vendor.id) else {
                continue;
            };
            let product = outlook.yard.products.iter().find(|p| p.id.to_string() == offer.item);
            let row = offer_row(outlook, offer);
            let wanted = request
                .needs
                .iter()
                .zip(&shopping.of_need)
                .filter(|(n, at)| n.item == offer.item && !shopping.left_out.contains(at))
                .map(|(need, at)| {
                    let told = shopping.wanted.get(*at).is_some_and(|w| w.need_by.is_some());
                    let by = row.filter(|_| told).and_then(|o| order_by(outlook, o, need.need_by));
                    // What comes too late whenever it is ordered is ordered today.
                    let late = shopping.late.iter().any(|(n, _)| n == at);
                    let by = if late { Some(today) } else { by };
                    // A sale that ends sooner is the last day for its price.
                    (*at, by.into_iter().chain(row.and_then(|o| o.sale_to)).min())
                })
                .collect();
            lines.push(VendorLine {
                offer: row.map(|o| o.id),
                product: product.map(|p| p.id),
                item: product.map_or_else(String::new, |p| p.name.clone()),
                packs: line.packs as i64,
                pack: i64::from(offer.pack),
                price: offer.price,
                priced_on: row.and_then(|o| o.priced_on),
                wanted,
            });
        }
        let days = lines.iter().flat_map(|l: &VendorLine| &l.wanted).filter_map(|(_, by)| *by);
        out.push(VendorBasket {
            vendor: known.map(|v| v.id),
            vendor_name: known.map_or_else(String::new, |v| match opens {
                Some(day) => format!("{}, sale from {}", v.name, day.format("%-d %b %Y")),
                None => v.name.clone(),
            }),
            opens,
            order_by: days.min(),
            lines,
            goods: total.goods,
            shipping: total.shipping,
        });
    }
    out
}

/// What is ordered at a vendor today.
///
/// # Errors
/// `nothing-to-order`, with the day of the sale where the basket waits for one.
pub(crate) fn basket_today(
    outlook: &Outlook,
    shopping: &Shopping,
    vendor: &Vendor,
) -> Result<VendorBasket, Problem> {
    let all = vendor_baskets(outlook, shopping).into_iter();
    let first = all.filter(|b| b.vendor == Some(vendor.id)).min_by_key(|b| b.opens);
    let what = match first {
        Some(basket) => match basket.opens {
            None => return Ok(basket),
            Some(day) => format!("what is bought at {} waits for its sale on {}", vendor.name, say_date(day)),
        },
        None => format!("the basket has nothing at {}", vendor.name),
    };
    Err(Problem::new(ProblemKind::Data, "nothing-to-order", what)
        .hint("ladderday buy shows where each need is bought"))
}

fn offer_row<'a>(outlook: &Outlook<'a>, offer: &crate::buying::Offer) -> Option<&'a Offer> {
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let (vendor, later) = order_parts(&offer.vendor);
    let day = later.unwrap_or(today);
    outlook.yard.offers.iter().find(|o| {
        o.vendor_id.to_string() == vendor
            && o.sale_from.is_none_or(|d| d <= day)
            && o.sale_to.is_none_or(|d| d >= day)
            && o.product_id.to_string() == offer.item
            && o.pack == i64::from(offer.pack)
            && o.price_cents == offer.price
            && o.min_packs == i64::from(offer.min_packs)
    })
}

/// The shopping list for paper.
///
/// # Errors
/// As [`shopping`].
pub(crate) fn shopping_sheet(outlook: &Outlook, plan: Option<&Plan>) -> Result<ShoppingSheet, Problem> {
    let shopping = shopping(outlook, plan, &BuyChoice::default())?;
    let currency = outlook.currency();
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let page = buy_page(outlook, plan, &BuyChoice::default())?;
    let vendors = vendor_baskets(outlook, &shopping)
        .into_iter()
        .map(|b| ShoppingVendor {
            vendor: b.vendor_name,
            order_by: b.order_by.map_or_else(
                || "any day".to_owned(),
                |d| {
                    let late = if d < today { " (LATE)" } else { "" };
                    format!("order by {}{late}", d.format("%a %-d %b %Y"))
                },
            ),
            sums: format!(
                "goods {}, shipping {}, total {}",
                b.goods.show(&currency),
                b.shipping.show(&currency),
                Money::from_cents(b.goods.cents() + b.shipping.cents()).show(&currency)
            ),
            lines: b
                .lines
                .into_iter()
                .map(|l| ShoppingLine {
                    priced: l.priced_words(today),
                    count: if l.pack == 1 {
                        format!("{} x", l.packs)
                    } else {
                        format!("{} of {}", crate::answers::words::packs(l.packs), l.pack)
                    },
                    item: l.item,
                    price: Money::from_cents(l.price.cents() * l.packs).show(&currency),
                    reasons: l
                        .wanted
                        .iter()
                        .filter_map(|(at, _)| shopping.wanted.get(*at))
                        .flat_map(|w| w.reasons.clone())
                        .collect(),
                })
                .collect(),
        })
        .collect();
    let proof = if page.proven { "least cost, proven" } else { "best found" };
    Ok(ShoppingSheet {
        title: "Shopping".to_owned(),
        vendors,
        unmet: page.unmet,
        total: page.total.map_or_else(String::new, |t| format!("total {} ({proof})", t.show(&currency))),
    })
}
