//! Buy: needs with their reasons, baskets by vendor with order-by dates, orders.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use crate::answers::Outlook;
use crate::answers::problem::Problem;
use crate::answers::shopping::list::{order_parts, shopping};
use crate::answers::shopping::sheet::vendor_baskets;
use crate::answers::shopping::stock::stock_findings;
use crate::answers::shopping::stock_kept::unstocked;
use crate::answers::shopping::trial::{changes, choice_words};
use crate::answers::shopping::{BuyChoice, Shopping, late_words, missing_words};
use crate::answers::view::{Basket, BasketLine, Buy, NeedRow, OrderRow};
use crate::answers::words::{say_date, some};
use crate::buying::{Offer, Proof};
use crate::domain::{Phase, Vendor};
use crate::planner::Plan;
use crate::units::Money;

/// What to buy, where, and by when; with something tried: a budget, fewer vendors, less wanted.
///
/// # Errors
/// `no-item`, `no-vendor` where the choice names something that is not there.
pub fn buy_page(outlook: &Outlook, plan: Option<&Plan>, choice: &BuyChoice) -> Result<Buy, Problem> {
    let basket_of = shopping(outlook, plan, choice)?;
    let currency = outlook.currency();
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let mut buy = Buy { orders: orders(outlook), currency: currency.clone(), ..Buy::default() };
    buy.not_told = uncounted(outlook);
    // For each wanted row: the vendor chosen and the last day to order there.
    let mut chosen: Vec<Option<(String, Option<NaiveDate>, Money)>> = vec![None; basket_of.wanted.len()];
    let mut calendar: Vec<(NaiveDate, String)> = Vec::new();
    for b in vendor_baskets(outlook, &basket_of) {
        for line in &b.lines {
            let price = line.price.cents() * line.packs;
            for (at, by) in &line.wanted {
                if let Some(slot) = chosen.get_mut(*at) {
                    // What is bought in two packs, or at two vendors, costs both.
                    let before = slot.as_ref().map_or(0, |s| s.2.cents());
                    *slot = Some((b.vendor_name.clone(), *by, Money::from_cents(before + price)));
                }
            }
        }
        if let Some(day) = b.opens {
            calendar.push((day, format!("{}: the sale begins, order at {}", say_date(day), b.vendor_name)));
        }
        if let Some(by) = b.order_by {
            calendar.push((by, format!("{}: order at {} by then", say_date(by), b.vendor_name)));
        }
        buy.baskets.push(Basket {
            vendor: b.vendor_name,
            order_by: b.order_by,
            late: b.order_by.is_some_and(|d| d < today)
                || b.lines
                    .iter()
                    .flat_map(|l| &l.wanted)
                    .any(|(at, _)| basket_of.late.iter().any(|(n, _)| n == at)),
            lines: b
                .lines
                .into_iter()
                .map(|l| BasketLine {
                    priced: l.priced_words(today),
                    priced_on: l.priced_on,
                    item: l.item,
                    packs: l.packs,
                    pack: l.pack,
                    price: Money::from_cents(l.price.cents() * l.packs),
                })
                .collect(),
            goods: b.goods,
            shipping: b.shipping,
            total: Money::from_cents(b.goods.cents() + b.shipping.cents()),
        });
    }
    buy.not_told.extend(days_untold(outlook, &basket_of));
    calendar.sort();
    buy.calendar = calendar.into_iter().map(|(_, line)| line).collect();
    for (at, (w, choice)) in basket_of.wanted.iter().zip(&chosen).enumerate() {
        buy.needs.push(NeedRow {
            title: w.title.clone(),
            quantity: w.quantity,
            need_by: w.need_by,
            order_by: choice.as_ref().and_then(|c| c.1),
            late: basket_of.late.iter().any(|(n, _)| *n == at),
            vendor: choice.as_ref().map(|c| c.0.clone()),
            price: choice.as_ref().map(|c| c.2),
            reasons: w.reasons.clone(),
        });
    }
    // What can't come in time presses most, then what is to be ordered first.
    buy.needs.sort_by_key(|n| (!n.late, n.order_by.is_none(), n.order_by));
    let title = |at: usize| basket_of.wanted.get(at).map_or("", |w| w.title.as_str());
    if let Some(basket) = &basket_of.basket {
        buy.total = Some(basket.total);
        buy.proven = basket.proof == Proof::Proven && basket_of.left_out.is_empty();
        // That nothing is needed is not known where something is not told.
        buy.proven &= !basket_of.wanted.is_empty() || buy.not_told.is_empty();
        let season = outlook.season_for(Phase::Up).ok();
        let budget =
            season.and_then(|s| s.budget_cents).filter(|b| choice.budget.is_none() && basket.total > *b);
        buy.unmet.extend(budget.map(|b| {
            let over = Money::from_cents(basket.total.cents() - b.cents()).show(&currency);
            format!(
                "the season's budget of {}: {over} over it; --budget leaves out what is worth least",
                b.show(&currency)
            )
        }));
        for missing in &basket.missing {
            let at = basket_of.of_need.get(missing.need).copied().unwrap_or(usize::MAX);
            if !basket_of.left_out.contains(&at) {
                let of = basket_of.wanted.get(at);
                buy.unmet.push(format!("{}: {}", title(at), missing_words(outlook, missing, of)));
            }
        }
        for (at, soonest) in basket_of.late.iter().filter(|(at, _)| !basket_of.left_out.contains(at)) {
            let vendor = chosen.get(*at).and_then(|c| c.as_ref()).map(|c| c.0.as_str());
            let words = late_words(*soonest, vendor, basket_of.wanted.get(*at));
            buy.unmet.push(format!("{}: {words}", title(*at)));
        }
    }
    for w in basket_of.wanted.iter().filter(|w| w.product.is_none()) {
        let why = if w.own_work {
            "made at home: tell what it is made of to buy that"
        } else {
            "not a product yet, no offer is known"
        };
        buy.unmet.push(format!("{}: {why}", w.title));
    }
    buy.left_out = basket_of
        .left_out
        .iter()
        .filter_map(|at| basket_of.wanted.get(*at))
        .map(|w| format!("{} x {} (worth {})", w.quantity, w.title, w.worth))
        .collect();
    buy.unmet.extend(basket_of.refused.clone());
    let open = outlook.yard.vendors.iter().filter(|v| !v.closed);
    buy.vendors = open.map(|v| (v.code.clone(), v.name.clone())).collect();
    if !choice.is_plain() {
        let plain = shopping(outlook, plan, &BuyChoice::default())?;
        buy.against = against(plain.basket.as_ref(), basket_of.basket.as_ref(), &currency);
        buy.tried = choice_words(outlook, choice);
        buy.changes = changes(outlook, &plain, &basket_of);
    }
    Ok(buy)
}

