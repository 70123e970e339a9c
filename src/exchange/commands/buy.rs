//! `buy`: needs, baskets, orders.

use std::fmt::Write as _;

use crate::answers::view::Buy;
use crate::exchange::json::{BasketDoc, BasketLineDoc, BuyDoc, NeedDoc};

pub fn document(buy: Buy) -> BuyDoc {
    BuyDoc {
        needs: buy
            .needs
            .into_iter()
            .map(|n| NeedDoc {
                title: n.title,
                quantity: n.quantity,
                need_by: (n.need_by != "not told").then_some(n.need_by),
                order_by: n.order_by,
                vendor: n.vendor,
                reasons: n.reasons,
            })
            .collect(),
        baskets: buy
            .baskets
            .into_iter()
            .map(|b| BasketDoc {
                vendor: b.vendor,
                order_by: b.order_by,
                late: b.late,
                goods: b.goods,
                shipping: b.shipping,
                total: b.total,
                lines: b
                    .lines
                    .into_iter()
                    .map(|l| BasketLineDoc {
                        item: l.item,
                        packs: l.packs,
                        pack: l.pack,
                        price: l.price,
                        priced: l.priced,
                    })
                    .collect(),
            })
            .collect(),
        total: buy.total,
        proven: buy.proven,
        unmet: buy.unmet,
        left_out: buy.left_out,
        against: buy.against,
        changes: buy.changes,
        calendar: buy.calendar,
    }
}

pub fn text(buy: &Buy) -> String {
    let mut out = String::new();
    if buy.needs.is_empty() {
        out.push_str("nothing is needed\n");
    }
    for n in &buy.needs {
        let by = n.order_by.as_ref().map_or_else(String::new, |d| format!(", order by {d}"));
        let at = n.vendor.as_ref().map_or_else(String::new, |v| format!(" at {v}"));
        let _ = writeln!(out, "{:>4} x {} (needed {}{by}{at})", n.quantity, n.title, n.need_by);
        for reason in &n.reasons {
            let _ = writeln!(out, "         {reason}");
        }
    }
    for b in &buy.baskets {
        let late = if b.late { ", LATE" } else { "" };
        let _ = writeln!(
            out,
            "{}: {} with shipping {}, order by {}{late}",
            b.vendor, b.total, b.shipping, b.order_by
        );
        for l in &b.lines {
            let priced = if l.priced.is_empty() { String::new() } else { format!(", {}", l.priced) };
            let _ = writeln!(out, "  {} packs of {} x {}  {}{priced}", l.packs, l.pack, l.item, l.price);
        }
    }
    for line in &buy.unmet {
        let _ = writeln!(out, "not met: {line}");
    }
    for line in &buy.left_out {
        let _ = writeln!(out, "left out, over the budget: {line}");
    }
    if !buy.total.is_empty() {
        let proof = if buy.proven { "least cost, proven" } else { "best found" };
        let _ = writeln!(out, "total {} ({proof})", buy.total);
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
