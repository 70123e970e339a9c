//! Needs that no offer meets are named with reason and dates, the rest is answered; a trip to fetch costs its money.

use chrono::{Duration, NaiveDate};
use ladderday::app::{BuyChoice, Form, SheetForm};

use super::{Yard, json, rows, text};

const NOW: &str = "2026-09-01T12:00";
const SITE: (&str, &str) = ("site.csv", "name,time_zone,currency\nRow 3,America/New_York,USD\n");
const PRODUCT: (&str, &str) = (
    "product.csv",
    "code,name,role,counted\nTIE,Ties,consumable,yes\nGLUE,Glue,consumable,yes\nPEG,Pegs,consumable,yes\n",
);
const NEED: (&str, &str) = (
    "need.csv",
    "code,product,title,quantity,need_by,reason,worth\nN1,TIE,Ties,100,2026-10-01,noted,3\n\
     N2,GLUE,Glue,2,2026-09-20,noted,3\nN3,PEG,Pegs,8,2026-10-01,noted,3\n",
);
const VENDOR: (&str, &str) = (
    "vendor.csv",
    "code,name,local,handling_days,trip_cents\nNEAR,Corner Stores,yes,0,600\nFAR,Slow Boat,no,0,0\n",
);
const TIER: (&str, &str) =
    ("shipping_tier.csv", "vendor,from_subtotal_cents,fee_cents,transit_days\nFAR,0,400,30\n");

fn buy(offers: &str, choice: &BuyChoice) -> serde_json::Value {
    let head = "code,vendor,product,pack,price_cents,min_packs,lead_days,priced_on\n";
    let offers = format!("{head}{offers}");
    let yard = Yard::of(&[SITE, PRODUCT, NEED, VENDOR, TIER, ("offer.csv", &offers)]);
    json(&yard.at(NOW).buy_answer(choice, Form::Json).unwrap())
}

/// Sent at once on 1 September, thirty days on the road: there on 1 October, glue is needed on 20 September.
#[test]
fn what_can_t_be_had_is_named_and_the_rest_is_answered() {
    let doc =
        buy("O1,NEAR,TIE,100,1000,1,0,2026-08-01\nO2,FAR,GLUE,1,500,1,0,2026-08-01\n", &BuyChoice::default());
    let unmet: Vec<&str> = rows(&doc, "unmet").iter().filter_map(|u| u.as_str()).collect();
    assert_eq!(
        unmet,
        [
            "Pegs: no offer is known: add one, or buy it nearby",
            "Glue: late: nearest is 1 Oct 2026 at Slow Boat, needed 20 Sep 2026; order it today, find it nearby, or \
             move the step",
        ]
    );
    let [far, near] = rows(&doc, "baskets").as_slice() else { panic!("{doc:#}") };
    assert_eq!((text(near, "vendor"), near["goods_cents"].as_i64()), ("Corner Stores", Some(1_000)));
    assert_eq!((text(far, "vendor"), far["goods_cents"].as_i64()), ("Slow Boat", Some(1_000)));
    assert_eq!(text(far, "order_by"), "2026-09-01", "what is late is ordered today");
}

/// What "order by" says holds on that very day and no longer, whatever weekend lies between; made first, then packed on
/// working days, then sent.
#[test]
fn an_order_of_the_day_it_says_is_in_time_and_one_a_day_later_is_not() {
    let mut random = fastrand::Rng::with_seed(20_261_201);
    for _ in 0..40 {
        let (made, packed, sent) = (random.i64(0..9), random.i64(0..6), random.i64(1..15));
        let need = NaiveDate::from_ymd_opt(2026, 11, 1).unwrap() + Duration::days(random.i64(0..14));
        let vendor = format!("code,name,local,handling_days\nFAR,Slow Boat,no,{packed}\n");
        let tier = format!("vendor,from_subtotal_cents,fee_cents,transit_days\nFAR,0,400,{sent}\n");
        let offer = format!(
            "code,vendor,product,pack,price_cents,min_packs,lead_days,priced_on\nO1,FAR,GLUE,1,500,1,{made},2026-08-01\n"
        );
        let needs =
            format!("code,product,title,quantity,need_by,reason,worth\nN2,GLUE,Glue,2,{need},noted,3\n");
        let yard = Yard::of(&[
            SITE,
            PRODUCT,
            ("need.csv", &needs),
            ("vendor.csv", &vendor),
            ("shipping_tier.csv", &tier),
            ("offer.csv", &offer),
        ]);
        let on = |now: NaiveDate| {
            let said =
                yard.at(&format!("{now}T12:00")).buy_answer(&BuyChoice::default(), Form::Json).unwrap();
            let doc = json(&said);
            let by: NaiveDate = text(&rows(&doc, "baskets")[0], "order_by").parse().unwrap();
            (by, rows(&doc, "unmet").is_empty())
        };
        let (by, in_time) = on(NaiveDate::from_ymd_opt(2026, 9, 1).unwrap());
        let case = format!("made in {made}, packed in {packed}, sent in {sent}, needed {need}: by {by}");
        assert!(in_time, "{case}");
        assert_eq!(on(by), (by, true), "{case}, asked on that day");
        assert!(!on(by.succ_opt().unwrap()).1, "{case}, asked a day later");
    }
}

