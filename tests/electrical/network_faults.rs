//! What can't be solved is named.

use ladderday::calc::electrical::network::{Network, NetworkError, solve};

use super::networks::{at, cable, chain, current, knee, one_feed, power, supply};

fn sound() -> Network {
    one_feed(50, 5.0, 0.02, 0.0033, current(0.055))
}

/// The code and the message of the refusal.
fn refused(network: &Network) -> (&'static str, String) {
    let error: NetworkError = solve(network).unwrap_err();
    (error.code(), error.to_string())
}

#[test]
fn an_absent_supply_is_named() {
    let mut network = sound();
    network.cables[0].from = at("supply:C");
    let (code, text) = refused(&network);
    assert!(code == "absent_supply" && text.contains("supply:C") && text.contains("cable f"), "{text}");
    network.supplies.clear();
    assert_eq!(refused(&network).0, "no_supply");
}

#[test]
fn absent_points_are_named() {
    for (point, code) in [
        ("junction:J", "absent_junction"),
        ("chain:t:1", "absent_chain"),
        ("chain:s:51", "absent_pixel"),
        ("chain:s:0", "absent_pixel"),
    ] {
        let mut network = sound();
        network.cables[0].to = at(point);
        let (got, text) = refused(&network);
        assert!(got == code && text.contains(point), "{text}");
    }
}

#[test]
fn a_string_without_a_feed_floats() {
    let mut network = sound();
    network.chains.push(chain("t", 5, 0.002, current(0.05)));
    let (code, text) = refused(&network);
    assert!(code == "floating" && text.contains("plus of chain t, pixel 1"), "{text}");
}

#[test]
fn a_part_behind_a_cut_floats() {
    let mut network = sound();
    network.chains[0].pos_cuts = vec![40];
    let (code, text) = refused(&network);
    assert!(code == "floating" && text.contains("plus of chain s, pixel 41"), "{text}");
}

#[test]
fn a_junction_without_a_supply_floats() {
    let mut network = sound();
    network.junctions = vec!["J".to_owned()];
    assert_eq!(refused(&network).0, "floating");
}

#[test]
fn a_ring_without_resistance_is_named() {
    let mut network = sound();
    network.cables[0] = cable("f", "supply:A", "chain:s:1", 0.0);
    network.cables.push(cable("g", "supply:A", "chain:s:1", 0.0));
    let (code, text) = refused(&network);
    assert!(
        code == "zero_resistance_loop" && text.contains("cable f (plus)") && text.contains("cable g (plus)"),
        "{text}"
    );
}

#[test]
fn two_stiff_supplies_on_one_point_are_named_with_their_difference() {
    let mut network = sound();
    network.cables[0] = cable("f", "supply:A", "chain:s:1", 0.0);
    network.supplies.push(supply("B", 5.2, 0.0));
    network.cables.push(cable("g", "supply:B", "chain:s:1", 0.0));
    let NetworkError::ZeroResistanceLoop { parts, volts } = solve(&network).unwrap_err() else { panic!() };
    assert!((volts - 0.2).abs() < 1e-9);
    for part in ["supply A", "supply B"] {
        assert!(parts.iter().any(|name| name == part), "{parts:?}");
    }
}

#[test]
fn names_given_twice_are_named() {
    let mut network = sound();
    network.cables.push(cable("f", "supply:A", "chain:s:50", 0.1));
    assert_eq!(
        refused(&network),
        ("doubled_name", "two cables are called f: give each its own name".to_owned())
    );
}

#[test]
fn a_cable_to_its_own_start_is_named() {
    let mut network = sound();
    network.cables.push(cable("g", "chain:s:3", "chain:s:3", 0.1));
    assert_eq!(refused(&network).0, "cable_to_itself");
}

#[test]
fn cuts_and_loads_outside_the_string_are_named() {
    let mut network = sound();
    network.chains[0].pos_cuts = vec![50];
    assert_eq!(refused(&network).0, "pixel_outside");
    let mut network = sound();
    network.chains[0].pixels = 0;
    assert_eq!(refused(&network).0, "pixel_outside");
}

#[test]
fn loads_outside_their_range_are_refused() {
    for (model, code) in [
        (current(-0.05), "load_current_range"),
        (power(0.6, 0.0), "load_cutoff_range"),
        (knee(0.05, 2.0, 3.0), "load_knee_range"),
    ] {
        assert_eq!(refused(&one_feed(5, 5.0, 0.02, 0.0033, model)).0, code);
    }
}

#[test]
fn more_pixels_than_one_network_takes_are_refused() {
    let mut network = sound();
    network.chains[0].pixels = u32::MAX;
    assert_eq!(refused(&network).0, "too_many_pixels");
}
