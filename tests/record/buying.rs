//! Stock and buying on the demo yard: what is short, choices, orders and part deliveries.

use ladderday::answers::power::{CheckKind, WhatIf};
use ladderday::app::{App, Ask, BuyChoice, Form};
use ladderday::units::Money;

use super::{Yard, json, rows, text};

const NOW: &str = "2026-09-01T12:00";

fn buy(app: &mut App, choice: &BuyChoice) -> serde_json::Value {
    json(&app.buy_answer(choice, Form::Json).unwrap())
}

#[test]
fn the_stock_check_counts_neither_expired_nor_faulty() {
    let yard = Yard::demo();
    let mut app = yard.season(NOW, "harbor-2026");
    let checked = app.check(&[CheckKind::Stock], &WhatIf::default()).unwrap();
    let find = |place: &str| checked.findings.iter().find(|f| f.place == place).unwrap();
    let glue = find("C-ROOFADH");
    assert!(glue.what.contains("out of date") && glue.value == "0 usable", "{glue:?}");
    assert_eq!(find("ARCH-02").code, "stock.faulty");
    let (ties, usable) = (find("C-TIE"), app.yard().stock.iter().find(|s| s.code == "STK-TIE").unwrap().id);
    assert_eq!(ties.value, format!("{} usable", ladderday::steps::on_hand(app.yard(), usable)));
    assert!(!checked.must_stop(), "a shortage is bought, not a danger");
}

#[test]
fn a_shortfall_and_the_stakes_are_on_the_list() {
    let doc = buy(&mut Yard::demo().season(NOW, "harbor-2026"), &BuyChoice::default());
    let need =
        |title: &str| rows(&doc, "needs").iter().find(|n| text(n, "title").starts_with(title)).unwrap();
    assert!(rows(need("Conduit stake"), "why").iter().any(|r| r.as_str().unwrap().starts_with("short:")));
    let motor = rows(&doc, "needs").iter().find(|n| text(n, "title").starts_with("Spinner motor"));
    assert!(motor.is_none(), "two are on order and come in time: {motor:?}");
}

#[test]
fn a_budget_leaves_out_what_is_worth_least_and_a_closed_vendor_costs_more() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    let cents = |doc: &serde_json::Value| doc["total_cents"].as_i64().unwrap();
    let plain = cents(&buy(&mut app, &BuyChoice::default()));
    let budget = Money::from_cents(plain / 2);
    let tight = buy(&mut app, &BuyChoice { budget: Some(budget), ..BuyChoice::default() });
    assert!(cents(&tight) <= budget.cents() && !rows(&tight, "left_out").is_empty(), "{tight:#}");
    assert!(text(&tight, "against").contains("less"));
    let close = vec!["NORTHQUAY".to_owned()];
    let shut = buy(&mut app, &BuyChoice { close, ..BuyChoice::default() });
    assert!(rows(&shut, "baskets").iter().all(|b| text(b, "vendor") != "Northquay Parts"));
    let local = buy(&mut app, &BuyChoice { local: true, ..BuyChoice::default() });
    assert!(rows(&local, "baskets").iter().all(|b| text(b, "vendor") == "Gannet Hardware"));
    let without = vec!["C-TIE".to_owned()];
    let less = buy(&mut app, &BuyChoice { without, ..BuyChoice::default() });
    assert!(cents(&less) < plain);
    let nobody = BuyChoice { close: vec!["NOBODY".to_owned()], ..BuyChoice::default() };
    assert_eq!(app.buy_answer(&nobody, Form::Text).unwrap_err().code, "no-vendor");
}

#[test]
fn part_deliveries_go_into_stock_and_free_the_repair() {
    let yard = Yard::demo();
    let on_hand = |app: &App, code: &str| {
        let product = app.yard().products.iter().find(|p| p.code == code).unwrap().id;
        let lots: Vec<_> =
            app.yard().stock.iter().filter(|s| s.product_id == product).map(|s| s.id).collect();
        lots.into_iter().map(|id| ladderday::steps::on_hand(app.yard(), id)).sum::<i64>()
    };
    let mut app = yard.at("2026-09-20T12:00");
    let late = json(&app.buy_answer(&BuyChoice::default(), Form::Json).unwrap());
    assert!(!late.to_string().is_empty());
    assert!(app.buy_answer(&BuyChoice::default(), Form::Text).unwrap().contains("LATE by 6 days"));
    let receive = |app: &mut App, n: Option<i64>| {
        app.perform(&Ask::Receive {
            order: "PO26-03".to_owned(),
            lines: vec![("PT-MOTOR".to_owned(), n)],
            into: None,
        })
    };
    let said = receive(&mut app, Some(1)).unwrap();
    assert!(said.said.contains("F25-15 can be mended now"), "{said}");
    assert_eq!(receive(&mut app, Some(5)).unwrap_err().code, "count-beyond");
    receive(&mut app, None).unwrap();
    assert_eq!(on_hand(&app, "PT-MOTOR"), 2);
    let done = app.perform(&Ask::Receive { order: "PO26-03".to_owned(), lines: Vec::new(), into: None });
    assert_eq!(done.unwrap_err().code, "all-received");
}

#[test]
fn an_order_takes_its_needs_off_the_list() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    let before = buy(&mut app, &BuyChoice::default());
    let basket = &rows(&before, "baskets")[0];
    let vendor = text(basket, "vendor").to_owned();
    let item = text(&rows(basket, "lines")[0], "item").to_owned();
    let said = app.perform(&Ask::Order { vendor: vendor.clone() }).unwrap().said;
    assert!(
        said.contains("PO26-")
            && said.contains(&Money::from_cents(basket["total_cents"].as_i64().unwrap()).show("USD")),
        "{said}"
    );
    let after = buy(&mut app, &BuyChoice::default());
    let again = rows(&after, "baskets")
        .iter()
        .find(|b| text(b, "vendor") == vendor)
        .is_some_and(|b| rows(b, "lines").iter().any(|l| text(l, "item") == item));
    assert!(!again, "{item} is on its way");
}
