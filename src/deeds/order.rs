//! Orders: written from the basket, received in parts into stock and pieces.

use std::collections::BTreeMap;

use chrono::{Datelike, NaiveDate};

use super::Desk;
use super::need::needs_met;
use super::prop::plain_piece;
use super::{next_code, read_day, refused};
use crate::answers::problem::Problem;
use crate::answers::shopping::BuyChoice;
use crate::answers::shopping::VendorBasket;
use crate::answers::shopping::list::{arrives, shopping};
use crate::answers::shopping::sheet::basket_today;
use crate::answers::words::counted;
use crate::domain::{
    ContainerId, Fact, Moment, MoveKind, OrderLine, OrderLineId, Piece, ProductId, PurchaseOrder,
    PurchaseOrderId, RowChange, Stock, StockId, StockMove, StockMoveId, Value, Vendor,
};
use crate::steps::{PartState, mend};
use crate::units::Money;

/// Writes an order of what the least-cost basket has at a vendor.
pub(super) fn order(desk: &mut dyn Desk, vendor: &str) -> Result<String, Problem> {
    let vendor = vendor_by_code(desk, vendor)?;
    let plan = desk.build_plan();
    let shopping = shopping(&desk.outlook(), plan.as_deref(), &BuyChoice::default())?;
    let basket = basket_today(&desk.outlook(), &shopping, &vendor)?;
    let now = desk.now();
    let today = now.with_timezone(&desk.zone()).date_naive();
    let head = format!("PO{:02}", today.year().rem_euclid(100));
    let code = next_code(&desk.mark(), &head, desk.yard().purchase_orders.iter().map(|o| o.code.as_str()));
    let order = PurchaseOrder {
        id: PurchaseOrderId(desk.id()),
        ended_at: None,
        code: code.clone(),
        vendor_id: vendor.id,
        ordered_on: today,
        expected_on: Some(arrival(desk, &basket, today)),
        shipping_cents: basket.shipping,
        tax_cents: Money::default(),
        note: String::new(),
    };
    let mut rows = vec![order.to_row()];
    for l in &basket.lines {
        let Some(product_id) = l.product else { continue };
        rows.push(
            OrderLine {
                id: OrderLineId(desk.id()),
                ended_at: None,
                order_id: order.id,
                product_id,
                offer_id: l.offer,
                packs: l.packs,
                pack: l.pack,
                price_cents: l.price,
                received: 0,
                received_on: None,
            }
            .to_row(),
        );
    }
    let total =
        Money::from_cents(basket.goods.cents() + basket.shipping.cents()).show(&desk.outlook().currency());
    let lines = counted(basket.lines.len() as i64, "line", "lines");
    let said = format!("Ordered {code} at {}: {lines}, {total}", vendor.name);
    desk.write("order", &said, rows)?;
    Ok(said)
}

/// The day the slowest line should be there.
fn arrival(desk: &dyn Desk, basket: &VendorBasket, today: NaiveDate) -> NaiveDate {
    let offers =
        basket.lines.iter().filter_map(|l| desk.yard().offers.iter().find(|o| Some(o.id) == l.offer));
    offers.map(|o| arrives(&desk.outlook(), o, today)).max().unwrap_or(today)
}

