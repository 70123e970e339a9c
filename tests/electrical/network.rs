//! Closed forms and single answers of the network.

use ladderday::calc::electrical::network::{Finding, NegativeBond, NetworkError, Override, solve};

use super::networks::{assert_balance, cable, chain, current, load, one_feed, power, supply, v};

/// Closed form for one feed and constant current: v(N) = V - N I Rf - I r N (N - 1) / 2, both conductors counted.
#[test]
fn one_feed_follows_the_closed_form() {
    let solution = solve(&one_feed(50, 5.0, 0.02, 0.0033, current(0.055))).unwrap();
    let by_hand = 5.0 - 50.0 * 0.055 * 0.04 - 0.055 * 0.0066 * 50.0 * 49.0 / 2.0;
    assert!((v(&solution, 50) - by_hand).abs() < 1e-9);
    assert_balance(&solution);
}

/// Closed form for equal feeds of no length at both ends: drop at pixel k = I r (k - 1)(N - k) / 2.
#[test]
fn feeds_without_resistance_at_both_ends_follow_the_closed_form() {
    let mut network = one_feed(101, 12.0, 0.0, 0.002, current(0.05));
    network.cables.push(cable("g", "supply:A", "chain:s:101", 0.0));
    let solution = solve(&network).unwrap();
    for k in [1, 2, 51, 80, 101] {
        let drop = 0.05 * 0.004 * (k as f64 - 1.0) * (101.0 - k as f64) / 2.0;
        assert!((12.0 - v(&solution, k) - drop).abs() < 1e-9, "pixel {k}");
    }
    // Half the current comes from either side, though neither cable has a resistance to read it from.
    assert!((solution.cables[0].amps_pos - 101.0 * 0.05 / 2.0).abs() < 1e-9);
    assert!((solution.cables[1].amps_neg - 101.0 * 0.05 / 2.0).abs() < 1e-9);
    assert_balance(&solution);
}

/// Two answers of v² - V v + P R = 0; the higher one is wanted.
#[test]
fn one_pixel_at_constant_power_takes_the_upper_answer() {
    let solution = solve(&one_feed(1, 12.0, 0.5, 0.0, power(30.0, 3.0))).unwrap();
    let by_hand = f64::midpoint(12.0, f64::sqrt(144.0 - 4.0 * 30.0));
    assert!((v(&solution, 1) - by_hand).abs() < 1e-9);
    assert!(solution.findings.is_empty());
    assert_balance(&solution);
}

/// At more than V² / 4R there is no answer at all.
#[test]
fn more_power_than_the_wire_can_bring_has_no_working_point() {
    assert!(solve(&one_feed(1, 12.0, 0.5, 0.0, power(35.9, 3.0))).is_ok());
    let error = solve(&one_feed(1, 12.0, 0.5, 0.0, power(36.1, 3.0))).unwrap_err();
    assert_eq!(error.code(), "no_working_point");
    let NetworkError::NoWorkingPoint { pixel, fallen } = error else { panic!("{error}") };
    // Fallen through, the pixel is a resistor of cutoff² / P.
    let fallen_to = 12.0 / (1.0 + 36.1 / 9.0);
    assert!((pixel.v - fallen_to).abs() < 1e-6, "{pixel:?}");
    assert_balance(&fallen);
}

#[test]
fn a_string_that_falls_through_its_cutoff_is_refused_by_its_lowest_pixel() {
    let error = solve(&one_feed(150, 12.0, 0.05, 0.0042, power(0.6, 7.0))).unwrap_err();
    let NetworkError::NoWorkingPoint { pixel, fallen } = error else { panic!("{error}") };
    assert_eq!(pixel.pixel, 150);
    assert_balance(&fallen);
}

#[test]
fn back_feed_into_the_lower_supply_is_found() {
    let mut network = one_feed(10, 5.3, 0.01, 0.002, current(0.001));
    network.supplies.push(supply("B", 5.0, 0.0));
    network.cables.push(cable("g", "supply:B", "chain:s:10", 0.01));
    let solution = solve(&network).unwrap();
    assert!(
        matches!(&solution.findings[..], [Finding::BackFeed { supply, amps }] if supply == "B" && *amps < 0.0)
    );
    assert_balance(&solution);
}

/// The minus of B hangs on the string alone; B has no source resistance, so that no digits may be lost in it.
#[test]
fn a_floating_supply_without_source_resistance_keeps_the_balance() {
    let mut network = one_feed(100, 5.0, 0.013, 0.0021, current(0.055));
    network.bond = NegativeBond::None;
    network.chains[0].pos_cuts = vec![40];
    network.supplies.push(supply("B", 5.2, 0.0));
    network.cables.push(cable("g", "supply:B", "chain:s:100", 0.013));
    let solution = solve(&network).unwrap();
    assert!((solution.supplies[0].amps - 2.2).abs() < 1e-9);
    assert!((solution.supplies[1].amps - 3.3).abs() < 1e-9);
    assert!(solution.findings.is_empty());
    assert_balance(&solution);
}

#[test]
fn supplies_with_nothing_in_common_are_solved_and_told() {
    let mut network = one_feed(10, 5.0, 0.01, 0.002, current(0.05));
    network.bond = NegativeBond::None;
    network.supplies.push(supply("B", 12.0, 0.004));
    network.chains.push(chain("t", 20, 0.002, current(0.06)));
    network.cables.push(cable("g", "supply:B", "chain:t:20", 0.01));
    let solution = solve(&network).unwrap();
    assert_eq!(solution.findings, [Finding::NoCommonMinus { supply: "B".to_owned() }]);
    assert!((solution.supplies[1].amps - 1.2).abs() < 1e-9);
    assert_balance(&solution);
}

#[test]
fn the_later_of_two_overlapping_loads_holds() {
    let mut network = one_feed(4, 5.0, 0.01, 0.002, current(0.05));
    network.chains[0].overrides = vec![
        Override { from: 2, to: 4, load: load(current(0.05), 0.5) },
        Override { from: 4, to: 4, load: load(power(0.1, 1.0), 1.0) },
    ];
    let pixels = solve(&network).unwrap().chains.remove(0).pixels;
    assert!((pixels[0].amps - 0.05).abs() < 1e-12 && (pixels[2].amps - 0.025).abs() < 1e-12);
    assert!((pixels[3].amps * pixels[3].v - 0.1).abs() < 1e-9);
}
