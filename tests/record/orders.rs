//! Deliveries, sales to come, offers typed, adaptors, and facts that contradict each other.

use ladderday::answers::power::{CheckKind, WhatIf};
use ladderday::app::{App, Ask, BuyChoice, Form, NewOffer};
use ladderday::domain::{Condition, Phase};

use super::{Yard, json, rows, text};

const NOW: &str = "2026-09-01T12:00";

fn codes(app: &mut App, files: &[(&str, &str)]) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    match app.import(&[folder.path().to_owned()]) {
        Ok(said) => vec![said],
        Err(problem) => problem.what.lines().skip(1).map(str::to_owned).collect(),
    }
}

#[test]
fn a_delivery_told_late_moves_what_waits_for_it() {
    let yard = Yard::demo();
    let mut app = yard.season(NOW, "harbor-2026");
    let gull = |app: &App| {
        let steps = app.steps(Phase::Up).unwrap().steps.clone();
        steps.iter().find(|s| s.title.contains("GULL-02")).unwrap().not_before.unwrap().date().to_string()
    };
    assert_eq!(gull(&app), "2026-09-14");
    let expect = |on: &str| Ask::ExpectOrder { order: "po26-03".to_owned(), on: on.to_owned() };
    let said = app.perform(&expect("2026-10-20")).unwrap().said;
    assert!(said.contains("2026-10-20, before 2026-09-14"), "{said}");
    assert_eq!(gull(&app), "2026-10-20");
    assert_eq!(app.perform(&expect("2020-01-01")).unwrap_err().code, "before-order");
    assert_eq!(app.perform(&expect("soon")).unwrap_err().code, "bad-date");
}

#[test]
fn steps_wait_for_consumables_and_props_on_order() {
    let yard = Yard::demo();
    let mut app = yard.season(NOW, "harbor-2026");
    let free = |app: &App, needle: &str| {
        let steps = app.steps(Phase::Up).unwrap().steps.clone();
        steps.iter().filter(|s| s.recipe_step == needle).filter(|s| s.not_before.is_some()).count()
    };
    assert_eq!(free(&app, "stake.tie"), 0);
    let order = "code,vendor,ordered_on,expected_on\nPO-TIE,NORTHQUAY,2026-08-30,2026-11-05\n";
    let line = "order,product,offer,packs,pack,price_cents,received\nPO-TIE,C-TIE,O-002,1,500,3290,0\n";
    codes(&mut app, &[("purchase_order.csv", order), ("order_line.csv", line)]);
    let late = app.steps(Phase::Up).unwrap().steps.clone();
    let waiting: Vec<_> = late
        .iter()
        .filter(|s| s.not_before.is_some_and(|t| t.to_string().starts_with("2026-11-05")))
        .collect();
    assert!(!waiting.is_empty(), "more ties are used than are on hand");
    let tied = late.iter().filter(|s| s.recipe_step == "stake.tie").count();
    assert!(free(&app, "stake.tie") < tied, "those that are on hand are used first");
}

#[test]
fn a_sale_that_opens_in_time_is_waited_for_and_one_too_late_is_not() {
    let yard = Yard::demo();
    let mut app = yard.season(NOW, "harbor-2026");
    let basket = |app: &mut App| json(&app.buy_answer(&BuyChoice::default(), Form::Json).unwrap());
    let sale = |from: &str, to: &str| {
        Ask::AddOffer(NewOffer {
            vendor: "Northquay Parts".to_owned(),
            product: "PT-STRIP".to_owned(),
            price: "1.00".to_owned(),
            pack: 5,
            min_packs: 1,
            sale_from: Some(from.to_owned()),
            sale_to: Some(to.to_owned()),
            ..NewOffer::default()
        })
    };
    let before = basket(&mut app)["total_cents"].clone();
    app.perform(&sale("2026-12-20", "2026-12-24")).unwrap();
    assert_eq!(basket(&mut app)["total_cents"], before, "it opens after the strip is needed");
    app.perform(&sale("2026-09-10", "2026-09-14")).unwrap();
    let doc = basket(&mut app);
    let order = rows(&doc, "baskets").iter().find(|b| text(b, "vendor").contains("sale from 10 Sep 2026"));
    let order = order.unwrap_or_else(|| panic!("{doc:#}"));
    assert!(text(order, "order_by") == "2026-09-14", "the sale's last day: {order:#}");
}

