//! Buy: needs with their reasons, baskets by vendor with order-by dates.

use chrono::NaiveDate;

use crate::app::needs::{Shopping, missing_words};
use crate::app::owner::App;
use crate::app::planning::QUICK;
use crate::app::view::{Basket, BasketLine, Buy, NeedRow, OrderRow};
use crate::buying::Proof;
use crate::domain::Phase;
use crate::units::Money;

impl App {
    /// What to buy, where, and by when.
    pub fn buy_page(&mut self) -> Buy {
        let plan = self.plan(Phase::Up, QUICK).ok().cloned();
        let shopping = self.shopping(plan.as_ref());
        let currency = self.currency();
        let today = self.now().with_timezone(&self.zone()).date_naive();
        let mut buy = Buy { orders: self.orders(), ..Buy::default() };
        // For each wanted row: the vendor chosen and the last day to order there.
        let mut chosen: Vec<Option<(String, Option<NaiveDate>)>> = vec![None; shopping.wanted.len()];
        self.baskets(&shopping, &mut chosen, &mut buy, &currency, today);
        for (w, choice) in shopping.wanted.iter().zip(&chosen) {
            buy.needs.push(NeedRow {
                title: w.title.clone(),
                quantity: w.quantity,
                need_by: w.need_by.map_or_else(|| "not told".to_owned(), say_date),
                order_by: choice.as_ref().and_then(|c| c.1).map(say_date),
                vendor: choice.as_ref().map(|c| c.0.clone()),
                reasons: w.reasons.clone(),
            });
            if w.product.is_none() {
                buy.unmet.push(format!("{}: not a product yet, no offer is known", w.title));
            }
        }
        buy.unmet.extend(shopping.refused);
        buy
    }

    fn baskets(
        &self,
        shopping: &Shopping,
        chosen: &mut [Option<(String, Option<NaiveDate>)>],
        buy: &mut Buy,
        currency: &str,
        today: NaiveDate,
    ) {
        let Some(basket) = &shopping.basket else { return };
        let request = &shopping.request;
        let mut calendar: Vec<(NaiveDate, String)> = Vec::new();
        for total in &basket.vendors {
            let Some(vendor) = request.vendors.get(total.vendor) else { continue };
            let known = self.yard.vendors.iter().find(|v| v.id.to_string() == vendor.id);
            let name = known.map_or_else(String::new, |v| v.name.clone());
            let mut lines = Vec::new();
            let mut earliest: Option<NaiveDate> = None;
            for line in &basket.lines {
                let Some(offer) = request.offers.get(line.offer).filter(|o| o.vendor == vendor.id) else {
                    continue;
                };
                let product = self.yard.products.iter().find(|p| p.id.to_string() == offer.item);
                lines.push(BasketLine {
                    item: product.map_or_else(String::new, |p| p.name.clone()),
                    packs: line.packs as i64,
                    pack: i64::from(offer.pack),
                    price: Money::from_cents(offer.price.cents() * line.packs as i64).show(currency),
                });
                let row = self.yard.offers.iter().find(|o| {
                    o.vendor_id.to_string() == offer.vendor
                        && o.product_id.to_string() == offer.item
                        && o.pack == i64::from(offer.pack)
                        && o.price_cents == offer.price
                });
                for (need, at) in
                    request.needs.iter().zip(&shopping.of_need).filter(|(n, _)| n.item == offer.item)
                {
                    let told = shopping.wanted.get(*at).is_some_and(|w| w.need_by.is_some());
                    let by = row.filter(|_| told).and_then(|o| self.order_by(o, need.need_by));
                    if let Some(slot) = chosen.get_mut(*at) {
                        *slot = Some((name.clone(), by));
                    }
                    if let Some(by) = by {
                        earliest = Some(earliest.map_or(by, |e| e.min(by)));
                    }
                }
            }
            if let Some(by) = earliest {
                calendar.push((by, format!("{}: order at {name}", say_date(by))));
            }
            buy.baskets.push(Basket {
                vendor: name,
                order_by: earliest.map_or_else(|| "any day".to_owned(), say_date),
                late: earliest.is_some_and(|d| d < today),
                lines,
                goods: total.goods.show(currency),
                shipping: total.shipping.show(currency),
                total: Money::from_cents(total.goods.cents() + total.shipping.cents()).show(currency),
            });
        }
        calendar.sort();
        buy.calendar = calendar.into_iter().map(|(_, line)| line).collect();
        buy.total = basket.total.show(currency);
        buy.proven = basket.proof == Proof::Proven;
        for missing in &basket.missing {
            let title = shopping
                .of_need
                .get(missing.need)
                .and_then(|at| shopping.wanted.get(*at))
                .map_or("", |w| w.title.as_str());
            buy.unmet.push(format!("{title}: {}", missing_words(missing)));
        }
    }

    fn orders(&self) -> Vec<OrderRow> {
        let mut orders: Vec<_> = self.yard.purchase_orders.iter().collect();
        orders.sort_by(|a, b| (b.ordered_on, &b.code).cmp(&(a.ordered_on, &a.code)));
        orders
            .into_iter()
            .map(|o| {
                let lines: Vec<_> = self.yard.order_lines.iter().filter(|l| l.order_id == o.id).collect();
                let open = lines.iter().filter(|l| l.received < l.packs).count();
                OrderRow {
                    code: o.code.clone(),
                    vendor: self
                        .yard
                        .vendors
                        .iter()
                        .find(|v| v.id == o.vendor_id)
                        .map_or_else(String::new, |v| v.name.clone()),
                    ordered: say_date(o.ordered_on),
                    expected: o.expected_on.map_or_else(|| "not told".to_owned(), say_date),
                    state: if open == 0 {
                        "received".to_owned()
                    } else {
                        format!("{open} of {} lines to come", lines.len())
                    },
                }
            })
            .collect()
    }
}

fn say_date(d: NaiveDate) -> String {
    d.format("%a %-d %b %Y").to_string()
}