/// Of a vendor who sends, the days on the road are asked for even where others are told.
#[test]
fn days_on_the_road_that_nobody_told_are_said() {
    let offer = "code,vendor,product,pack,price_cents,min_packs,lead_days,priced_on\nO1,FAR,GLUE,1,500,1,2,2026-08-01\n";
    let doc = |tier: Option<(&'static str, &'static str)>| {
        let mut tables = vec![SITE, PRODUCT, NEED, VENDOR, ("offer.csv", offer)];
        tables.extend(tier);
        json(&Yard::of(&tables).at(NOW).buy_answer(&BuyChoice::default(), Form::Json).unwrap())
    };
    let asks = |doc: &serde_json::Value| {
        let lines = rows(doc, "not_told");
        lines.iter().any(|l| l.as_str().unwrap().contains("transit not told, or 0, for Slow Boat"))
    };
    assert!(asks(&doc(None)), "{:#}", doc(None));
    assert!(!asks(&doc(Some(TIER))));
}

/// Ties cost 10.00 near and a trip of 6.00, or 11.00 far and 4.00 shipping: far is cheaper by 1.00. With pegs for
/// 3.00 near and 6.00 far, one trip carries both: 10 + 3 + 6 = 19 against 11 + 6 + 4 = 21, split 11 + 4 + 3 + 6 = 24.
#[test]
fn the_trip_to_a_vendor_nearby_counts_once_whatever_is_fetched() {
    let ties = "O1,NEAR,TIE,100,1000,1,0,2026-08-01\nO2,FAR,TIE,100,1100,1,0,2026-08-01\n";
    let doc = buy(ties, &BuyChoice::default());
    assert_eq!(
        (doc["total_cents"].as_i64(), text(&rows(&doc, "baskets")[0], "vendor")),
        (Some(1_500), "Slow Boat")
    );
    let both = format!("{ties}O3,NEAR,PEG,8,300,1,0,2026-08-01\nO4,FAR,PEG,8,600,1,0,2026-08-01\n");
    let doc = buy(&both, &BuyChoice::default());
    let [basket] = rows(&doc, "baskets").as_slice() else { panic!("{doc:#}") };
    assert_eq!(doc["total_cents"].as_i64(), Some(1_900));
    assert_eq!((text(basket, "vendor"), basket["shipping_cents"].as_i64()), ("Corner Stores", Some(600)));
    let local = buy(ties, &BuyChoice { local: true, ..BuyChoice::default() });
    assert_eq!(local["total_cents"].as_i64(), Some(1_600));
    assert!(text(&local, "against").contains("$1.00 more"), "{local:#}");
    assert_eq!(
        rows(&local, "changes").iter().filter_map(|c| c.as_str()).collect::<Vec<_>>(),
        ["Corner Stores: $16.00 instead of nothing", "Slow Boat: nothing instead of $15.00"]
    );
}

/// Prices keep the day they were asked; the trip of a shop nearby is part of what it costs there.
#[test]
fn prices_keep_their_day() {
    let yard = Yard::of(&[
        SITE,
        PRODUCT,
        NEED,
        VENDOR,
        TIER,
        (
            "offer.csv",
            "code,vendor,product,pack,price_cents,min_packs,lead_days,priced_on\nO1,NEAR,TIE,100,1000,1,0,2025-11-29\n",
        ),
    ]);
    let mut app = yard.at(NOW);
    let ladderday::app::Page::Buy(page) =
        app.page(ladderday::answers::view::ScreenId::Buy, &ladderday::app::PageWant::default()).unwrap()
    else {
        panic!("Buy")
    };
    let offers: Vec<String> = page.baskets.iter().flat_map(|b| &b.lines).map(|l| l.priced.clone()).collect();
    assert_eq!(offers, ["priced 29 Nov 2025"], "{page:#?}");
    let sheet = app.shopping_sheet(SheetForm::Text).unwrap();
    assert!(sheet.contains("priced 29 Nov 2025"), "{sheet}");
}

