//! The search against trying every basket, and what it refuses.

use chrono::{Days, NaiveDate};
use proptest::prelude::*;

use super::*;
use crate::buying::{MissingReason, Need, Offer, ShippingTier, Vendor};

fn day(n: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 8, 1).unwrap() + Days::new(n)
}

fn need(item: &str, quantity: u32, by: u64) -> Need {
    Need { item: item.into(), quantity, need_by: day(by) }
}

fn vendor(id: &str, tiers: &[(i64, i64)], min: i64) -> Vendor {
    let cents = Money::from_cents;
    let shipping =
        tiers.iter().map(|(from, fee)| ShippingTier { from: cents(*from), fee: cents(*fee) }).collect();
    Vendor { id: id.into(), shipping, min_order: cents(min) }
}

fn offer(vendor: &str, item: &str, pack: u32, cents: i64, lead_days: u32) -> Offer {
    let price = Money::from_cents(cents);
    Offer { vendor: vendor.into(), item: item.into(), pack, price, lead_days, min_packs: 1, max_packs: None }
}

/// Every way to buy up to `most` packs of each offer, by hand.
fn by_trying_all(request: &Request, most: u32) -> Option<i64> {
    let mut best: Option<i64> = None;
    let mut packs = vec![0_u32; request.offers.len()];
    loop {
        let allowed = request.offers.iter().zip(&packs).all(|(o, n)| {
            let arrives = request.order_date + Days::new(u64::from(o.lead_days));
            let usable = request.needs.iter().any(|need| need.item == o.item && arrives <= need.need_by);
            *n == 0 || usable && *n >= o.min_packs && o.max_packs.is_none_or(|m| *n <= m)
        });
        let met = request.needs.iter().all(|need| {
            let due: u32 = request
                .needs
                .iter()
                .filter(|n| n.item == need.item && n.need_by <= need.need_by)
                .map(|n| n.quantity)
                .sum();
            let got: u32 = request
                .offers
                .iter()
                .zip(&packs)
                .filter(|(o, _)| {
                    o.item == need.item
                        && request.order_date + Days::new(u64::from(o.lead_days)) <= need.need_by
                })
                .map(|(o, n)| o.pack * n)
                .sum();
            got >= due
        });
        if allowed && met {
            let mut total = Some(0);
            for vendor in &request.vendors {
                let goods: i64 = request
                    .offers
                    .iter()
                    .zip(&packs)
                    .filter(|(o, _)| o.vendor == vendor.id)
                    .map(|(o, n)| o.price.cents() * i64::from(*n))
                    .sum();
                if goods > 0 && goods < vendor.min_order.cents() {
                    total = None;
                } else if goods > 0 {
                    let tier =
                        vendor.shipping.iter().filter(|t| t.from.cents() <= goods).max_by_key(|t| t.from);
                    total = total.map(|t: i64| t + goods + tier.map_or(0, |t| t.fee.cents()));
                }
            }
            best = match (best, total) {
                (Some(b), Some(t)) => Some(b.min(t)),
                (b, t) => b.or(t),
            };
        }
        let Some(at) = packs.iter().position(|n| *n < most) else { return best };
        packs[at] += 1;
        packs[..at].fill(0);
    }
}

#[test]
fn what_can_not_be_met_is_named_and_the_rest_is_answered() {
    let request = Request {
        order_date: day(0),
        needs: vec![need("stake", 4, 10), need("strap", 2, 10), need("cap", 1, 10), need("tie", 9, 10)],
        vendors: vec![vendor("A", &[(0, 500)], 0)],
        offers: vec![
            offer("A", "stake", 2, 300, 5),
            offer("A", "strap", 1, 900, 11),
            Offer { max_packs: Some(2), ..offer("A", "tie", 4, 100, 1) },
        ],
    };
    let got = cheapest(&request).unwrap();
    assert_eq!((got.total, got.proof), (Money::from_cents(1100), Proof::Proven));
    let reasons: Vec<_> = got.missing.iter().map(|m| (m.need, m.reason)).collect();
    assert_eq!(
        reasons,
        [
            (1, MissingReason::AllTooLate { soonest: day(11) }),
            (2, MissingReason::NoOffer),
            (3, MissingReason::NotEnough)
        ]
    );
}