/// What is cheapest without the sale is ordered today, not on the day of a sale of the same vendor.
#[test]
fn an_order_that_takes_nothing_of_a_sale_does_not_wait_for_it() {
    let yard = Yard::of(&[
        ("product.csv", "code,name,counted\nTIE,Ties,yes\nTAPE,Tape,yes\n"),
        ("need.csv", "code,product,title,quantity,need_by,reason\nN1,TIE,Ties,20,2026-12-01,noted\n"),
        ("vendor.csv", "code,name\nQUAY,Quay\n"),
        (
            "offer.csv",
            "code,vendor,product,pack,price_cents,sale_from\nO1,QUAY,TIE,100,350,\nO2,QUAY,TIE,3,1250,2026-10-20\n\
             O3,QUAY,TAPE,1,100,2026-10-20\n",
        ),
    ]);
    let mut app = yard.at("2026-10-15T12:00");
    let vendor = |app: &mut App| {
        let doc = json(&app.buy_answer(&BuyChoice::default(), Form::Json).unwrap());
        rows(&doc, "baskets").iter().map(|b| text(b, "vendor").to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(vendor(&mut app), ["Quay"]);
    let order = Ask::Order { vendor: "QUAY".to_owned() };
    assert!(app.order_shown("QUAY", Form::Text).unwrap().contains("100 x Ties"));
    app.perform(&order).unwrap();
    // What is only on sale waits for the sale, and says so.
    app.perform(&Ask::AddNeed {
        title: "Tape".to_owned(),
        quantity: 1,
        need_by: Some("2026-12-01".to_owned()),
    })
    .unwrap();
    assert_eq!(vendor(&mut app), ["Quay, sale from 20 Oct 2026"]);
    for refused in [app.order_shown("QUAY", Form::Text).unwrap_err(), app.perform(&order).unwrap_err()] {
        assert!(refused.code == "nothing-to-order" && refused.what.contains("20 Oct 2026"), "{refused:?}");
    }
}

#[test]
fn an_offer_that_makes_no_sense_is_refused() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    let good = NewOffer {
        vendor: "GANNET".to_owned(),
        product: "C-TIE".to_owned(),
        price: "9.99".to_owned(),
        pack: 100,
        min_packs: 1,
        ..NewOffer::default()
    };
    let refused = |app: &mut App, new: NewOffer| app.perform(&Ask::AddOffer(new)).unwrap_err().code;
    for (code, new) in [
        ("mixed-currency", NewOffer { price: "9.99 EUR".to_owned(), ..good.clone() }),
        ("bad-price", NewOffer { price: "12..5".to_owned(), ..good.clone() }),
        ("bad-price", NewOffer { price: "-1".to_owned(), ..good.clone() }),
        ("bad-pack", NewOffer { pack: -5, ..good.clone() }),
        ("bad-pack", NewOffer { lead_days: -1, ..good.clone() }),
        ("most-below-fewest", NewOffer { min_packs: 3, max_packs: Some(2), ..good.clone() }),
        ("no-vendor", NewOffer { vendor: "NONE".to_owned(), ..good.clone() }),
        ("no-product", NewOffer { product: "NONE".to_owned(), ..good.clone() }),
        (
            "ends-before-start",
            NewOffer {
                sale_from: Some("2026-11-20".to_owned()),
                sale_to: Some("2026-11-19".to_owned()),
                ..good.clone()
            },
        ),
    ] {
        assert_eq!(refused(&mut app, new.clone()), code, "{new:?}");
    }
    app.perform(&Ask::AddOffer(good)).unwrap();
    assert_eq!(
        app.yard().offers.iter().filter(|o| o.priced_on.unwrap().to_string() == "2026-09-01").count(),
        1
    );
}

#[test]
fn what_arrives_goes_into_the_tote_that_is_told() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    let receive = |into: &str| Ask::Receive {
        order: "PO26-03".to_owned(),
        lines: Vec::new(),
        into: Some(into.to_owned()),
    };
    assert_eq!(app.perform(&receive("T-99")).unwrap_err().code, "no-tote");
    let said = app.perform(&receive("T-26")).unwrap().said;
    assert!(said.contains("into T-26"), "{said}");
}

