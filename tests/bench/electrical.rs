//! The network of a whole yard, at three sizes, so that linear growth shows in one run.

use divan::Bencher;
use ladderday::answers::power::WhatIf;
use ladderday::calc::electrical::network::{
    Cable, Chain, Conductors, LoadModel, NegativeBond, Network, PixelLoad, Point, Supply, solve,
};
use ladderday::units::si::{Amps, Fraction, Ohms, Volts, Watts};

/// Strings of 100 pixels, five to a supply on a hub, fed at both ends; all three kinds of load in turn.
fn yard(pixels: u32) -> Network {
    let ohms = |value| Ohms::new(value).unwrap();
    let volts = |value| Volts::new(value).unwrap();
    let pair = |value| Conductors { pos: ohms(value), neg: ohms(value) };
    let strings = pixels / 100;
    let supplies = strings.div_ceil(5);
    let mut network = Network {
        supplies: (0..supplies)
            .map(|at| Supply { name: format!("A{at}"), volts: volts(12.0), source: ohms(0.004) })
            .collect(),
        bond: NegativeBond::Ideal,
        chains: Vec::new(),
        junctions: (0..supplies).map(|at| format!("H{at}")).collect(),
        cables: (0..supplies)
            .map(|at| Cable {
                name: format!("trunk{at}"),
                from: Point::Supply(format!("A{at}")),
                to: Point::Junction(format!("H{at}")),
                conductors: pair(0.002),
            })
            .collect(),
    };
    for at in 0..strings {
        let amps = Amps::new(0.05).unwrap();
        let model = match at % 3 {
            0 => LoadModel::ConstantCurrent { amps },
            1 => LoadModel::ConstantPower { watts: Watts::new(0.5).unwrap(), cutoff: volts(7.0) },
            _ => LoadModel::CurrentWithKnee { amps, knee: volts(9.5), off: volts(7.0) },
        };
        network.chains.push(Chain {
            name: format!("s{at}"),
            pixels: 100,
            piece: pair(0.0021),
            load: PixelLoad { model, level: Fraction::new(1.0).unwrap() },
            overrides: Vec::new(),
            pos_cuts: Vec::new(),
        });
        for (end, pixel) in [("near", 1), ("far", 100)] {
            network.cables.push(Cable {
                name: format!("{end}{at}"),
                from: Point::Junction(format!("H{}", at / 5)),
                to: Point::Pixel(format!("s{at}"), pixel),
                conductors: pair(0.05),
            });
        }
    }
    network
}

#[divan::bench(args = [1_000, 10_000, 50_000], sample_count = 20)]
fn whole_yard(bencher: Bencher, pixels: u32) {
    let network = yard(pixels);
    bencher.bench(|| solve(divan::black_box(&network)).unwrap());
}

/// The demo yard, as `check power` looks at it.
#[divan::bench(sample_count = 50)]
fn demo_yard(bencher: Bencher) {
    let folder = tempfile::tempdir().unwrap();
    let now = Some("2026-09-01T12:00".to_owned());
    let season = Some("harbor-2026".to_owned());
    let choices = ladderday::app::Choices { now, season, ..ladderday::app::Choices::default() };
    let mut app = ladderday::app::App::demo(&folder.path().join("d.ladderday"), true, &choices).unwrap();
    let (kinds, tried) = ([ladderday::answers::power::CheckKind::Power], WhatIf::default());
    bencher.bench_local(|| app.check(&kinds, &tried).unwrap());
}

/// A matrix of `rows` rows of 100 pixels with a bus on either edge: one part, full of rings.
fn matrix(rows: u32) -> Network {
    let mut network = yard(100);
    let model = network.chains.remove(0);
    network.cables.retain(|cable| cable.name == "trunk0");
    for at in 0..rows {
        let mut row = model.clone();
        row.name = format!("r{at}");
        row.load.level = Fraction::new(0.2).unwrap();
        network.chains.push(row);
        for pixel in [1, 100] {
            let from = if at % 10 == 0 {
                Point::Junction("H0".to_owned())
            } else {
                Point::Pixel(format!("r{}", at - 1), pixel)
            };
            network.cables.push(Cable {
                name: format!("b{at}:{pixel}"),
                from,
                to: Point::Pixel(format!("r{at}"), pixel),
                conductors: network.cables[0].conductors,
            });
        }
    }
    network
}

#[divan::bench(args = [10, 100, 500], sample_count = 20)]
fn one_matrix(bencher: Bencher, rows: u32) {
    let network = matrix(rows);
    bencher.bench(|| solve(divan::black_box(&network)).unwrap());
}
