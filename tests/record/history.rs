//! A yard made by hand: spares and shares that can be computed on paper.

use ladderday::app::Form;

use super::{Yard, json, rows};

const SITE: (&str, &str) = ("site.csv", "name,time_zone\nRow 3,America/New_York\n");
const PRODUCT: (&str, &str) = ("product.csv", "code,name,kind,role,pixels\nM,Mini,mini,prop,50\n");
const PIECE: (&str, &str) = ("piece.csv", "code,product\nA,M\nB,M\n");
const SEASON: (&str, &str) = (
    "season.csv",
    "code,name,lights_on,lights_off,nightly_from,nightly_to\n\
     old,Old,2025-12-01T17:00,2025-12-10,17:00,21:00\nnew,New,2026-12-01T17:00,,,\n",
);
const PLACEMENT: (&str, &str) =
    ("placement.csv", "code,name,season,product,count\nP1,Minis,old,M,2\nP2,Minis,new,M,2\n");
const PIECES: (&str, &str) = ("placement_piece.csv", "placement,piece\nP1,A\nP1,B\nP2,A\nP2,B\n");
const FAULT: (&str, &str) =
    ("fault.csv", "code,piece,placement,season,symptom,found\nF,A,P1,old,dark_from,2025-12-05T20:00\n");

/// Of two unit-seasons one failed. The usual share is (1 + ½) / (2 + 1) = ½, worth four: beta(2, 2); with the record
/// beta(3, 3). Of the two that go out, none fails with chance B(3,5)/B(3,3) = (3·4)/(6·7) = 2/7, both with the same,
/// one with 3/7: one spare is enough with 5/7 = 71.4 %, two for sure.
#[test]
fn spares_are_those_computed_by_hand() {
    let yard = Yard::of(&[SITE, PRODUCT, PIECE, SEASON, PLACEMENT, PIECES, FAULT]);
    let mut app = yard.at("2026-03-01T12:00");
    let mut carry = |service: f64| {
        let doc = json(&app.spares_answer(Some(service), Form::Json).unwrap());
        let row = rows(&doc, "spares").iter().find(|s| s["product"] == "M").unwrap().clone();
        (row["carry"].as_u64().unwrap(), row["achieved"].as_f64().unwrap())
    };
    let (n, achieved) = carry(70.0);
    assert_eq!(n, 1);
    assert!((achieved - 5.0 / 7.0).abs() < 1e-9, "{achieved}");
    assert_eq!(carry(72.0).0, 2);
    assert_eq!(app.spares_answer(Some(20.0), Form::Text).unwrap_err().code, "bad-service");
}

/// Two things of 50 pixels, ten nights of four hours: 4 thousand pixel-hours; one failure in them.
#[test]
fn pixel_hours_are_nights_times_hours_times_pixels() {
    let yard = Yard::of(&[SITE, PRODUCT, PIECE, SEASON, PLACEMENT, PIECES, FAULT]);
    let doc = json(&yard.at("2026-03-01T12:00").history_answer(Form::Json).unwrap());
    let group = rows(&doc, "groups").iter().find(|g| g["by"] == "product").unwrap();
    assert!((group["thousand_pixel_hours"].as_f64().unwrap() - 4.0).abs() < 1e-9, "{group}");
    assert!((group["per_thousand_pixel_hours"]["estimate"].as_f64().unwrap() - 0.25).abs() < 1e-9);
    assert!(rows(&doc, "comparisons").is_empty(), "two unit-seasons are compared with nothing");
}

#[test]
fn a_yard_without_a_past_says_nothing() {
    let yard = Yard::of(&[SITE, PRODUCT]);
    let mut app = yard.at("2026-03-01T12:00");
    assert!(app.history_answer(Form::Text).unwrap().contains("the record says nothing"));
    assert!(app.spares_answer(None, Form::Text).unwrap().starts_with("no spares"));
}
