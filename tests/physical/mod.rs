//! Wind, ladders, light, statistics, buying and packing against cases computed by other programs.

#[path = "../harness/reference/daylight.rs"]
mod daylight;

#[test]
fn daylight_cases_hold() {
    let found = daylight::check(include_str!("../fixtures/physical/daylight_dev.csv")).unwrap();
    assert!(found.is_empty(), "{}", found.join("\n"));
}