#[test]
fn a_late_offer_serves_only_the_later_need_of_the_same_item() {
    let request = Request {
        order_date: day(0),
        needs: vec![need("lead", 3, 30), need("lead", 2, 5)],
        vendors: vec![vendor("FAST", &[], 0), vendor("SLOW", &[], 0)],
        offers: vec![offer("FAST", "lead", 1, 500, 2), offer("SLOW", "lead", 1, 200, 20)],
    };
    assert_eq!(cheapest(&request).unwrap().total, Money::from_cents(2 * 500 + 3 * 200));
}

#[test]
fn nonsense_is_refused() {
    let good = Request {
        order_date: day(0),
        needs: vec![need("lead", 3, 30)],
        vendors: vec![vendor("A", &[(0, 100)], 0)],
        offers: vec![offer("A", "lead", 1, 500, 2)],
    };
    let code = |change: fn(&mut Request)| {
        let mut bad = good.clone();
        change(&mut bad);
        cheapest(&bad).unwrap_err().code()
    };
    assert_eq!(code(|r| r.offers[0].pack = 0), "buying.packs");
    assert_eq!(code(|r| r.offers[0].price = Money::from_cents(-1)), "buying.amount");
    assert_eq!(code(|r| r.offers[0].vendor = "B".into()), "buying.unknown_vendor");
    assert_eq!(code(|r| r.needs[0].quantity = 200_000), "buying.quantity");
    assert_eq!(code(|r| r.vendors[0].shipping[0].from = Money::from_cents(5)), "buying.tier_gap");
    assert_eq!(code(|r| r.vendors.push(r.vendors[0].clone())), "buying.same_vendor");
}

fn any_request() -> impl Strategy<Value = Request> {
    let offers = prop::collection::vec(
        (0_usize..3, 0_usize..2, 1_u32..4, 1_i64..60, 0_u32..12, 1_u32..3, prop::option::of(2_u32..4)),
        1..6,
    );
    let vendors = prop::collection::vec((0_i64..40, 1_i64..90, -20_i64..40, 0_i64..60), 3);
    let needs = prop::collection::vec((0_usize..2, 1_u32..4, 0_u64..12), 1..3);
    (offers, vendors, needs).prop_map(|(offers, vendors, needs)| {
        let (names, items) = (["A", "B", "C"], ["lead", "stake"]);
        Request {
            order_date: day(0),
            needs: needs.into_iter().map(|(i, q, by)| need(items[i], q, by)).collect(),
            vendors: vendors
                .into_iter()
                .zip(names)
                .map(|((fee, from, less, min), name)| {
                    vendor(name, &[(0, fee), (from, (fee - less).max(0))], min)
                })
                .collect(),
            offers: offers
                .into_iter()
                .map(|(v, i, pack, price, lead, min, max)| Offer {
                    min_packs: min,
                    max_packs: max.map(|m| m.max(min)),
                    ..offer(names[v], items[i], pack, price, lead)
                })
                .collect(),
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn no_other_basket_is_cheaper(request in any_request()) {
        let got = cheapest(&request).unwrap();
        prop_assert_eq!(got.proof, Proof::Proven);
        // Packs past seven never help here: needs are at most six pieces, tiers at most 90 cents.
        let tried = by_trying_all(&request, 7);
        if got.missing.is_empty() {
            prop_assert!(tried.is_none_or(|t| got.total.cents() <= t), "{:?} against {:?}", got, tried);
            let most = got.lines.iter().map(|l| l.packs).max().unwrap_or(0);
            if most <= 7 {
                prop_assert_eq!(tried, Some(got.total.cents()));
            }
        } else {
            prop_assert_eq!(tried, None);
        }
    }
}
