//! Laws that any network keeps, by answers computed another way.

use ladderday::calc::electrical::network::{
    LoadModel, NegativeBond, Network, NetworkError, Override, PixelLoad, Point, Solution, solve,
};
use ladderday::units::si::Fraction;
use proptest::prelude::*;

use super::networks::{cable, chain, current, knee, load, one_feed, pair, power, supply, v};

/// Current by the definition of each load, written once more.
fn by_definition(load: &PixelLoad, v: f64) -> f64 {
    let level = load.level.get();
    match load.model {
        LoadModel::ConstantCurrent { amps } => amps.get() * level,
        LoadModel::ConstantPower { watts, cutoff } => {
            let at_cutoff = watts.get() * level / cutoff.get();
            if v < cutoff.get() { at_cutoff * v / cutoff.get() } else { watts.get() * level / v }
        }
        LoadModel::CurrentWithKnee { amps, knee, off } => {
            amps.get() * level * ((v - off.get()) / (knee.get() - off.get())).clamp(0.0, 1.0)
        }
    }
}

/// Kirchhoff's and Ohm's laws read off the answer alone, point by point.
fn assert_laws(network: &Network, solution: &Solution) {
    let ends = |point: &Point| match point {
        Point::Pixel(name, pixel) => {
            let state = solution.chains.iter().find(|chain| chain.name == *name).unwrap();
            Some((state.pixels[*pixel as usize - 1].v_pos, state.pixels[*pixel as usize - 1].v_neg))
        }
        _ => None,
    };
    for (cable, state) in network.cables.iter().zip(&solution.cables) {
        if let (Some(from), Some(to)) = (ends(&cable.from), ends(&cable.to)) {
            assert!(
                (from.0 - to.0 - state.amps_pos * cable.conductors.pos.get()).abs() < 1e-7,
                "{}",
                cable.name
            );
            assert!(
                (to.1 - from.1 - state.amps_neg * cable.conductors.neg.get()).abs() < 1e-7,
                "{}",
                cable.name
            );
        }
    }
    for (chain, state) in network.chains.iter().zip(&solution.chains) {
        let (pos, neg) = (chain.piece.pos.get(), chain.piece.neg.get());
        // Into each pixel from cables, then what is left over runs on along the rails.
        let (mut plus, mut minus) = (0.0, 0.0);
        for (at, pixel) in state.pixels.iter().enumerate() {
            let number = at as u32 + 1;
            let part = chain.overrides.iter().rev().find(|part| (part.from..=part.to).contains(&number));
            let load = part.map_or(&chain.load, |part| &part.load);
            assert!((pixel.amps - by_definition(load, pixel.v)).abs() < 1e-9);
            for (cable, state) in network.cables.iter().zip(&solution.cables) {
                let here = Point::Pixel(chain.name.clone(), number);
                let sign = f64::from(i8::from(cable.to == here) - i8::from(cable.from == here));
                plus += sign * state.amps_pos;
                minus += sign * state.amps_neg;
            }
            plus -= pixel.amps;
            minus -= pixel.amps;
            if chain.pos_cuts.contains(&number) {
                assert!(plus.abs() < 1e-6, "{plus} A across a cut");
            }
            if let Some(next) = state.pixels.get(at + 1) {
                let cut = chain.pos_cuts.contains(&number);
                assert!(cut || (pixel.v_pos - next.v_pos - plus * pos).abs() < 1e-7, "plus rail at {number}");
                assert!((next.v_neg - pixel.v_neg - minus * neg).abs() < 1e-7, "minus rail at {number}");
            }
        }
        assert!(
            plus.abs() < 1e-6 && minus.abs() < 1e-6,
            "{plus} and {minus} A left at the end of {}",
            chain.name
        );
    }
}

/// The highest voltage of the last pixel with which one feed needs just `volts`, found by walking back from the last
/// pixel to the supply, from the top down.
fn highest_answer(pixels: u32, volts: f64, feed: f64, piece: f64, load: &PixelLoad) -> f64 {
    let needed = |last: f64| {
        let (mut v, mut amps) = (last, by_definition(load, last));
        for _ in 1..pixels {
            v += 2.0 * piece * amps;
            amps += by_definition(load, v);
        }
        v + 2.0 * feed * amps
    };
    let steps = 20_000;
    let at = |step: i32| volts * (1.0 - f64::from(step) / f64::from(steps));
    let step = (0..steps).find(|&step| needed(at(step + 1)) <= volts).unwrap_or(steps - 1);
    let (mut high, mut low) = (at(step), at(step + 1));
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if needed(middle) <= volts { low = middle } else { high = middle }
    }
    low
}

/// Any of the three loads, at any strength up to far too much.
fn any_load() -> impl Strategy<Value = LoadModel> {
    prop_oneof![
        (0.0..0.08_f64).prop_map(current),
        (0.0..0.9_f64, 1.0..8.0_f64).prop_map(|(watts, cutoff)| power(watts, cutoff)),
        (0.0..0.3_f64, 5.0..9.0_f64, 0.0..4.9_f64)
            .prop_map(|(amps, v_knee, v_off)| knee(amps, v_knee, v_off)),
    ]
}