/// By which days of vendors of the basket who are not nearby nothing is counted: making, handling, the road.
fn days_untold(outlook: &Outlook, shopping: &Shopping) -> Vec<String> {
    let request = &shopping.request;
    let lines = shopping.basket.iter().flat_map(|b| &b.lines);
    let vendor = |offer: &Offer| {
        let id = order_parts(&offer.vendor).0;
        outlook.yard.vendors.iter().find(|v| v.id.to_string() == id).filter(|v| !v.local)
    };
    let road =
        |v: &Vendor| outlook.yard.shipping_tiers.iter().any(|t| t.vendor_id == v.id && t.transit_days > 0);
    let made = |v: &Vendor| outlook.yard.offers.iter().any(|o| o.vendor_id == v.id && o.lead_days > 0);
    let mut by: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for v in lines.filter_map(|l| vendor(request.offers.get(l.offer)?)) {
        let open = [("making", made(v)), ("handling", v.handling_days > 0), ("transit", road(v))];
        let open: Vec<&str> = open.into_iter().filter(|(_, told)| !told).map(|(what, _)| what).collect();
        if !open.is_empty() {
            by.entry(list_words(&open)).or_default().insert(v.name.clone());
        }
    }
    let line = |(what, names)| {
        format!("days of {what} not told, or 0, for {}: none counted before it comes", some(names))
    };
    by.into_iter().map(line).collect()
}

/// "making, handling and transit".
fn list_words(words: &[&str]) -> String {
    match words {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => words.join(", "),
    }
}

/// What keeps a need from being counted: what `check stock` says of the season to come.
fn uncounted(outlook: &Outlook) -> Vec<String> {
    let season = outlook.season_for(Phase::Up).ok();
    let lines = season.map_or_else(
        || unstocked(outlook).into_iter().collect(),
        |season| stock_findings(outlook, &outlook.facts(), season).1,
    );
    let terms = outlook.yard.terms();
    lines.iter().map(|line| terms.say(line)).collect()
}

/// What a choice changes: the cost, and how many needs are met.
pub(crate) fn against(
    plain: Option<&crate::buying::Basket>,
    now: Option<&crate::buying::Basket>,
    currency: &str,
) -> Option<String> {
    let (plain, now) = (plain?, now?);
    let diff = now.total.cents() - plain.total.cents();
    let by = Money::from_cents(diff.abs()).show(currency);
    let cost = match diff {
        0 => "costs the same".to_owned(),
        d if d > 0 => format!("costs {by} more"),
        _ => format!("costs {by} less"),
    };
    let unmet = format!("{} needs have no offer in time, before {}", now.missing.len(), plain.missing.len());
    Some(format!("without these choices {}; this way it {cost}; {unmet}", plain.total.show(currency)))
}

pub(crate) fn orders(outlook: &Outlook) -> Vec<OrderRow> {
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let mut orders: Vec<_> = outlook.yard.purchase_orders.iter().collect();
    orders.sort_by(|a, b| (b.ordered_on, &b.code).cmp(&(a.ordered_on, &a.code)));
    orders
        .into_iter()
        .map(|o| {
            let lines: Vec<_> = outlook.yard.order_lines.iter().filter(|l| l.order_id == o.id).collect();
            let open = lines.iter().filter(|l| l.received < l.packs * l.pack).count();
            let late = o.expected_on.filter(|d| open > 0 && *d < today);
            OrderRow {
                code: o.code.clone(),
                vendor: outlook
                    .yard
                    .vendors
                    .iter()
                    .find(|v| v.id == o.vendor_id)
                    .map_or_else(String::new, |v| v.name.clone()),
                ordered: say_date(o.ordered_on),
                expected: o.expected_on.map_or_else(|| "not told".to_owned(), say_date),
                state: match (open, late) {
                    (0, _) => "received".to_owned(),
                    (n, Some(d)) => {
                        let days = (today - d).num_days();
                        format!("LATE by {days} days: {n} of {} lines to come", lines.len())
                    }
                    (n, None) => format!("{n} of {} lines to come", lines.len()),
                },
            }
        })
        .collect()
}