/// Takes in what arrived of an order: so many pieces of one product, or all that is still to come.
pub(super) fn receive(
    desk: &mut dyn Desk,
    order: &str,
    lines: &[(String, Option<i64>)],
    into: Option<&str>,
) -> Result<String, Problem> {
    let order = order_by_code(desk, order)?;
    let into = match into.map(str::trim).filter(|t| !t.is_empty()) {
        None => None,
        Some(code) => {
            let named = desk.yard().containers.iter().find(|c| c.code.eq_ignore_ascii_case(code));
            let tote = named.ok_or_else(|| {
                refused("no-tote", format!("there is no tote {code:?}"))
                    .hint("type its code as Totes shows it")
            })?;
            Some((tote.id, tote.code.clone()))
        }
    };
    let mut arrived: Vec<(OrderLine, i64)> = Vec::new();
    let to_come = |l: &OrderLine| l.packs * l.pack - l.received;
    if lines.is_empty() {
        let open = desk.yard().order_lines.iter().filter(|l| l.order_id == order.id && to_come(l) > 0);
        arrived.extend(open.map(|l| (l.clone(), to_come(l))));
    }
    for (code, count) in lines {
        let product = desk.yard().products.iter().find(|p| p.code.eq_ignore_ascii_case(code));
        let all = desk.yard().order_lines.iter().filter(|l| l.order_id == order.id);
        let mine: Vec<&OrderLine> = all.filter(|l| product.is_some_and(|p| p.id == l.product_id)).collect();
        if mine.is_empty() {
            return Err(refused("no-line", format!("{} has no line {code:?}", order.code)));
        }
        // Told twice in one breath, it still is no more than was ordered.
        let left = |l: &OrderLine, arrived: &[(OrderLine, i64)]| {
            to_come(l) - arrived.iter().find(|(a, _)| a.id == l.id).map_or(0, |(_, n)| *n)
        };
        let most: i64 = mine.iter().map(|l| left(l, &arrived)).sum();
        let mut n = count.unwrap_or(most);
        if !(1..=most).contains(&n) {
            return Err(refused("count-beyond", format!("{n} of {code} can't arrive")).hint(match most {
                0 => "all of it is here".to_owned(),
                n => format!("{} to come: give 1 to {n}", counted(n, "piece is", "pieces are")),
            }));
        }
        for line in mine {
            let take = n.min(left(line, &arrived));
            n -= take;
            match arrived.iter_mut().find(|(a, _)| a.id == line.id) {
                Some((_, known)) => *known += take,
                None if take > 0 => arrived.push((line.clone(), take)),
                None => {}
            }
        }
    }
    if arrived.is_empty() {
        return Err(refused("all-received", format!("everything of {} is here already", order.code)));
    }
    take_in(desk, &order, &arrived, into)
}

/// An order is told to come on another day: what waits for it moves in the plan.
pub(super) fn expect_order(desk: &mut dyn Desk, order: &str, on: &str) -> Result<String, Problem> {
    let order = order_by_code(desk, order)?;
    let day = read_day(on)?;
    if day < order.ordered_on {
        return Err(refused(
            "before-order",
            format!("{} was ordered {}, after {day}", order.code, order.ordered_on),
        )
        .hint("give a later day"));
    }
    let open =
        desk.yard().order_lines.iter().any(|l| l.order_id == order.id && l.received < l.packs * l.pack);
    if !open {
        return Err(refused("all-received", format!("everything of {} is here already", order.code)));
    }
    let said = match order.expected_on {
        Some(before) if before != day => format!("{} is expected {day}, before {before}", order.code),
        _ => format!("{} is expected {day}", order.code),
    };
    let row =
        RowChange::new("purchase_order", order.id.0, vec![("expected_on", Value::Text(day.to_string()))]);
    desk.write("order-expect", &said, vec![row])?;
    Ok(said)
}

fn order_by_code(desk: &dyn Desk, code: &str) -> Result<PurchaseOrder, Problem> {
    let found =
        desk.yard().purchase_orders.iter().find(|o| o.code.eq_ignore_ascii_case(code.trim())).cloned();
    found.ok_or_else(|| {
        let open: Vec<&str> = desk.yard().purchase_orders.iter().map(|o| o.code.as_str()).collect();
        refused("no-order", format!("there is no order {code:?}")).hint(open.join(", "))
    })
}