#[test]
fn adaptors_between_plug_families_are_counted() {
    let yard = Yard::demo();
    let mut app = yard.season(NOW, "harbor-2026");
    let found = |app: &mut App, needle: &str| {
        let checked = app.check(&[CheckKind::Stock], &WhatIf::default()).unwrap();
        checked.findings.into_iter().find(|f| f.what.contains(needle))
    };
    assert!(found(&mut app, "adaptor between them").is_none());
    let dc = |l: &ladderday::domain::Link| {
        l.kind == ladderday::domain::LinkKind::Dc && l.to_placement_id.is_some()
    };
    // A lead in use whose far plug is of a family that no adaptor joins to the prop's.
    let lead = app.yard().links.iter().find_map(|l| l.lead_id.filter(|_| dc(l))).unwrap();
    let code = app.yard().pieces.iter().find(|p| p.id == lead).unwrap().clone();
    let product = app.yard().products.iter().find(|p| p.id == code.product_id).unwrap().code.clone();
    let told = format!("code,product,out_plug\n{},{product},hook4\n", code.code);
    let said = codes(&mut app, &[("piece.csv", &told)]);
    let f = found(&mut app, "adaptor between them").unwrap_or_else(|| panic!("{said:?}"));
    assert!(f.what.contains("hook4") && f.what.contains("round3"), "{f:?}");
    // A known family: counted against the adaptors on hand, which are enough, until they are frozen.
    let told = told.replace("hook4", "flat3");
    codes(&mut app, &[("piece.csv", &told)]);
    assert!(found(&mut app, "adaptor between them").is_none());
    let lot = app
        .yard()
        .stock
        .iter()
        .find(|s| app.yard().products.iter().any(|p| p.id == s.product_id && p.code == "ADP-3"));
    if let Some(lot) = lot.map(|s| s.code.clone()) {
        codes(&mut app, &[("stock.csv", &format!("code,product,frozen\n{lot},ADP-3,yes\n"))]);
    }
    let short = found(&mut app, "Adaptor flat to round").unwrap();
    assert!(short.what.contains("joints of flat3 and round3"), "{short:?}");
    let buy = json(&app.buy_answer(&BuyChoice::default(), Form::Json).unwrap());
    assert!(rows(&buy, "needs").iter().any(|n| text(n, "title").starts_with("Adaptor flat")), "it is a need");
}

#[test]
fn facts_that_contradict_are_refused_with_the_fact() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    let early = codes(&mut app, &[("repair_entry.csv", "fault,at,deed\nF25-10,2025-01-01T10:00,mended\n")]);
    assert!(
        early.len() == 1
            && early[0].contains("before its fault was found (16 Dec 2025")
                | early[0].contains("before its fault was found (15 Dec 2025"),
        "{early:?}"
    );
    let fault = "code,piece,symptom,at_pixel,found\nF-X,BOAT-05,one pixel out,51,2026-08-01T10:00\n";
    let beyond = codes(&mut app, &[("fault.csv", fault)]);
    assert!(
        beyond.len() == 1 && beyond[0].contains("pixel 51 is beyond the prop, which has 50"),
        "{beyond:?}"
    );
    let gone = app.yard().pieces.iter().find(|p| p.condition == Condition::Scrapped).map(|p| p.code.clone());
    if let Some(gone) = gone {
        let placed =
            codes(&mut app, &[("placement_piece.csv", &format!("placement,piece\nHM26-10,{gone}\n"))]);
        assert!(placed.iter().any(|l| l.contains("was scrapped on")), "{placed:?}");
    }
}

#[test]
fn a_season_close_decides_once_on_what_was_done_differently() {
    for keep in [true, false] {
        let yard = Yard::demo();
        let mut app = yard.season("2026-11-14T10:00", "harbor-2026");
        let facts = ladderday::steps::Facts::new(app.yard());
        let season = app.yard().seasons.iter().find(|s| s.code == "harbor-2026").unwrap().id;
        let fed = |l: &&ladderday::domain::Link| l.from_port.is_some() && l.to_placement_id.is_some();
        let placement = facts.links_in(season).into_iter().find(fed).unwrap().to_placement_id;
        let steps = app.steps(Phase::Up).unwrap().steps.clone();
        let step = steps.into_iter().find(|s| s.placement == placement).unwrap();
        app.perform(&Ask::DoneDifferently {
            key: step.key.to_string(),
            what: ladderday::app::Difference::Port,
            text: "7".to_owned(),
        })
        .unwrap();
        assert_eq!(app.differences("harbor-2026").unwrap().len(), 1);
        let differs = app.yard().season_differences[0].clone();
        let code = differs.link_code.clone().unwrap();
        app.perform(&Ask::CloseSeason { code: "harbor-2026".to_owned(), keep: Some(keep), next: None })
            .unwrap();
        assert!(app.differences("harbor-2026").unwrap().is_empty());
        let again = Ask::CloseSeason { code: "harbor-2026".to_owned(), keep: Some(!keep), next: None };
        assert_eq!(app.perform(&again).unwrap_err().code, "season-closed");
        app.perform(&Ask::NewSeason {
            code: "harbor-2027".to_owned(),
            name: String::new(),
            lights_on: Some("2027-11-26".to_owned()),
        })
        .unwrap();
        let wanted = format!("harbor-2027/{code}");
        let copied = app.yard().links.iter().find(|l| l.code == wanted).unwrap();
        let wanted = if keep { "7" } else { differs.before_text.as_str() };
        assert_eq!(copied.from_port.as_deref(), Some(wanted), "keep {keep}");
    }
}
