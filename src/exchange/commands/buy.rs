//! `buy`: needs, baskets, orders.

use std::fmt::Write as _;

use crate::answers::view::{Basket, Buy};
use crate::answers::words::{packs, say_date};
use crate::exchange::json::{BasketDoc, BasketLineDoc, BuyDoc, NeedDoc};

pub(crate) fn document(buy: Buy) -> BuyDoc {
    BuyDoc {
        needs: buy
            .needs
            .into_iter()
            .map(|n| NeedDoc {
                title: n.title,
                quantity: n.quantity,
                need_by: n.need_by.map(|d| d.to_string()),
                order_by: n.order_by.map(|d| d.to_string()),
                vendor: n.vendor,
                price_cents: n.price.map(crate::units::Money::cents),
                why: n.reasons,
            })
            .collect(),
        baskets: baskets(buy.baskets),
        total_cents: buy.total.map(crate::units::Money::cents),
        currency: buy.currency,
        proven: buy.proven,
        unmet: buy.unmet,
        left_out: buy.left_out,
        against: buy.against,
        changes: buy.changes,
        calendar: buy.calendar,
        not_told: buy.not_told,
    }
}

/// Baskets as documents.
pub(crate) fn baskets(list: Vec<Basket>) -> Vec<BasketDoc> {
    list.into_iter()
        .map(|b| BasketDoc {
            vendor: b.vendor,
            order_by: b.order_by.map(|d| d.to_string()),
            late: b.late,
            goods_cents: b.goods.cents(),
            shipping_cents: b.shipping.cents(),
            total_cents: b.total.cents(),
            lines: b
                .lines
                .into_iter()
                .map(|l| BasketLineDoc {
                    item: l.item,
                    packs: l.packs,
                    pack: l.pack,
                    price_cents: l.price.cents(),
                    priced_on: l.priced_on.map(|d| d.to_string()),
                })
                .collect(),
        })
        .collect()
}

pub(crate) fn text(buy: &Buy) -> String {
    let currency = &buy.currency;
    let mut out = String::new();
    if buy.needs.is_empty() {
        out.push_str("no need is noted\n");
    }
    for line in &buy.not_told {
        let _ = writeln!(out, "not known: {line}");
    }
    for n in &buy.needs {
        let by = n.order_by.map_or_else(String::new, |d| format!(", order by {}", say_date(d)));
        let need_by = n.need_by.map_or_else(|| "by a day not told".to_owned(), say_date);
        let at = n.vendor.as_ref().map_or_else(String::new, |v| {
            format!(" at {v}{}", n.price.map_or_else(String::new, |p| format!(", {}", p.show(currency))))
        });
        let _ = writeln!(out, "{:>4} x {} (needed {need_by}{by}{at})", n.quantity, n.title);
        for reason in &n.reasons {
            let _ = writeln!(out, "         {reason}");
        }
    }
    out.push_str(&baskets_text(buy));
    for line in &buy.unmet {
        let _ = writeln!(out, "not met: {line}");
    }
    for line in &buy.left_out {
        let _ = writeln!(out, "left out, over the budget: {line}");
    }
    if let Some(total) = buy.total.filter(|_| !buy.baskets.is_empty()) {
        let proof = if buy.proven { "least cost, proven" } else { "best found" };
        let _ = writeln!(out, "total {} ({proof})", total.show(currency));
    }
    if let Some(line) = &buy.against {
        let _ = writeln!(out, "{line}");
    }
    for line in &buy.changes {
        let _ = writeln!(out, "  {line}");
    }
    for o in buy.orders.iter().filter(|o| o.state != "received") {
        let _ = writeln!(out, "on order: {} at {}, expected {}: {}", o.code, o.vendor, o.expected, o.state);
    }
    out
}

/// What would be ordered where.
pub(crate) fn baskets_text(buy: &Buy) -> String {
    let currency = &buy.currency;
    let mut out = String::new();
    for b in &buy.baskets {
        let late = if b.late { ", LATE" } else { "" };
        let _ = writeln!(
            out,
            "{}: {} with shipping {}, order by {}{late}",
            b.vendor,
            b.total.show(currency),
            b.shipping.show(currency),
            b.order_by.map_or_else(|| "any day".to_owned(), say_date)
        );
        for l in &b.lines {
            let priced = if l.priced.is_empty() { String::new() } else { format!(", {}", l.priced) };
            let _ = writeln!(
                out,
                "  {} of {} x {}  {}{priced}",
                packs(l.packs),
                l.pack,
                l.item,
                l.price.show(currency)
            );
        }
    }
    out
}
