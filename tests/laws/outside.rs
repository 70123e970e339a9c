//! Yards at random for what happens outdoors: boards on ballast, guyed masts, things on walls and roofs, ladders, people,
//! sessions with their forecast.

use fastrand::Rng;

use super::make::{figure, pick};
use super::told::Told;

/// A yard of up to three things that stand, two that are climbed to, and two sessions.
pub fn made(seed: u64) -> Told {
    let mut rng = Rng::with_seed(seed);
    let rng = &mut rng;
    let mut told = Told::default();
    let gust = figure(rng, 8_000, 30_000);
    told.add(
        "site",
        &[
            ("name", "Yard"),
            ("units", pick(rng, &["us", "si"])),
            ("terms", pick(rng, &["us", "elsewhere"])),
            ("wind_method", pick(rng, &["simple", "simple", "asce_7_16"])),
            ("design_gust_mms", &gust),
        ],
    );
    let lit = [("lights_on", "2026-11-27T17:00"), ("lights_off", "2026-12-31")];
    told.add("season", &[[("code", "glow"), ("name", "Glow"), ("show", "glow")].as_slice(), &lit].concat());
    told.add("place", &[("code", "LAWN"), ("name", "Lawn"), ("access", "ground")]);
    for n in 0..rng.usize(1..=3) {
        stands(rng, &mut told, n);
    }
    climbed(rng, &mut told);
    sessions(rng, &mut told);
    told
}

fn stands(rng: &mut Rng, told: &mut Told, n: usize) {
    let guyed = rng.u8(0..3) == 0;
    let (product, prop, stand) = (format!("THING{n}"), format!("T-{n}"), format!("ST{n}"));
    let name = format!("Thing {n}");
    let (wide, high, mass) = (figure(rng, 300, 2_000), figure(rng, 300, 2_500), figure(rng, 2_000, 60_000));
    let size = [("width_mm", &*wide), ("height_mm", &*high), ("mass_g", &*mass)];
    let head = [("code", &*product), ("name", &*name), ("role", "prop")];
    told.add("product", &[head.as_slice(), &size].concat());
    let placed = [("code", &*prop), ("name", &*name), ("season", "glow"), ("product", &*product)];
    let method = if guyed { "guyed_mast" } else { "weigh" };
    told.add(
        "placement",
        &[placed.as_slice(), &[("count", "1"), ("place", "LAWN"), ("method", method)]].concat(),
    );
    let base = figure(rng, 200, 1_200);
    let head = [("code", &*stand), ("placement", &*prop), ("half_base_mm", &*base)];
    if !guyed {
        let (friction, ballast) = (pick(rng, &["30", "60", "80"]), pick(rng, &["", "20000", "60000"]));
        let lower = pick(rng, &["", "12000", "25000"]);
        let held = [
            ("kind", "weight"),
            ("friction_pct", friction),
            ("ballast_g", ballast),
            ("lower_gust_mms", lower),
        ];
        told.add("stand", &[head.as_slice(), &held].concat());
        return;
    }
    let (area, hold) = (figure(rng, 1_000, 20_000), figure(rng, 100_000, 2_000_000));
    let strap = pick(rng, &["", "1000000", "200000"]);
    let held = [
        ("kind", "guyed"),
        ("area_cm2", &*area),
        ("centroid_mm", "3000"),
        ("drag_pct", "120"),
        ("guy_height_mm", "5000"),
        ("guy_stiffness_mn", "60000000"),
        ("pretension_mn", "100000"),
        ("strap_limit_mn", strap),
    ];
    told.add("stand", &[head.as_slice(), &held].concat());
    let by = pick(rng, &["tested", "tested", "untested"]);
    for (at, azimuth) in ["0", "90", "180", "270"].iter().enumerate() {
        let code = format!("G{n}{at}");
        let guy = [("code", &*code), ("stand", &*stand), ("azimuth_deg", azimuth), ("radius_mm", "5000")];
        told.add("guy", &[guy.as_slice(), &[("holding_mn", &*hold), ("holding_by", by)]].concat());
    }
}

fn climbed(rng: &mut Rng, told: &mut Told) {
    for n in 0..rng.usize(1..=2) {
        let access = pick(rng, &["extension_ladder", "step_ladder", "roof"]);
        let (place, prop, product) = (format!("UP{n}"), format!("U-{n}"), format!("STAR{n}"));
        let (high, mass) = (figure(rng, 2_000, 7_000), figure(rng, 500, 50_000));
        told.add("place", &[("code", &place), ("name", &place), ("access", access), ("height_mm", &high)]);
        told.add("product", &[("code", &product), ("name", "Star"), ("role", "prop"), ("mass_g", &mass)]);
        let method = pick(rng, &["hook", "tie", "glue"]);
        let placed = [("code", &*prop), ("name", &*prop), ("season", "glow"), ("product", &*product)];
        told.add(
            "placement",
            &[placed.as_slice(), &[("count", "1"), ("place", &*place), ("method", method)]].concat(),
        );
    }
    for (n, kind) in ["extension_ladder", "step_ladder"].iter().enumerate() {
        let (code, piece) = (format!("LAD{n}"), format!("L-{n}"));
        let (long, most) = (figure(rng, 2_000, 8_000), pick(rng, &["90718", "102058", "136078"]));
        let ladder = [("code", &*code), ("name", &*code), ("role", "ladder"), ("serves_as", kind)];
        told.add("product", &[ladder.as_slice(), &[("height_mm", &*long), ("max_load_g", most)]].concat());
        told.add("piece", &[("code", &piece), ("product", &code)]);
    }
    let mass = figure(rng, 55_000, 120_000);
    told.add("person", &[("code", "A"), ("name", "Ann"), ("skills", "roof"), ("mass_g", &mass)]);
}

fn sessions(rng: &mut Rng, told: &mut Told) {
    for n in 0..rng.usize(1..=2) {
        let (code, day) = (format!("S{n}"), 17 + n);
        let (starts, ends) = (format!("2026-10-{day}T09:00"), format!("2026-10-{day}T17:00"));
        let (gust, low) = (figure(rng, 2_000, 18_000), rng.i32(-5_000..=25_000).to_string());
        let yes = |rng: &mut Rng| pick(rng, &["no", "no", "yes"]);
        let (rain, snow, ice, frozen) = (yes(rng), yes(rng), yes(rng), yes(rng));
        let session =
            [("code", &*code), ("starts", &*starts), ("ends", &*ends), ("forecast_on", "2026-10-16")];
        let fell = [("rain", rain), ("snow", snow), ("ice", ice), ("frozen", frozen)];
        told.add(
            "session",
            &[session.as_slice(), &fell, &[("gust_mms", &*gust), ("low_mc", &*low)]].concat(),
        );
    }
}
