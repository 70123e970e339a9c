//! The network as terminals, resistive edges and ties without resistance.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::load::PixelLoad;
use super::numbers::{Numbers, show};
use super::union::Union;
use super::{Network, NetworkError, ZERO_OHM};

/// What an edge stands for, by index into the network.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    Supply(usize),
    CablePos(usize),
    CableNeg(usize),
    Rail(usize),
}

/// Current a → b is (v_a - v_b + emf) / ohm; a tie has no ohm and holds v_b = v_a + emf.
#[derive(Debug, Clone, Copy)]
pub(super) struct Edge {
    pub a: usize,
    pub b: usize,
    pub ohm: f64,
    pub emf: f64,
    pub part: Part,
}

/// A pixel's two terminals and its load.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pixel {
    pub pos: usize,
    pub neg: usize,
    pub load: PixelLoad,
}

/// Where a terminal's voltage comes from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Held {
    /// Number of the unknown, nothing where the voltage is given.
    pub unknown: Option<usize>,
    /// Volts above the unknown, or above 0 V.
    pub step: f64,
}

/// The terminals of a network, joined into as few unknowns as there are.
#[derive(Debug)]
pub(super) struct Nodes {
    pub resistors: Vec<Edge>,
    pub ties: Vec<Edge>,
    /// Every pixel, chain after chain.
    pub pixels: Vec<Pixel>,
    /// First pixel of each chain in `pixels`, and one past the last.
    pub starts: Vec<usize>,
    pub terminals: Vec<Held>,
    pub unknowns: usize,
    /// Unknowns that more than two rail pieces meet at; they are eliminated last.
    pub meeting: Vec<bool>,
    /// Supplies whose minus no conductor joins to the first supply's.
    pub apart: Vec<usize>,
}

impl Nodes {
    /// Numbers the terminals and joins those without resistance between them.
    pub(super) fn of(network: &Network) -> Result<Self, NetworkError> {
        let numbers = Numbers::of(network)?;
        let mut pixels = Vec::with_capacity(numbers.starts.last().copied().unwrap_or(0));
        for (chain, &start) in network.chains.iter().zip(&numbers.starts) {
            pixels.extend((0..chain.pixels as usize).map(|k| {
                let (pos, neg) = numbers.pixel(start + k);
                Pixel { pos, neg, load: chain.load }
            }));
            for part in &chain.overrides {
                for pixel in &mut pixels[start + part.from as usize - 1..start + part.to as usize] {
                    pixel.load = part.load;
                }
            }
        }
        let (resistors, ties, ports) = edges(network, &numbers, &pixels)?;
        let (terminals, unknowns, apart) = join(&numbers, &resistors, &ties, &pixels)?;
        let mut meeting = vec![false; unknowns];
        let tied = ties.iter().flat_map(|tie| [tie.a, tie.b]);
        for terminal in (0..numbers.pixel(0).0).chain(ports).chain(tied) {
            if let Some(unknown) = terminals[terminal].unknown {
                meeting[unknown] = true;
            }
        }
        let starts = numbers.starts;
        Ok(Self { resistors, ties, pixels, starts, terminals, unknowns, meeting, apart })
    }

    /// Volts of a terminal, given the unknowns.
    pub(super) fn volts(&self, terminal: usize, x: &[f64]) -> f64 {
        let held = self.terminals[terminal];
        held.step + held.unknown.map_or(0.0, |unknown| x[unknown])
    }
}

/// Resistors, ties, and the terminals at which cables end.
type Edges = (Vec<Edge>, Vec<Edge>, Vec<usize>);

fn edges(network: &Network, numbers: &Numbers, pixels: &[Pixel]) -> Result<Edges, NetworkError> {
    let mut all = Vec::with_capacity(2 * pixels.len() + 2 * network.cables.len() + network.supplies.len());
    let mut ports = Vec::new();
    for (at, supply) in network.supplies.iter().enumerate() {
        let (plus, minus) = numbers.supply(at);
        let (ohm, emf) = (supply.source.get(), supply.volts.get());
        all.push(Edge { a: minus, b: plus, ohm, emf, part: Part::Supply(at) });
    }
    for (at, cable) in network.cables.iter().enumerate() {
        if cable.from == cable.to {
            return Err(NetworkError::CableToItself { cable: cable.name.clone(), point: show(&cable.from) });
        }
        let from = numbers.point(&cable.name, &cable.from)?;
        let to = numbers.point(&cable.name, &cable.to)?;
        let (pos, neg) = (cable.conductors.pos.get(), cable.conductors.neg.get());
        all.push(Edge { a: from.0, b: to.0, ohm: pos, emf: 0.0, part: Part::CablePos(at) });
        all.push(Edge { a: to.1, b: from.1, ohm: neg, emf: 0.0, part: Part::CableNeg(at) });
        ports.extend([from.0, from.1, to.0, to.1]);
    }
    for (at, (chain, &start)) in network.chains.iter().zip(&numbers.starts).enumerate() {
        let cuts: BTreeSet<usize> = chain.pos_cuts.iter().map(|&cut| cut as usize).collect();
        let part = Part::Rail(at);
        for (k, pair) in pixels[start..start + chain.pixels as usize].windows(2).enumerate() {
            if !cuts.contains(&(k + 1)) {
                all.push(Edge { a: pair[0].pos, b: pair[1].pos, ohm: chain.piece.pos.get(), emf: 0.0, part });
            }
            all.push(Edge { a: pair[1].neg, b: pair[0].neg, ohm: chain.piece.neg.get(), emf: 0.0, part });
        }
    }
    let (resistors, ties) = all.into_iter().partition(|edge: &Edge| edge.ohm > ZERO_OHM);
    Ok((resistors, ties, ports))
}

