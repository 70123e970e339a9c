//! Printed and textbook examples; each names its source.

use ladderday::calc::structural::force::{Drag, Members, on_part};
use ladderday::calc::structural::guyed::{self, Guy, GuyPull};
use ladderday::calc::structural::pressure::{EnInput, Exposure, Method, peak_pressure_en};
use ladderday::calc::structural::{force, pressure};
use ladderday::units::si::{Degrees, Fraction, Metres, MetresPerSecond, Newtons, Pascals, SquareMetres};

const LBF: f64 = 4.448_221_6;
const FOOT: f64 = 0.3048;
const PSF: f64 = 47.880_259;

fn near(got: f64, printed: f64, relative: f64, what: &str) {
    assert!((got / printed - 1.0).abs() <= relative, "{what}: computed {got}, printed {printed}");
}

fn m(value: f64) -> Metres {
    Metres::new(value).unwrap()
}

/// EN 1991-1-4:2005 eq 4.3 to 4.10, 7.4.3; worked example of a signboard 5 m × 7 m in terrain I at 33 m/s, published
/// on a document-sharing site (id 179494512).
#[test]
fn signboard_by_en_1991() {
    let got = peak_pressure_en(EnInput {
        basic: MetresPerSecond::new(33.0).unwrap(),
        roughness: m(0.01),
        height: m(5.0),
        air_density: 1.25,
    })
    .unwrap();
    near(got.terrain_factor, 0.1698, 0.003, "kr");
    near(got.roughness_factor, 1.055, 0.003, "cr");
    near(got.turbulence, 0.1609, 0.003, "turbulence");
    near(got.basic.get() / 1000.0, 0.68, 0.003, "basic pressure");
    near(got.mean.get(), 34.82, 0.003, "mean wind");
    near(got.peak.get() / 1000.0, 1.61, 0.003, "peak pressure");
    near(got.peak.get() * 1.8 * 35.0 / 1000.0, 101.43, 0.003, "force");
}

/// ASCE 7-05 6.5.10, 7-16 eq 26.10-1; classroom example: 100 mph, Kz 0.90, Kd 0.85 give 19.58 psf. Exposure C at 20 ft
/// has Kz 0.9019, so the pressure is compared after taking that ratio out.
#[test]
fn velocity_pressure_of_a_classroom() {
    let method = Method::Asce716 { exposure: Exposure::C, kd: 0.85, kzt: 1.0 };
    let input =
        pressure::Input { gust: MetresPerSecond::new(44.704).unwrap(), height: m(20.0 * FOOT), method };
    let q = pressure::pressure(input).unwrap().get() / PSF * 0.9 / Exposure::C.kz(20.0 * FOOT);
    near(q, 19.58, 0.001, "q in psf");
}

/// ASCE 7-16 Table 26.10-1 (values from memory, printed to two digits).
#[test]
fn exposure_coefficients_of_the_table() {
    for (feet, exposure, printed) in [
        (15.0, Exposure::B, 0.57),
        (15.0, Exposure::C, 0.85),
        (15.0, Exposure::D, 1.03),
        (20.0, Exposure::C, 0.90),
        (25.0, Exposure::B, 0.66),
        (30.0, Exposure::C, 0.98),
        // Below 15 ft the value of 15 ft holds.
        (5.0, Exposure::C, 0.85),
    ] {
        near(exposure.kz(feet * FOOT), printed, 0.012, "Kz");
    }
}

/// ASCE 7-16 Table 29.4-2, reproduced in a public permit calculation (Everett WA, 2022): solidity 0.153, flat, 1.8.
#[test]
fn open_frame_of_a_permit() {
    let drag = Drag::Open { solidity: Fraction::new(0.153).unwrap(), members: Members::Flat };
    assert_eq!(drag.coefficient(Pascals::new(900.0).unwrap()), Ok(1.8));
}

/// The mast whose wind makes exactly `level` newtons at the guys, blowing `toward`.
fn mast(level: f64, toward: f64, guys: Vec<Guy>) -> guyed::Output {
    let wind = force::Wind {
        gust: MetresPerSecond::new(20.0).unwrap(),
        method: Method::Simple { air_density: 1.25 },
        gust_factor: 1.0,
    };
    // q is 250 Pa; the area stands at guy height, so the force is the level force.
    let part = force::Part {
        name: "all".to_owned(),
        area: SquareMetres::new(level / 250.0).unwrap(),
        centroid: m(5.0),
        drag: Drag::Told(1.0),
    };
    let input = guyed::Input {
        wind,
        toward: Degrees::new(toward).unwrap(),
        parts: vec![part],
        guy_height: m(5.0),
        guys,
        weight: Newtons::default(),
        anchors: Vec::new(),
        required_factor: 1.5,
        strap_limit: None,
    };
    guyed::solve(&input).unwrap()
}

fn ring(n: u32, slope_deg: f64) -> Vec<Guy> {
    let radius = 5.0 / slope_deg.to_radians().tan();
    let guy = |i: u32| Guy {
        azimuth: Degrees::new(f64::from(i) * 360.0 / f64::from(n)).unwrap(),
        radius: m(radius),
        anchor_height: 0.0,
        stiffness: Newtons::new(60_000.0).unwrap(),
        pretension: Newtons::default(),
    };
    (0..n).map(guy).collect()
}

/// Amateur-radio tower list, July 2000: a side load of 1000 lb held by one guy makes 1414 lb at 45° and 2924 at 70°.
#[test]
fn one_guy_holds_a_side_load() {
    for (slope, printed) in [(45.0, 1414.0), (69.999_999, 2924.0)] {
        let got = mast(1000.0 * LBF, 180.0, ring(4, slope));
        near(got.guys[0].pull.get() / LBF, printed, 0.001, "pull");
    }
}

/// Amateur-radio tower list, February 1997, and 1/cos 30°: with three equal guys the worst wind adds 15 percent.
#[test]
fn the_worst_wind_of_three_guys() {
    let got = mast(500.0, 180.0, ring(3, 45.0));
    let straight = got.guys[0].pull.get();
    near(got.worst.get() / straight, 1.15, 0.005, "worst over straight");
    assert!(
        got.guys.iter().map(|g: &GuyPull| g.worst.get()).all(|w| (w / got.worst.get() - 1.0).abs() < 1e-6)
    );
}

/// Engineering forum thread 266547: a sign 4 ft × 8 ft with 30 psf on a centre post: 480 lb on half of it, 5 ft up, is
/// 2400 ft lb.
#[test]
fn a_sign_on_a_post() {
    // 30 psf as a gust of the simple method.
    let gust = (2.0 * 30.0 * PSF / 1.25_f64).sqrt();
    let wind = force::Wind {
        gust: MetresPerSecond::new(gust).unwrap(),
        method: Method::Simple { air_density: 1.25 },
        gust_factor: 1.0,
    };
    let area = SquareMetres::new(16.0 * FOOT * FOOT).unwrap();
    let got = on_part(wind, area, m(5.0 * FOOT), Drag::Told(1.0)).unwrap();
    near(got.force.get() / LBF, 480.0, 1e-6, "force");
    near(got.force.get() / LBF * 5.0, 2400.0, 1e-6, "moment");
}
