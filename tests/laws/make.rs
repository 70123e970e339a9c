//! Yards at random: circuits, splitters, floods, boxes, supplies, strings and leads, with figures around their limits.

use fastrand::Rng;

use super::told::Told;

pub fn pick<'t>(rng: &mut Rng, list: &[&'t str]) -> &'t str {
    list[rng.usize(0..list.len())]
}

pub fn figure(rng: &mut Rng, least: u32, most: u32) -> String {
    rng.u32(least..=most).to_string()
}

/// A yard of up to three circuits and six props.
pub fn made(seed: u64) -> Told {
    let mut rng = Rng::with_seed(seed);
    let rng = &mut rng;
    let mut told = Told::default();
    told.add(
        "site",
        &[
            ("name", "Yard"),
            ("units", pick(rng, &["us", "si"])),
            ("terms", pick(rng, &["us", "elsewhere"])),
            ("level_limit_pct", pick(rng, &["100", "60"])),
            ("level_limit_in", "hardware"),
            ("frame_rate_hz", pick(rng, &["60", "120"])),
            ("show_network", "10.1.1.0/24"),
            ("home_network", pick(rng, &["192.168.7.0/24", "10.1.0.0/16"])),
        ],
    );
    told.add(
        "season",
        &[
            ("code", "glow"),
            ("name", "Glow"),
            ("show", "glow"),
            ("lights_on", "2026-11-27T17:00"),
            ("lights_off", "2026-12-31"),
            ("nightly_from", "17:00"),
            ("nightly_to", "22:30"),
            ("average_level_pct", pick(rng, &["20", "35", ""])),
        ],
    );
    mains(rng, &mut told);
    low_voltage(rng, &mut told);
    told
}

fn mains(rng: &mut Rng, told: &mut Told) {
    let volts = pick(rng, &["120000", "230000"]);
    let trip = pick(rng, &["5", "5", "30", "100"]);
    for n in 0..rng.usize(1..=2) {
        let (circuit, outlet) = (format!("C{n}"), format!("O{n}"));
        let breaker = figure(rng, 10_000, 20_000);
        told.add(
            "circuit",
            &[("code", &circuit), ("name", "House"), ("breaker_ma", &breaker), ("volts_mv", volts)],
        );
        let group = [("code", &*outlet), ("circuit", &*circuit), ("residual_group", "G"), ("trip_ma", trip)];
        told.add("outlet", &group);
    }
    let other = pick(rng, &["120000", "120000", "230000"]);
    let watts = figure(rng, 100_000, 1_500_000);
    let factor = pick(rng, &["100", "90", ""]);
    let flood = [("code", "FLOOD"), ("name", "Wash flood"), ("kind", "flood"), ("role", "prop")];
    let start = pick(rng, &["", "8000", "40000"]);
    let figures =
        [("volts_mv", other), ("load_mw", &watts), ("power_factor_pct", factor), ("startup_ma", start)];
    told.add("product", &[flood.as_slice(), &figures].concat());
    told.add("product", &[("code", "SPLIT"), ("name", "Splitter"), ("role", "adaptor")]);
    told.add("piece", &[("code", "X-1"), ("product", "SPLIT")]);
    let split = rng.bool();
    let cord = |rng: &mut Rng| {
        let wire = pick(rng, &["16 AWG", "14 AWG", "12 AWG"]);
        (wire, figure(rng, 2_000, 28_000))
    };
    if split {
        let (wire, mm) = cord(rng);
        let from = [("code", "MX"), ("kind", "mains"), ("season", "glow"), ("from_outlet", "O0")];
        told.add(
            "link",
            &[from.as_slice(), &[("to_piece", "X-1"), ("wire", wire), ("length_mm", &mm)]].concat(),
        );
    }
    for n in 0..rng.usize(1..=3) {
        let (prop, link, count) = (format!("W-{n}"), format!("MW{n}"), figure(rng, 1, 3));
        let name = format!("Wash {n}");
        let placed = [("code", &*prop), ("name", &*name), ("season", "glow"), ("product", "FLOOD")];
        told.add("placement", &[placed.as_slice(), &[("count", &*count)]].concat());
        let (wire, mm) = cord(rng);
        let from = if split { ("from_piece", "X-1") } else { ("from_outlet", "O0") };
        let to = [("code", &*link), ("kind", "mains"), ("season", "glow"), ("to_placement", &*prop)];
        told.add("link", &[to.as_slice(), &[from, ("wire", wire), ("length_mm", &mm)]].concat());
    }
}

