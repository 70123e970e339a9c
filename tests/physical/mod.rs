//! Wind, ladders, light, statistics, buying and packing against cases computed by other programs.

mod published;

use crate::reference;

/// No difference in the file as it is.
fn holds(kind: &str, text: &str) {
    let found = reference::check(kind, text).expect("a known kind");
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn daylight_cases_hold() {
    holds("daylight", include_str!("../fixtures/physical/daylight_dev.csv"));
}

#[test]
fn purchase_cases_hold() {
    holds("purchase", include_str!("../fixtures/physical/purchase_dev.json"));
}

#[test]
fn safety_cases_hold() {
    holds("safety", include_str!("../fixtures/physical/safety_dev.json"));
}

#[test]
fn reliability_cases_hold() {
    holds("reliability", include_str!("../fixtures/physical/reliability_dev.csv"));
}

#[test]
fn wind_cases_hold() {
    holds("wind", include_str!("../fixtures/physical/wind_dev.json"));
}

#[test]
fn packing_cases_hold() {
    holds("packing", include_str!("../fixtures/physical/packing_dev.json"));
}