/// Where each terminal's voltage comes from, the number of unknowns, the supplies apart from the first.
type Joined = (Vec<Held>, usize, Vec<usize>);

/// Turns ties into steps, sees that every part reaches a supply, and numbers what is unknown.
fn join(
    numbers: &Numbers,
    resistors: &[Edge],
    ties: &[Edge],
    pixels: &[Pixel],
) -> Result<Joined, NetworkError> {
    let count = numbers.count();
    let mut tied = Union::new(count);
    for (at, tie) in ties.iter().enumerate() {
        if let Err(volts) = tied.join(tie.a, tie.b, tie.emf) {
            let parts = ring(numbers.network, &ties[..at], tie);
            return Err(NetworkError::ZeroResistanceLoop { parts, volts: volts.abs() });
        }
    }
    // Which terminals any conductor joins; a joint made twice is fine here.
    let mut island = Union::new(count);
    for edge in resistors.iter().chain(ties) {
        let _ = island.join(edge.a, edge.b, 0.0);
    }
    // The first supply of an island lends it its minus as 0 V.
    let mut zero: BTreeMap<usize, usize> = BTreeMap::new();
    let mut apart = Vec::new();
    for at in 0..numbers.network.supplies.len() {
        let minus = numbers.supply(at).1;
        let root = island.find(minus).0;
        zero.entry(root).or_insert(minus);
        if at > 0 && root != island.find(numbers.supply(0).1).0 {
            apart.push(at);
        }
    }
    let ends = (0..numbers.network.junctions.len()).map(|at| numbers.junction(at));
    // Every conductor has its pair, so that plus and minus of a point always reach the same supplies.
    for (pos, neg) in ends.chain(pixels.iter().map(|pixel| (pixel.pos, pixel.neg))) {
        for terminal in [pos, neg] {
            if !zero.contains_key(&island.find(terminal).0) {
                return Err(NetworkError::Floating { part: numbers.describe(terminal) });
            }
        }
    }
    let mut given: BTreeMap<usize, f64> = BTreeMap::new();
    for &minus in zero.values() {
        let (root, step) = tied.find(minus);
        given.insert(root, -step);
    }
    let mut unknown_of = vec![None; count];
    let mut terminals = Vec::with_capacity(count);
    let mut unknowns = 0;
    for terminal in 0..count {
        let (root, step) = tied.find(terminal);
        if let Some(volts) = given.get(&root) {
            terminals.push(Held { unknown: None, step: volts + step });
            continue;
        }
        // A bonded supply's own minus terminal stands for nothing.
        let unused = terminal % 2 == 1
            && terminal / 2 < numbers.network.supplies.len()
            && numbers.supply(terminal / 2).1 != terminal;
        if unused {
            terminals.push(Held { unknown: None, step: 0.0 });
            continue;
        }
        let unknown = *unknown_of[root].get_or_insert_with(|| {
            unknowns += 1;
            unknowns - 1
        });
        terminals.push(Held { unknown: Some(unknown), step });
    }
    Ok((terminals, unknowns, apart))
}

/// The parts of the ring that `closing` closes, by name.
fn ring(network: &Network, ties: &[Edge], closing: &Edge) -> Vec<String> {
    let mut came: BTreeMap<usize, (usize, Part)> = BTreeMap::new();
    let mut todo = vec![closing.a];
    let mut seen = BTreeSet::from([closing.a]);
    while let Some(at) = todo.pop() {
        for tie in ties.iter().filter(|tie| tie.a == at || tie.b == at) {
            let other = if tie.a == at { tie.b } else { tie.a };
            if seen.insert(other) {
                came.insert(other, (at, tie.part));
                todo.push(other);
            }
        }
    }
    let mut parts = vec![name(network, closing.part)];
    let mut at = closing.b;
    while let Some(&(before, part)) = came.get(&at) {
        parts.push(name(network, part));
        at = before;
    }
    parts.sort();
    parts.dedup();
    parts
}

fn name(network: &Network, part: Part) -> String {
    match part {
        Part::Supply(at) => format!("supply {}", network.supplies[at].name),
        Part::CablePos(at) => format!("cable {} (plus)", network.cables[at].name),
        Part::CableNeg(at) => format!("cable {} (minus)", network.cables[at].name),
        Part::Rail(at) => format!("rail of chain {}", network.chains[at].name),
    }
}
