//! Printed examples that need the geometry alone, and the laws of a guyed mast.

use proptest::prelude::*;

use super::*;
use crate::calc::structural::force::Drag;
use crate::calc::structural::gust;
use crate::calc::structural::pressure::Method;
use crate::units::si::{MetresPerSecond, SquareMetres};

/// Statics course example A-12 (community college web page): a wire 22, 100, -24 ft under 525 lb is 105.16 ft long and
/// pulls 499.24 lb up and 119.81 lb along its third axis. Far steeper and higher than this program computes masts.
#[test]
fn components_at_an_anchor() {
    let level = f64::hypot(22.0, 24.0);
    let got = geometry(level, 100.0);
    assert!((got.length / 105.16 - 1.0).abs() < 5e-4);
    assert!((525.0 * got.sin / 499.24 - 1.0).abs() < 5e-4);
    assert!((525.0 * got.cos * 24.0 / level / 119.81 - 1.0).abs() < 5e-4);
}

/// College statics text, chapter 2, problems 2.111 and 2.112 (directions read, answers from memory): 840 lb in the first
/// of three guys makes 1552 lb on the tower, 590 lb in the second 2000 lb.
#[test]
fn three_guys_of_unequal_length() {
    // East, north of the anchor and height of the top above it, in feet.
    let guys = [(-16.0, 20.0, 80.0), (60.0, 18.0, 100.0), (-20.0, -74.0, 100.0)];
    let shape = guys.map(|(x, y, rise): (f64, f64, f64)| {
        let level = x.hypot(y);
        let g = geometry(level, rise);
        (x / level * g.cos, y / level * g.cos, g.sin)
    });
    for (known, others, pull, printed) in [(0, [1, 2], 840.0, 1552.0), (1, [0, 2], 590.0, 2000.0)] {
        let (k, p, q) = (shape[known], shape[others[0]], shape[others[1]]);
        let det = p.0 * q.1 - q.0 * p.1;
        let first = pull * (k.1 * q.0 - k.0 * q.1) / det;
        let second = pull * (k.0 * p.1 - k.1 * p.0) / det;
        let total = pull * k.2 + first * p.2 + second * q.2;
        assert!((total / printed - 1.0).abs() < 1e-3, "{total} against {printed}");
    }
}

fn mast(n: u32, radius: f64, pretension: f64) -> Input {
    let m = |v| Metres::new(v).unwrap();
    let guy = |i: u32| Guy {
        azimuth: Degrees::new(f64::from(i) * 360.0 / f64::from(n)).unwrap(),
        radius: m(radius),
        anchor_height: 0.0,
        stiffness: Newtons::new(60_000.0).unwrap(),
        pretension: Newtons::new(pretension).unwrap(),
    };
    let anchor = Anchor { holding: Newtons::new(1500.0).unwrap(), soil_factor: 1.0, count: 1, tested: true };
    Input {
        wind: Wind {
            gust: MetresPerSecond::new(15.0).unwrap(),
            method: Method::Simple { air_density: 1.25 },
            gust_factor: 0.85,
        },
        toward: Degrees::new(20.0).unwrap(),
        parts: vec![Part {
            name: "tree".into(),
            area: SquareMetres::new(2.0).unwrap(),
            centroid: m(2.5),
            drag: Drag::Told(1.2),
        }],
        guy_height: m(5.0),
        guys: (0..n).map(guy).collect(),
        weight: Newtons::new(200.0).unwrap(),
        anchors: vec![anchor; n as usize],
        required_factor: 1.5,
        strap_limit: None,
    }
}

#[test]
fn outside_the_range_nothing_is_computed() {
    let code = |input: Input| solve(&input).unwrap_err().code;
    assert_eq!(code(mast(4, 1.5, 0.0)), "guy_slope");
    assert_eq!(code(mast(4, 0.2, 0.0)), "anchor_near");
    let mut fast = mast(4, 4.0, 0.0);
    fast.wind.gust = MetresPerSecond::new(52.0).unwrap();
    assert_eq!(code(fast), "wind_speed");
    let mut few = mast(4, 4.0, 0.0);
    few.anchors.pop();
    assert_eq!(code(few), "guy_anchors");
}

#[test]
fn of_three_guys_none_may_go_of_five_one() {
    assert!(one_lost(&mast(3, 4.0, 0.0)).iter().all(|r| r.as_ref().unwrap_err().code == "guys_do_not_hold"));
    let whole = solve(&mast(5, 4.0, 0.0)).unwrap().worst.get();
    assert!(one_lost(&mast(5, 4.0, 0.0)).iter().all(|r| r.as_ref().unwrap().worst.get() > whole));
}

#[test]
fn the_gust_to_lower_at_is_the_edge() {
    let mut input = mast(4, 4.0, 100.0);
    let edge = gust::mast_holds_to(&input).unwrap().unwrap().get();
    for (gust, holds) in [(edge, true), (edge + 0.02, false)] {
        input.wind.gust = MetresPerSecond::new(gust).unwrap();
        assert_eq!(solve(&input).unwrap().anchors.iter().all(|a| a.ok), holds, "{gust}");
    }
    input.anchors.iter_mut().for_each(|a| a.soil_factor = 0.05);
    assert_eq!(gust::mast_holds_to(&input), Ok(None));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    #[test]
    // Of five guys and more a little pretension lets more of them share.
    fn pretension_never_lowers_the_worst_pull(n in 3_u32..5, radius in 2.0..8.0_f64, p in 0.0..800.0_f64) {
        let (slack, tight) = (solve(&mast(n, radius, 0.0)).unwrap(), solve(&mast(n, radius, p)).unwrap());
        prop_assert!(tight.worst.get() >= slack.worst.get() * (1.0 - 1e-6));
        prop_assert!(tight.compression.get() + 1e-6 >= slack.compression.get());
    }

    #[test]
    fn turning_everything_changes_nothing(n in 3_u32..7, turn in 0.0..90.0_f64) {
        let straight = mast(n, 4.0, 50.0);
        let mut turned = straight.clone();
        turned.toward = Degrees::new(straight.toward.get() + turn).unwrap();
        for guy in &mut turned.guys {
            guy.azimuth = Degrees::new((guy.azimuth.get() + turn) % 360.0).unwrap();
        }
        let (a, b) = (solve(&straight).unwrap(), solve(&turned).unwrap());
        for (a, b) in a.guys.iter().zip(&b.guys) {
            prop_assert!((a.pull.get() - b.pull.get()).abs() < 1e-3);
        }
    }
}