fn take_in(
    desk: &mut dyn Desk,
    order: &PurchaseOrder,
    arrived: &[(OrderLine, i64)],
    into: Option<(ContainerId, String)>,
) -> Result<String, Problem> {
    let home = into.as_ref().map(|(id, _)| *id);
    let now = desk.now();
    let today = now.with_timezone(&desk.zone()).date_naive();
    let waiting = waiting_for(desk, arrived);
    let mut rows = Vec::new();
    let mut names = Vec::new();
    let mut came: BTreeMap<ProductId, i64> = BTreeMap::new();
    let mut labels: Vec<String> = desk.yard().pieces.iter().map(|p| p.code.clone()).collect();
    let mut lots: Vec<String> = desk.yard().stock.iter().map(|s| s.code.clone()).collect();
    for (line, n) in arrived {
        rows.push(RowChange::new(
            "order_line",
            line.id.0,
            vec![
                ("received", Value::Int(line.received + n)),
                ("received_on", Value::Text(today.to_string())),
            ],
        ));
        let Some(product) = desk.yard().products.iter().find(|p| p.id == line.product_id).cloned() else {
            continue;
        };
        names.push(format!("{n} x {}", product.name));
        // New goods join a lot that is kept at the same place and is not spoiled.
        let fits = |s: &&Stock| {
            s.product_id == product.id
                && !s.frozen
                && s.use_by.is_none()
                && (home.is_none() || s.home_id.is_none() || s.home_id == home)
        };
        let stock = desk.yard().stock.iter().find(fits).map(|s| s.id);
        let known = desk.yard().stock.iter().any(|s| s.product_id == product.id);
        if product.counted || known {
            let id = stock.unwrap_or_else(|| {
                let code = next_code(&desk.mark(), "STK", lots.iter().map(String::as_str));
                let lot = Stock { home_id: home, ..new_lot(desk, product.id, code) };
                lots.push(lot.code.clone());
                rows.push(lot.to_row());
                lot.id
            });
            rows.push(bought(desk, id, *n, &order.code).to_row());
        } else {
            let vendor = desk.yard().vendors.iter().find(|v| v.id == order.vendor_id).map(|v| v.name.clone());
            for _ in 0..*n {
                let code = next_code(&desk.mark(), "P", labels.iter().map(String::as_str));
                labels.push(code.clone());
                let price = Money::from_cents(line.price_cents.cents() / line.pack.max(1));
                let piece = new_piece(desk, product.id, code, today, vendor.clone(), price, &order.code);
                rows.push(Piece { home_id: home, ..piece }.to_row());
            }
        }
        *came.entry(product.id).or_default() += *n;
    }
    for (product, n) in came {
        rows.extend(needs_met(desk, product, n, today));
    }
    let next = if waiting.is_empty() {
        String::new()
    } else {
        format!("; {} can be mended now", waiting.join(", "))
    };
    let to = into.map_or_else(String::new, |(_, code)| format!(" into {code}"));
    let said = format!("Received of {}: {}{to}{next}", order.code, names.join(", "));
    desk.write("receive", &said, rows)?;
    Ok(said)
}

/// Codes of the faults that wait for something that arrived.
fn waiting_for(desk: &dyn Desk, arrived: &[(OrderLine, i64)]) -> Vec<String> {
    let facts = desk.outlook().facts();
    let here = |id: ProductId| arrived.iter().any(|(l, _)| l.product_id == id);
    desk.yard()
        .faults
        .iter()
        .filter(|f| !facts.fault_over(f))
        .filter(|f| {
            let what = mend(&facts, f);
            what.waits && matches!(what.part, PartState::Ordered(p, _) | PartState::Missing(p) if here(p.id))
        })
        .map(|f| f.code.clone())
        .collect()
}

pub fn vendor_by_code(desk: &dyn Desk, code: &str) -> Result<Vendor, Problem> {
    let same =
        |v: &&Vendor| v.code.eq_ignore_ascii_case(code.trim()) || v.name.eq_ignore_ascii_case(code.trim());
    desk.yard().vendors.iter().find(same).cloned().ok_or_else(|| {
        let known: Vec<&str> = desk.yard().vendors.iter().map(|v| v.code.as_str()).collect();
        refused("no-vendor", format!("there is no vendor {code:?}")).hint(known.join(", "))
    })
}

fn new_lot(desk: &mut dyn Desk, product_id: ProductId, code: String) -> Stock {
    Stock {
        id: StockId(desk.id()),
        ended_at: None,
        code,
        product_id,
        home_id: None,
        use_by: None,
        batch: String::new(),
        frozen: false,
        note: String::new(),
    }
}

fn bought(desk: &mut dyn Desk, stock_id: StockId, quantity: i64, order: &str) -> StockMove {
    let now = desk.now();
    StockMove {
        id: StockMoveId(desk.id()),
        ended_at: None,
        stock_id,
        kind: MoveKind::Bought,
        quantity,
        at_ms: Moment(now.timestamp_millis()),
        season_id: None,
        why: format!("order {order}"),
    }
}

fn new_piece(
    desk: &mut dyn Desk,
    product_id: ProductId,
    code: String,
    got_on: NaiveDate,
    vendor: Option<String>,
    price: Money,
    order: &str,
) -> Piece {
    Piece {
        batch: order.to_owned(),
        got_on: Some(got_on),
        source: vendor.unwrap_or_default(),
        price_cents: Some(price),
        ..plain_piece(desk, code, product_id)
    }
}