#[test]
fn offers_of_a_file_that_make_no_sense_are_refused_with_their_line() {
    let head = "code,vendor,product,pack,price_cents,min_packs,max_packs,lead_days,sale_from,sale_to\n";
    let refused = |row: &str| {
        let yard = Yard::of(&[SITE, PRODUCT, VENDOR]);
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("offer.csv"), format!("{head}{row}\n")).unwrap();
        let mut app = yard.at(NOW);
        let problem = app.import(&[folder.path().to_owned()]).unwrap_err();
        assert!(app.yard().offers.is_empty(), "nothing is taken");
        problem.what
    };
    for (row, column) in [
        ("O1,NEAR,TIE,-5,1000,1,,0,,", "pack"),
        ("O1,NEAR,TIE,0,1000,1,,0,,", "pack"),
        ("O1,NEAR,TIE,5,-1,1,,0,,", "price_cents"),
        ("O1,NEAR,TIE,5,9.99 EUR,1,,0,,", "price_cents"),
        ("O1,NEAR,TIE,5,1000,-1,,0,,", "min_packs"),
        ("O1,NEAR,TIE,5,1000,3,2,0,,", "max_packs"),
        ("O1,NEAR,TIE,5,1000,1,,-1,,", "lead_days"),
        ("O1,NEAR,TIE,5,1000,1,,0,2026-11-20,2026-11-19", "sale_to"),
    ] {
        let what = refused(row);
        assert!(what.contains("line 2") && what.contains(column), "{row}: {what}");
    }
}

#[test]
fn what_is_to_be_better_is_a_need_of_its_own_kind() {
    let yard = Yard::of(&[SITE, PRODUCT]);
    let mut app = yard.at(NOW);
    let note =
        |title: &str| ladderday::app::Ask::AddNeed { title: title.to_owned(), quantity: 1, need_by: None };
    app.perform(&note("improve: a ramp over the lead")).unwrap();
    app.perform(&note("improve:")).unwrap();
    let doc = json(&app.buy_answer(&BuyChoice::default(), Form::Json).unwrap());
    let row = |title: &str| {
        rows(&doc, "needs").iter().find(|n| text(n, "title") == title).unwrap()["why"][0].clone()
    };
    assert_eq!((row("a ramp over the lead"), row("improve:")), ("improvement".into(), "noted".into()));
}

#[test]
fn offers_that_ended_and_days_that_nobody_told_are_said() {
    let ended = |day: &str| {
        let offers = format!("code,vendor,product,pack,price_cents,sale_to\nO1,NEAR,TIE,1,500,{day}\n");
        let yard = Yard::of(&[SITE, PRODUCT, NEED, VENDOR, ("offer.csv", &offers)]);
        json(&yard.at(NOW).buy_answer(&BuyChoice::default(), Form::Json).unwrap())["unmet"].to_string()
    };
    assert!(
        ended("2026-08-31").contains("Ties: the offers that are known ended, the last on Mon 31 Aug 2026")
    );
    assert!(!ended("2026-12-31").contains("Ties: "));
    let days = |tier: &str| {
        let tier = format!("vendor,from_subtotal_cents,fee_cents,transit_days\nFAR,0,400,{tier}\n");
        let offer = ("offer.csv", "code,vendor,product,pack,price_cents\nO1,FAR,TIE,1,500\n");
        let yard = Yard::of(&[SITE, PRODUCT, NEED, VENDOR, ("shipping_tier.csv", &tier), offer]);
        json(&yard.at(NOW).buy_answer(&BuyChoice::default(), Form::Json).unwrap())["not_told"].to_string()
    };
    let line = "days of making, handling and transit not told, or 0, for Slow Boat";
    assert!(days("").contains(line) && !days("12").contains(line));
    // One that is told hides none of the others.
    assert!(days("12").contains("days of making and handling not told, or 0, for Slow Boat"));
}
