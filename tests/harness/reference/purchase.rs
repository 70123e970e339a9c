//! Kind `purchase`: least-cost baskets to the cent, and order-by dates.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use ladderday::buying::{
    Delivery, Need, Offer, Proof, Request, ShippingTier, TransitDays, Vendor, cheapest, order_by,
};
use ladderday::units::Money;
use serde::Deserialize;
use serde_json::Value;

use super::compare::{Differences, row};

/// A date as text, `2026-08-01`.
#[derive(Deserialize, Clone, Copy)]
#[serde(try_from = "String")]
struct Day(NaiveDate);

impl TryFrom<String> for Day {
    type Error = chrono::ParseError;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        text.parse().map(Self)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default, rename = "note")]
    _note: String,
    #[serde(default, rename = "rel_tol")]
    _rel_tol: Value,
    #[serde(default)]
    cases: Vec<Value>,
    #[serde(default, rename = "order_by_note")]
    _order_by_note: String,
    #[serde(default)]
    holidays: Vec<Day>,
    #[serde(default)]
    order_by_cases: Vec<OrderByCase>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    input: Input,
    expect: Option<Expect>,
    #[serde(default, rename = "note")]
    _note: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Input {
    #[serde(rename = "id")]
    _id: String,
    #[serde(default, rename = "title")]
    _title: String,
    order_date: Day,
    needs: Vec<NeedRow>,
    vendors: Vec<VendorRow>,
    offers: Vec<OfferRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NeedRow {
    item: String,
    qty: u32,
    need_by: Day,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct VendorRow {
    id: String,
    shipping: Vec<TierRow>,
    #[serde(default)]
    min_order_c: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TierRow {
    min_subtotal_c: i64,
    fee_c: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OfferRow {
    vendor: String,
    item: String,
    pack: u32,
    price_c: i64,
    lead_days: u32,
    #[serde(default = "one")]
    min_packs: u32,
    #[serde(default)]
    max_packs: Option<u32>,
}

const fn one() -> u32 {
    1
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Expect {
    total_c: i64,
    /// Goods, shipping and the plan may differ where two baskets cost the same.
    #[serde(default, rename = "goods_c")]
    _goods_c: Value,
    #[serde(default, rename = "shipping_c")]
    _shipping_c: Value,
    #[serde(default, rename = "example_plan")]
    _example_plan: Value,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OrderByCase {
    input: OrderByInput,
    expect: Option<OrderByExpect>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OrderByInput {
    id: String,
    #[serde(default, rename = "title")]
    _title: String,
    need_by: Day,
    handling_bd: u32,
    transit_days: u32,
    transit_kind: Kind,
    buffer_days: u32,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(rename_all = "lowercase")]
enum Kind {
    Calendar,
    Business,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OrderByExpect {
    order_by: Day,
    arrives: Day,
}

pub fn check(text: &str) -> Vec<String> {
    let file: File = match serde_json::from_str(text) {
        Ok(file) => file,
        Err(error) => return vec![format!("file: {error}")],
    };
    if file.cases.is_empty() && file.order_by_cases.is_empty() {
        return vec!["file: no cases".to_owned()];
    }
    let mut lines = Vec::new();
    for case in file.cases {
        let id = case.pointer("/input/id").and_then(Value::as_str).unwrap_or("case without id").to_owned();
        lines.extend(row(&id, case, basket));
    }
    let holidays: BTreeSet<NaiveDate> = file.holidays.into_iter().map(|d| d.0).collect();
    for case in &file.order_by_cases {
        let mut differences = Differences::new(&case.input.id);
        date(case, &holidays, &mut differences);
        lines.extend(differences.done());
    }
    lines
}

fn basket(case: &Case, differences: &mut Differences) {
    let got = match cheapest(&request(&case.input)) {
        Ok(got) => got,
        Err(error) => return differences.say(format_args!("not computed: {error} ({})", error.code())),
    };
    match (&case.expect, got.missing.first()) {
        (None, Some(_)) => {}
        (None, None) => differences.say("computed a basket, file says there is none"),
        (Some(_), Some(missing)) => differences.say(format_args!("no solution: {missing:?}")),
        (Some(expect), None) => {
            differences.same("total_c", got.total.cents(), expect.total_c);
            differences.same("proof", got.proof, Proof::Proven);
        }
    }
}

fn request(input: &Input) -> Request {
    let money = Money::from_cents;
    Request {
        order_date: input.order_date.0,
        needs: input
            .needs
            .iter()
            .map(|n| Need { item: n.item.clone(), quantity: n.qty, need_by: n.need_by.0 })
            .collect(),
        vendors: input
            .vendors
            .iter()
            .map(|v| Vendor {
                id: v.id.clone(),
                shipping: v
                    .shipping
                    .iter()
                    .map(|t| ShippingTier { from: money(t.min_subtotal_c), fee: money(t.fee_c) })
                    .collect(),
                min_order: money(v.min_order_c),
            })
            .collect(),
        offers: input
            .offers
            .iter()
            .map(|o| Offer {
                vendor: o.vendor.clone(),
                item: o.item.clone(),
                pack: o.pack,
                price: money(o.price_c),
                lead_days: o.lead_days,
                min_packs: o.min_packs,
                max_packs: o.max_packs,
            })
            .collect(),
    }
}

fn date(case: &OrderByCase, holidays: &BTreeSet<NaiveDate>, differences: &mut Differences) {
    let input = &case.input;
    let transit = match input.transit_kind {
        Kind::Calendar => TransitDays::Calendar(input.transit_days),
        Kind::Business => TransitDays::Business(input.transit_days),
    };
    let delivery = Delivery { handling: input.handling_bd, transit };
    let got = order_by(input.need_by.0, input.buffer_days, delivery, holidays);
    differences.same(
        "order_by, arrives",
        got.map(|g| (g.order_by, g.arrives)),
        case.expect.as_ref().map(|e| (e.order_by.0, e.arrives.0)),
    );
}
