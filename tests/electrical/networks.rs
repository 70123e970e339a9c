//! Networks made by hand, and what every answer must keep.

use ladderday::calc::electrical::network::{
    Cable, Chain, Conductors, LoadModel, NegativeBond, Network, PixelLoad, Point, Solution, Supply,
};
use ladderday::units::si::{Amps, Fraction, Ohms, Volts, Watts};

pub(super) fn pair(pos: f64, neg: f64) -> Conductors {
    Conductors { pos: Ohms::new(pos).unwrap(), neg: Ohms::new(neg).unwrap() }
}

pub(super) fn load(model: LoadModel, level: f64) -> PixelLoad {
    PixelLoad { model, level: Fraction::new(level).unwrap() }
}

pub(super) fn current(amps: f64) -> LoadModel {
    LoadModel::ConstantCurrent { amps: Amps::new(amps).unwrap() }
}

pub(super) fn power(watts: f64, cutoff: f64) -> LoadModel {
    LoadModel::ConstantPower { watts: Watts::new(watts).unwrap(), cutoff: Volts::new(cutoff).unwrap() }
}

pub(super) fn knee(amps: f64, knee: f64, off: f64) -> LoadModel {
    LoadModel::CurrentWithKnee {
        amps: Amps::new(amps).unwrap(),
        knee: Volts::new(knee).unwrap(),
        off: Volts::new(off).unwrap(),
    }
}

pub(super) fn supply(name: &str, volts: f64, source: f64) -> Supply {
    Supply { name: name.to_owned(), volts: Volts::new(volts).unwrap(), source: Ohms::new(source).unwrap() }
}

pub(super) fn chain(name: &str, pixels: u32, piece: f64, model: LoadModel) -> Chain {
    Chain {
        name: name.to_owned(),
        pixels,
        piece: pair(piece, piece),
        load: load(model, 1.0),
        overrides: Vec::new(),
        pos_cuts: Vec::new(),
    }
}

pub(super) fn at(text: &str) -> Point {
    let parts: Vec<&str> = text.split(':').collect();
    match parts[..] {
        ["supply", name] => Point::Supply(name.to_owned()),
        ["junction", name] => Point::Junction(name.to_owned()),
        ["chain", name, pixel] => Point::Pixel(name.to_owned(), pixel.parse().unwrap()),
        _ => panic!("{text}"),
    }
}

pub(super) fn cable(name: &str, from: &str, to: &str, ohm: f64) -> Cable {
    Cable { name: name.to_owned(), from: at(from), to: at(to), conductors: pair(ohm, ohm) }
}

/// One string of `pixels`, fed at pixel 1.
pub(super) fn one_feed(pixels: u32, volts: f64, feed: f64, piece: f64, model: LoadModel) -> Network {
    Network {
        supplies: vec![supply("A", volts, 0.0)],
        bond: NegativeBond::Ideal,
        chains: vec![chain("s", pixels, piece, model)],
        junctions: Vec::new(),
        cables: vec![cable("f", "supply:A", "chain:s:1", feed)],
    }
}

pub(super) fn v(solution: &Solution, pixel: usize) -> f64 {
    solution.chains[0].pixels[pixel - 1].v
}

pub(super) fn assert_balance(solution: &Solution) {
    let balance = solution.supply_w - solution.load_w - solution.wire_loss_w;
    assert!(balance.abs() < 1e-6, "watts in and out differ by {balance}");
}