/// Strings on hubs and on each other, with rings, cuts, zero resistances and unequal rails.
fn any_network() -> impl Strategy<Value = Network> {
    let ohm = || prop_oneof![1 => Just(0.0), 6 => 0.0005..0.3_f64];
    let string = (1_u32..60, 0.0..0.02_f64, 0.0..0.02_f64, any_load(), 0.0..=1.0_f64, any_load());
    let strings = prop::collection::vec(string, 1..5);
    let feeds = prop::collection::vec((0_usize..4, 0.0..1.0_f64, ohm(), ohm()), 0..6);
    let supplies = prop::collection::vec((11.5..12.5_f64, 0.001..0.05_f64), 1..3);
    (strings, feeds, supplies, any::<bool>()).prop_map(|(strings, feeds, supplies, ideal)| {
        let mut network = Network {
            supplies: supplies
                .iter()
                .enumerate()
                .map(|(at, &(volts, source))| supply(&format!("A{at}"), volts, source))
                .collect(),
            bond: if ideal { NegativeBond::Ideal } else { NegativeBond::None },
            chains: Vec::new(),
            junctions: vec!["J".to_owned()],
            cables: Vec::new(),
        };
        for at in 0..supplies.len() {
            network.cables.push(cable(&format!("t{at}"), &format!("supply:A{at}"), "junction:J", 0.01));
        }
        for (at, (pixels, pos, neg, model, level, other)) in strings.into_iter().enumerate() {
            let mut chain = chain(&format!("s{at}"), pixels, 0.0, model);
            chain.piece = pair(pos, neg);
            chain.load = load(model, level);
            chain.overrides = vec![Override { from: 1 + pixels / 2, to: pixels, load: load(other, level) }];
            if pixels > 4 && level > 0.5 {
                chain.pos_cuts = vec![pixels / 3];
            }
            network.cables.push(cable(&format!("f{at}"), "junction:J", &format!("chain:s{at}:1"), 0.02));
            let end = format!("chain:s{at}:{pixels}");
            network.cables.push(cable(&format!("e{at}"), "junction:J", &end, 0.03));
            network.chains.push(chain);
        }
        for (at, (chain, share, pos, neg)) in feeds.into_iter().enumerate() {
            let chain = &network.chains[chain % network.chains.len()];
            let pixel = 1 + (share * f64::from(chain.pixels - 1)) as u32;
            let to = format!("chain:{}:{pixel}", chain.name);
            let mut feed = cable(&format!("x{at}"), "junction:J", &to, 0.0);
            feed.conductors = pair(pos, neg);
            network.cables.push(feed);
        }
        network
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn watts_and_amps_balance_in_any_network(network in any_network()) {
        let solution = match solve(&network) {
            Ok(solution) => solution,
            Err(NetworkError::NoWorkingPoint { fallen, .. }) => *fallen,
            Err(error) => {
                prop_assert_eq!(error.code(), "zero_resistance_loop", "{}", error);
                return Ok(());
            }
        };
        let balance = solution.supply_w - solution.load_w - solution.wire_loss_w;
        prop_assert!(balance.abs() < 1e-6, "watts differ by {}", balance);
        let amps: f64 = solution.supplies.iter().map(|supply| supply.amps).sum();
        prop_assert!((amps - solution.load_amps).abs() < 1e-6, "amps {} against {}", amps, solution.load_amps);
        assert_laws(&network, &solution);
    }

    #[test]
    fn the_highest_answer_is_found_and_a_fall_is_told(
        model in any_load(), feed in 0.0..0.1_f64, piece in 0.0..0.01_f64, pixels in 1_u32..80,
    ) {
        let by_walking = highest_answer(pixels, 12.0, feed, piece, &load(model, 1.0));
        let cutoff = if let LoadModel::ConstantPower { cutoff, .. } = model { cutoff.get() } else { f64::NEG_INFINITY };
        match solve(&one_feed(pixels, 12.0, feed, piece, model)) {
            Ok(solution) => {
                let last = v(&solution, pixels as usize);
                prop_assume!(last > 0.0); // constant current below 0 V: walking starts at 0 V
                prop_assert!((last - by_walking).abs() < 1e-6, "{} against {}", last, by_walking);
            }
            Err(NetworkError::NoWorkingPoint { pixel, .. }) => {
                prop_assert!(by_walking < cutoff);
                prop_assert!((pixel.v - by_walking).abs() < 1e-6, "fallen {} against {}", pixel.v, by_walking);
            }
            Err(error) => prop_assert!(false, "{}", error),
        }
    }

    #[test]
    fn a_longer_feed_never_drops_less(
        model in any_load(), feed in 0.0..0.2_f64, more in 0.0..0.2_f64, pixels in 1_u32..60,
    ) {
        let short = solve(&one_feed(pixels, 12.0, feed, 0.003, model));
        let long = solve(&one_feed(pixels, 12.0, feed + more, 0.003, model));
        match (short, long) {
            (Ok(short), Ok(long)) => {
                prop_assert!(long.min_pixel.unwrap().v <= short.min_pixel.unwrap().v + 1e-9);
            }
            (Err(_), Ok(_)) => prop_assert!(false, "the longer feed works, the shorter does not"),
            _ => {}
        }
    }

    #[test]
    fn a_dimmer_show_never_has_a_lower_pixel(model in any_load(), level in 0.0..1.0_f64, pixels in 1_u32..60) {
        let mut network = one_feed(pixels, 12.0, 0.05, 0.004, model);
        let full = solve(&network);
        network.chains[0].load.level = Fraction::new(level).unwrap();
        if let (Ok(full), Ok(dim)) = (full, solve(&network)) {
            prop_assert!(dim.min_pixel.unwrap().v >= full.min_pixel.unwrap().v - 1e-9);
        }
    }
}