fn low_voltage(rng: &mut Rng, told: &mut Told) {
    let volts = pick(rng, &["5000", "12000"]);
    let (pixels, ma, pitch) = (figure(rng, 20, 160), figure(rng, 15, 60), figure(rng, 20, 100));
    let lowest = if volts == "5000" { "4300" } else { "10500" };
    let string = [("code", "STRING"), ("name", "String"), ("role", "prop"), ("volts_mv", volts)];
    let light = [("load_model", "constant_current"), ("pixels", &*pixels), ("pixel_ma", &*ma)];
    let chip = pick(rng, &["WS2811", "WS2811 slow", "WS2815"]);
    let rest = [
        ("chip", chip),
        ("channels_per_pixel", "3"),
        ("pitch_mm", &pitch),
        ("wire", pick(rng, &["20 AWG", "18 AWG", "16 AWG"])),
        ("lowest_mv", lowest),
    ];
    told.add("product", &[string.as_slice(), &light, &rest].concat());
    let rated = figure(rng, 60_000, 400_000);
    let output = pick(rng, &[volts, volts, volts, "24000"]);
    let supply = [("code", "SUP"), ("name", "Supply"), ("role", "supply"), ("output_mv", output)];
    told.add("product", &[supply.as_slice(), &[("rated_mw", &rated), ("efficiency_pct", "86")]].concat());
    let board = figure(rng, 60, 300);
    let boxed = [("code", "BOX"), ("name", "Box"), ("role", "box"), ("volts_mv", "120000")];
    told.add("product", &[boxed.as_slice(), &[("port_pixels", &*board)]].concat());
    told.add("product", &[("code", "LEAD"), ("name", "Lead"), ("role", "lead")]);
    for (product, end, way, sex) in [
        ("STRING", "in", "in", "pins"),
        ("LEAD", "in", "in", "pins"),
        ("LEAD", "out", "out", "sockets"),
        ("BOX", "output", "out", "sockets"),
    ] {
        let family = if product == "STRING" { pick(rng, &["round3", "round3", "flat3"]) } else { "round3" };
        let plug =
            [("plug_family", family), ("pins", "3"), ("sex", sex), ("conductor_order", "plus data minus")];
        let of = [("product", product), ("end_name", end), ("direction", way)];
        told.add("product_end", &[of.as_slice(), &plug].concat());
    }
    let address = pick(rng, &["10.1.1.5", "10.1.1.5", "10.2.1.5"]);
    told.add("piece", &[("code", "B-1"), ("product", "BOX"), ("address", address)]);
    let (wire, mm) = (pick(rng, &["14 AWG", "12 AWG"]), figure(rng, 2_000, 20_000));
    let cord =
        [("code", "MB"), ("kind", "mains"), ("season", "glow"), ("from_outlet", "O0"), ("to_piece", "B-1")];
    told.add("link", &[cord.as_slice(), &[("wire", wire), ("length_mm", &*mm)]].concat());
    let supplies = rng.usize(1..=2);
    for (n, bus) in ["A", "B"].iter().enumerate().take(supplies) {
        let (piece, link) = (format!("S-{n}"), format!("F{n}"));
        told.add("piece", &[("code", &piece), ("product", "SUP")]);
        let from = [("code", &*link), ("kind", "dc"), ("season", "glow"), ("from_piece", &*piece)];
        let to = [
            ("to_piece", "B-1"),
            ("to_end", bus),
            ("wire", pick(rng, &["14 AWG", "10 AWG"])),
            ("length_mm", "200"),
        ];
        let minus = pick(rng, &["yes", "yes", "no"]);
        told.add("link", &[from.as_slice(), &to, &[("minus_joined", minus)]].concat());
    }
    let props = rng.usize(1..=3);
    for n in 0..props {
        let (prop, lead, name) = (format!("P-{n}"), format!("L-{n}"), format!("String {n}"));
        told.add("placement", &[("code", &prop), ("name", &name), ("season", "glow"), ("product", "STRING")]);
        let tag = if rng.u8(0..5) == 0 { "24000" } else { volts };
        told.add("piece", &[("code", &lead), ("product", "LEAD"), ("tag_mv", tag)]);
        let before = format!("P-{}", n.max(1) - 1);
        let port = format!("{}{}", if supplies == 2 && rng.bool() { "B" } else { "A" }, n + 1);
        let in_row = n > 0 && rng.u8(0..3) == 0;
        let from: Vec<(&str, &str)> = if in_row {
            vec![("from_placement", &before)]
        } else {
            vec![("from_piece", "B-1"), ("from_port", &port)]
        };
        let wire = pick(rng, &["18 AWG", "16 AWG", "14 AWG"]);
        let (mm, fuse) = (figure(rng, 500, 13_000), pick(rng, &["3000", "5000", "7500", "15000", ""]));
        for (kind, code) in [("dc", format!("D{n}")), ("data", format!("N{n}"))] {
            let head = [("code", &*code), ("kind", kind), ("season", "glow"), ("to_placement", &*prop)];
            let tail = [("to_end", "in"), ("at_pixel", "1"), ("lead", &*lead), ("length_mm", &*mm)];
            let universe = figure(rng, 1, 8);
            let own: Vec<(&str, &str)> = if kind == "dc" {
                vec![("wire", wire), ("fuse_ma", fuse)]
            } else {
                vec![("start_universe", &universe), ("start_slot", "1")]
            };
            told.add("link", &[head.as_slice(), &from, &tail, &own].concat());
        }
    }
}
