//! The network as terminals, resistive edges and ties without resistance.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::load::PixelLoad;
use super::{Chain, MOST_PIXELS, NegativeBond, Network, NetworkError, Point, ZERO_OHM};

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

/// Sets of terminals with a voltage step to the root of each.
struct Union {
    parent: Vec<usize>,
    step: Vec<f64>,
}

impl Union {
    fn new(count: usize) -> Self {
        Self { parent: (0..count).collect(), step: vec![0.0; count] }
    }

    /// Root of `x`, and how far `x` lies above it.
    fn find(&mut self, x: usize) -> (usize, f64) {
        let (mut root, mut total) = (x, 0.0);
        while self.parent[root] != root {
            total += self.step[root];
            root = self.parent[root];
        }
        let (mut at, mut left) = (x, total);
        while self.parent[at] != root && at != root {
            let (next, step) = (self.parent[at], self.step[at]);
            self.parent[at] = root;
            self.step[at] = left;
            left -= step;
            at = next;
        }
        (root, total)
    }

    /// Joins by v_b = v_a + emf; the volts by which an existing joint disagrees otherwise.
    fn join(&mut self, a: usize, b: usize, emf: f64) -> Result<(), f64> {
        let ((root_a, step_a), (root_b, step_b)) = (self.find(a), self.find(b));
        if root_a == root_b {
            return Err(step_a + emf - step_b);
        }
        // The lower number stays root, so that roots do not depend on the order of joining.
        if root_a < root_b {
            self.parent[root_b] = root_a;
            self.step[root_b] = step_a + emf - step_b;
        } else {
            self.parent[root_a] = root_b;
            self.step[root_a] = step_b - emf - step_a;
        }
        Ok(())
    }
}

/// Terminal numbers: supplies, then junctions, then pixels, plus and minus in turn.
struct Numbers<'a> {
    network: &'a Network,
    supplies: BTreeMap<&'a str, usize>,
    junctions: BTreeMap<&'a str, usize>,
    chains: BTreeMap<&'a str, usize>,
    starts: Vec<usize>,
}

impl<'a> Numbers<'a> {
    fn of(network: &'a Network) -> Result<Self, NetworkError> {
        if network.supplies.is_empty() {
            return Err(NetworkError::NoSupply);
        }
        let pixels: u64 = network.chains.iter().map(|chain| u64::from(chain.pixels)).sum();
        if pixels > MOST_PIXELS as u64 {
            return Err(NetworkError::TooManyPixels { pixels, most: MOST_PIXELS });
        }
        let mut starts = vec![0];
        for chain in &network.chains {
            check_chain(chain)?;
            starts.push(starts.last().copied().unwrap_or(0) + chain.pixels as usize);
        }
        named("cables", network.cables.iter().map(|cable| cable.name.as_str()))?;
        Ok(Self {
            network,
            supplies: named("supplies", network.supplies.iter().map(|supply| supply.name.as_str()))?,
            junctions: named("junctions", network.junctions.iter().map(String::as_str))?,
            chains: named("chains", network.chains.iter().map(|chain| chain.name.as_str()))?,
            starts,
        })
    }

    fn supply(&self, at: usize) -> (usize, usize) {
        let minus = if self.network.bond == NegativeBond::Ideal { 0 } else { at };
        (2 * at, 2 * minus + 1)
    }

    fn junction(&self, at: usize) -> (usize, usize) {
        let plus = 2 * (self.network.supplies.len() + at);
        (plus, plus + 1)
    }

    fn pixel(&self, overall: usize) -> (usize, usize) {
        self.junction(self.network.junctions.len() + overall)
    }

    fn count(&self) -> usize {
        self.pixel(self.starts.last().copied().unwrap_or(0)).0
    }

    fn point(&self, cable: &str, point: &Point) -> Result<(usize, usize), NetworkError> {
        let absent = |code| NetworkError::Absent { cable: cable.to_owned(), point: show(point), code };
        match point {
            Point::Supply(name) => self
                .supplies
                .get(name.as_str())
                .map(|&at| self.supply(at))
                .ok_or_else(|| absent("absent_supply")),
            Point::Junction(name) => self
                .junctions
                .get(name.as_str())
                .map(|&at| self.junction(at))
                .ok_or_else(|| absent("absent_junction")),
            Point::Pixel(name, pixel) => {
                let at = *self.chains.get(name.as_str()).ok_or_else(|| absent("absent_chain"))?;
                if *pixel == 0 || *pixel > self.network.chains[at].pixels {
                    return Err(absent("absent_pixel"));
                }
                Ok(self.pixel(self.starts[at] + *pixel as usize - 1))
            }
        }
    }

    /// A terminal in words: "plus of chain s1, pixel 41".
    fn describe(&self, terminal: usize) -> String {
        let (pole, pair) = (if terminal.is_multiple_of(2) { "plus" } else { "minus" }, terminal / 2);
        let network = self.network;
        if let Some(supply) = network.supplies.get(pair) {
            return format!("{pole} of supply {}", supply.name);
        }
        let pair = pair - network.supplies.len();
        if let Some(junction) = network.junctions.get(pair) {
            return format!("{pole} of junction {junction}");
        }
        let pair = pair - network.junctions.len();
        let chain = self.starts.partition_point(|&start| start <= pair).saturating_sub(1);
        format!("{pole} of chain {}, pixel {}", network.chains[chain].name, pair - self.starts[chain] + 1)
    }
}

/// `supply:A`, `junction:J1`, `chain:s1:12`.
fn show(point: &Point) -> String {
    match point {
        Point::Supply(name) => format!("supply:{name}"),
        Point::Junction(name) => format!("junction:{name}"),
        Point::Pixel(name, pixel) => format!("chain:{name}:{pixel}"),
    }
}

fn named<'a>(
    what: &'static str,
    names: impl Iterator<Item = &'a str>,
) -> Result<BTreeMap<&'a str, usize>, NetworkError> {
    let mut map = BTreeMap::new();
    for (at, name) in names.enumerate() {
        if map.insert(name, at).is_some() {
            return Err(NetworkError::Doubled { what, name: name.to_owned() });
        }
    }
    Ok(map)
}

fn check_chain(chain: &Chain) -> Result<(), NetworkError> {
    let outside = |what, pixel, high| NetworkError::PixelOutside {
        chain: chain.name.clone(),
        what,
        pixel,
        low: 1,
        high,
    };
    if chain.pixels == 0 {
        return Err(outside("its last pixel", 0, MOST_PIXELS as u32));
    }
    for &cut in &chain.pos_cuts {
        if cut == 0 || cut >= chain.pixels {
            return Err(outside("a cut after its plus rail", cut, chain.pixels - 1));
        }
    }
    for part in &chain.overrides {
        if part.from == 0 || part.from > part.to {
            return Err(outside("another load from", part.from, part.to));
        }
        if part.to > chain.pixels {
            return Err(outside("another load up to", part.to, chain.pixels));
        }
    }
    for load in std::iter::once(&chain.load).chain(chain.overrides.iter().map(|part| &part.load)) {
        load.checked().map_err(|refusal| NetworkError::Load { chain: chain.name.clone(), refusal })?;
    }
    Ok(())
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

/// Resistive edges, ties, and the terminals at which cables end.
fn edges(
    network: &Network,
    numbers: &Numbers,
    pixels: &[Pixel],
) -> Result<(Vec<Edge>, Vec<Edge>, Vec<usize>), NetworkError> {
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
