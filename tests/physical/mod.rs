//! Wind, ladders, light, statistics, buying and packing against cases computed by other programs.

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
