//! Yards at random for what is owned: things put out by number, labelled pieces in every condition, stakes and ties by the
//! lot, leads by length, totes with their limits.

use fastrand::Rng;

use super::make::{figure, pick};
use super::told::Told;

/// A yard of up to three kinds of things, their stakes, their leads and the totes they go home into.
pub fn made(seed: u64) -> Told {
    let mut rng = Rng::with_seed(seed);
    let rng = &mut rng;
    let mut told = Told::default();
    let site = [
        ("name", "Yard"),
        ("time_zone", "America/New_York"),
        ("units", pick(rng, &["us", "si"])),
        ("terms", pick(rng, &["us", "elsewhere"])),
    ];
    told.add("site", &site);
    let lit = [("lights_on", "2026-11-27T17:00"), ("lights_off", "2026-12-31")];
    told.add("season", &[[("code", "glow"), ("name", "Glow"), ("show", "glow")].as_slice(), &lit].concat());
    told.add("place", &[("code", "LAWN"), ("name", "Lawn"), ("access", "ground")]);
    let (most, side) = (figure(rng, 5_000, 40_000), figure(rng, 300, 900));
    for n in 0..rng.usize(1..=2) {
        let code = format!("T{n}");
        let sides =
            [("length_mm", &*side), ("width_mm", "400"), ("height_mm", "400"), ("max_mass_g", &*most)];
        told.add(
            "container",
            &[[("code", &*code), ("name", &*code), ("kind", "tote")].as_slice(), &sides].concat(),
        );
    }
    for n in 0..rng.usize(1..=3) {
        things(rng, &mut told, n);
    }
    stakes(rng, &mut told);
    leads(rng, &mut told);
    told
}

fn things(rng: &mut Rng, told: &mut Told, n: usize) {
    let (product, prop) = (format!("THING{n}"), format!("P-{n}"));
    let name = format!("Thing {n}");
    let many = rng.usize(2..=8);
    let (mass, wide) = (figure(rng, 500, 9_000), figure(rng, 100, 1_200));
    let size = [("width_mm", &*wide), ("height_mm", "300"), ("depth_mm", "100"), ("mass_g", &*mass)];
    let head = [("code", &*product), ("name", &*name), ("role", pick(rng, &["prop", "prop", "mount"]))];
    told.add("product", &[head.as_slice(), &size].concat());
    let (count, stakes) = (many.to_string(), (2 * many).to_string());
    let placed = [("code", &*prop), ("name", &*name), ("season", "glow"), ("product", &*product)];
    let how = [("count", &*count), ("place", "LAWN"), ("method", "stake"), ("stakes", &*stakes)];
    told.add("placement", &[placed.as_slice(), &how].concat());
    let named = rng.bool();
    for at in 0..many {
        let piece = format!("A-{n}{at}");
        let condition = pick(rng, &["good", "good", "good", "scrapped", "lost", "faulty"]);
        told.add(
            "piece",
            &[("code", &*piece), ("product", &*product), ("condition", condition), ("home", "T0")],
        );
        if named {
            told.add("placement_piece", &[("placement", &*prop), ("piece", &*piece)]);
        }
    }
}

fn stakes(rng: &mut Rng, told: &mut Told) {
    told.add("product", &[("code", "PEG"), ("name", "Ground stake"), ("kind", "stake"), ("role", "part")]);
    for lot in 0..rng.usize(1..=3) {
        let (code, n) = (format!("LOT{lot}"), figure(rng, 0, 20));
        let frozen = pick(rng, &["no", "no", "no", "yes"]);
        told.add("stock", &[("code", &*code), ("product", "PEG"), ("frozen", frozen)]);
        let counted = [("stock", &*code), ("kind", "counted"), ("at", "2026-08-01T10:00")];
        told.add("stock_move", &[counted.as_slice(), &[("quantity", &*n)]].concat());
    }
}

fn leads(rng: &mut Rng, told: &mut Told) {
    told.add("product", &[("code", "LEAD"), ("name", "Lead"), ("role", "lead")]);
    told.add("product", &[("code", "BOX"), ("name", "Box"), ("role", "box"), ("ports", "4")]);
    told.add("piece", &[("code", "B-1"), ("product", "BOX")]);
    told.add("product", &[("code", "THICK"), ("name", "Thick lead"), ("role", "lead"), ("wire", "12 AWG")]);
    for n in 0..rng.usize(1..=3) {
        let (code, long) = (format!("L-{n}"), figure(rng, 1_000, 8_000));
        let lead = [("code", &*code), ("product", pick(rng, &["LEAD", "THICK"])), ("length_mm", &*long)];
        told.add("piece", &lead);
    }
    for n in 0..rng.usize(1..=3) {
        let (code, way) = (format!("D{n}"), figure(rng, 1_000, 8_000));
        let port = (n + 1).to_string();
        let link = [("code", &*code), ("kind", "data"), ("season", "glow"), ("from_piece", "B-1")];
        let wire = pick(rng, &["", "16 AWG"]);
        let rest = [
            ("from_port", &*port),
            ("to_placement", "P-0"),
            ("length_mm", &*way),
            ("fuse_ma", "5000"),
            ("wire", wire),
        ];
        told.add("link", &[link.as_slice(), &rest].concat());
    }
}
