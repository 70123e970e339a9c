//! Buying that closes: what came ends its needs, also in parts; what is at hand or no longer used is no need.

use ladderday::app::{App, Ask, BuyChoice, Form};

use super::{Yard, json, rows, text};

const NOW: &str = "2026-07-01T12:00";

/// A yard of its own: ties and strips noted, an order of each on its way, one star lost with a spare at home.
fn yard(more: &[(&'static str, &'static str)]) -> Yard {
    let mut files = vec![
        ("site.csv", "name,time_zone,currency,units\nHof,Europe/Vienna,EUR,si\n"),
        (
            "product.csv",
            "code,name,role,counted\nTIE,Ties,consumable,yes\nSTRIP,Strip,part,yes\nSTAR,Star,prop,no\nOLD,Old sign,prop,no\n",
        ),
        ("season.csv", "code,name,show,lights_on\nfrost-2026,Frost,frost,2026-12-01T17:00\n"),
        ("piece.csv", "code,product,condition\nS-1,STAR,lost\nS-2,STAR,good\nS-3,STAR,good\nO-1,OLD,lost\n"),
        ("placement.csv", "code,name,season,product,count\nPL-S,Stars,frost-2026,STAR,2\n"),
        ("placement_piece.csv", "placement,piece\nPL-S,S-1\nPL-S,S-2\n"),
        (
            "need.csv",
            "code,product,title,quantity,need_by,reason\nN1,TIE,Ties,100,2026-09-01,noted\nN2,TIE,Ties,50,2026-10-01,noted\n\
             N3,,strip,4,2026-10-01,noted\nN4,,Stiffer feet,1,2026-10-01,improvement\n",
        ),
        ("vendor.csv", "code,name\nQUAY,Quay\n"),
        ("purchase_order.csv", "code,vendor,ordered_on,expected_on\nPO1,QUAY,2026-06-20,2026-07-01\n"),
        ("order_line.csv", "order,product,packs,pack,price_cents\nPO1,TIE,3,50,400\nPO1,STRIP,1,4,900\n"),
    ];
    files.extend_from_slice(more);
    Yard::of(&files)
}

fn receive(app: &mut App, line: &str, n: i64) {
    let lines = vec![(line.to_owned(), Some(n))];
    app.perform(&Ask::Receive { order: "PO1".to_owned(), lines, into: None }).unwrap();
}

fn open(app: &App) -> Vec<(&str, i64)> {
    let needs = app.yard().needs.iter().filter(|n| n.met_on.is_none());
    needs.map(|n| (n.code.as_str(), n.quantity)).collect()
}

fn needs(app: &mut App) -> Vec<String> {
    let doc = json(&app.buy_answer(&BuyChoice::default(), Form::Json).unwrap());
    rows(&doc, "needs").iter().map(|n| text(n, "title").to_owned()).collect()
}

/// A line told twice in one deed adds up, and is no more than was ordered.
#[test]
fn more_than_ordered_is_refused_however_it_is_told() {
    let yard = yard(&[]);
    let mut app = yard.at(NOW);
    let twice = |n: i64| {
        let line = ("TIE".to_owned(), Some(n));
        Ask::Receive { order: "PO1".to_owned(), lines: vec![line.clone(), line], into: None }
    };
    let refused = app.perform(&twice(80)).unwrap_err();
    assert_eq!(
        (refused.code, refused.hints.as_slice()),
        ("count-beyond", &["70 pieces are to come: give 1 to 70".to_owned()][..])
    );
    assert_eq!(open(&app).len(), 4, "nothing was taken in");
    app.perform(&twice(60)).unwrap();
    assert_eq!(open(&app), [("N2", 30), ("N3", 4), ("N4", 1)], "120 came");
}

#[test]
fn part_deliveries_end_needs_the_earliest_first() {
    let yard = yard(&[]);
    let mut app = yard.at(NOW);
    receive(&mut app, "TIE", 60);
    assert_eq!(open(&app), [("N1", 40), ("N2", 50), ("N3", 4), ("N4", 1)], "60 of 100 came");
    receive(&mut app, "TIE", 60);
    assert_eq!(open(&app), [("N2", 30), ("N3", 4), ("N4", 1)]);
    receive(&mut app, "STRIP", 4);
    assert_eq!(open(&app), [("N2", 30), ("N4", 1)], "one told by its name only ends too");
    receive(&mut app, "TIE", 30);
    assert_eq!(open(&app), [("N4", 1)]);
    assert_eq!(app.perform(&Ask::Undo).map(|_| open(&app)).unwrap(), [("N2", 30), ("N4", 1)]);
}

#[test]
fn a_spare_at_home_and_what_no_coming_season_uses_are_no_needs() {
    let yard = yard(&[]);
    let list = needs(&mut yard.at(NOW));
    assert!(!list.contains(&"Star".to_owned()), "S-3 is good and at home: {list:?}");
    assert!(!list.contains(&"Old sign".to_owned()), "nothing puts it out any more: {list:?}");
    let mut app = yard.at(NOW);
    let id = app.yard().pieces.iter().find(|p| p.code == "S-3").unwrap().id.0;
    let edit = Ask::Edit { table: "piece", id, column: "condition".to_owned(), text: "lent".to_owned() };
    app.perform(&edit).unwrap();
    assert!(needs(&mut app).contains(&"Star".to_owned()), "the spare is lent: one is bought");
}

#[test]
fn home_built_things_are_not_bought_nearby_and_an_order_is_shown_first() {
    let yard =
        yard(&[("offer.csv", "code,vendor,product,pack,price_cents,min_packs\nO1,QUAY,STRIP,4,900,1\n")]);
    let mut app = yard.at(NOW);
    let doc = json(&app.buy_answer(&BuyChoice::default(), Form::Json).unwrap());
    let feet = rows(&doc, "unmet").iter().filter_map(|u| u.as_str()).find(|u| u.starts_with("Stiffer feet"));
    assert!(feet.is_some_and(|f| f.contains("made at home") && !f.contains("nearby")), "{feet:?}");
    app.perform(&Ask::AddNeed { title: "Strip".to_owned(), quantity: 9, need_by: None }).unwrap();
    let doc = json(&app.buy_answer(&BuyChoice::default(), Form::Json).unwrap());
    let strip = rows(&doc, "needs").iter().find(|n| text(n, "title") == "Strip").unwrap();
    assert_eq!((text(strip, "vendor"), strip["price_cents"].as_i64()), ("Quay", Some(1_800)), "{strip}");
    let before = app.yard().purchase_orders.len();
    let shown = app.order_shown("quay", Form::Text).unwrap();
    assert!(shown.contains("2 packs of 4 x Strip"), "{shown}");
    assert_eq!(app.yard().purchase_orders.len(), before, "nothing is ordered by looking");
    assert_eq!(app.order_shown("nobody", Form::Text).unwrap_err().code, "no-vendor");
}
