//! Currents, powers and findings, read off the settled voltages.

use super::Network;
use super::nodes::{Edge, Nodes, Part};

/// One pixel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PixelState {
    /// Volts between its terminals.
    pub v: f64,
    /// Volts of its plus terminal above 0 V.
    pub v_pos: f64,
    /// Volts of its minus terminal above 0 V.
    pub v_neg: f64,
    pub amps: f64,
}

/// The pixels of one chain, pixel 1 first.
#[derive(Debug, Clone, PartialEq)]
pub struct ChainState {
    pub name: String,
    pub pixels: Vec<PixelState>,
}

/// One supply.
#[derive(Debug, Clone, PartialEq)]
pub struct SupplyState {
    pub name: String,
    /// Out of the plus terminal; negative where current is pushed back.
    pub amps: f64,
    /// Set voltage times current, with what the source resistance burns.
    pub watts: f64,
}

/// One cable.
#[derive(Debug, Clone, PartialEq)]
pub struct CableState {
    pub name: String,
    /// From → to in the plus conductor.
    pub amps_pos: f64,
    /// To → from in the minus conductor.
    pub amps_neg: f64,
    pub loss_w: f64,
}

/// A pixel by chain and number (from 1), with its volts.
#[derive(Debug, Clone, PartialEq)]
pub struct PixelPoint {
    pub chain: String,
    pub pixel: u32,
    pub v: f64,
}

/// What is wrong with a network that does have an answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Finding {
    /// Current is pushed back into this supply.
    BackFeed { supply: String, amps: f64 },
    /// No conductor joins this supply's minus to the first supply's.
    NoCommonMinus { supply: String },
    /// A pixel below 0 V: more current is asked for than the wires can bring.
    BelowZero { pixel: PixelPoint },
}

impl Finding {
    /// The stable code.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::BackFeed { .. } => "back_feed",
            Self::NoCommonMinus { .. } => "no_common_minus",
            Self::BelowZero { .. } => "pixel_below_zero",
        }
    }
}

/// The network in steady state.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    pub chains: Vec<ChainState>,
    pub supplies: Vec<SupplyState>,
    pub cables: Vec<CableState>,
    /// The lowest pixel, the first of equals; nothing where there are no pixels.
    pub min_pixel: Option<PixelPoint>,
    pub max_pixel: Option<PixelPoint>,
    /// The highest minus rail above 0 V, at any pixel.
    pub v_neg_max: f64,
    pub load_w: f64,
    /// Conductors and source resistances.
    pub wire_loss_w: f64,
    pub supply_w: f64,
    pub load_amps: f64,
    pub findings: Vec<Finding>,
}

impl Solution {
    /// The lowest pixel whose load has fallen below its cutoff, where there is one.
    pub(super) fn fallen(&self, network: &Network) -> Option<PixelPoint> {
        let mut lowest: Option<PixelPoint> = None;
        for (chain, state) in network.chains.iter().zip(&self.chains) {
            for (at, pixel) in state.pixels.iter().enumerate() {
                let number = at as u32 + 1;
                let part = chain.overrides.iter().rev().find(|part| (part.from..=part.to).contains(&number));
                let cutoff = part.map_or(&chain.load, |part| &part.load).cutoff();
                if cutoff.is_some_and(|cutoff| pixel.v < cutoff)
                    && lowest.as_ref().is_none_or(|l| pixel.v < l.v)
                {
                    lowest = Some(PixelPoint { chain: chain.name.clone(), pixel: number, v: pixel.v });
                }
            }
        }
        lowest
    }
}

/// Reads everything off the unknowns `x`.
pub(super) fn read(network: &Network, nodes: &Nodes, x: &[f64]) -> Solution {
    let volts = |terminal| nodes.volts(terminal, x);
    let states: Vec<PixelState> = nodes
        .pixels
        .iter()
        .map(|pixel| {
            let (v_pos, v_neg) = (volts(pixel.pos), volts(pixel.neg));
            let v = v_pos - v_neg;
            PixelState { v, v_pos, v_neg, amps: pixel.load.at(v).0 }
        })
        .collect();
    let flowing: Vec<f64> =
        nodes.resistors.iter().map(|edge| (volts(edge.a) - volts(edge.b) + edge.emf) / edge.ohm).collect();
    let tied = tie_currents(nodes, &states, &flowing);

    let mut supplies: Vec<SupplyState> = network
        .supplies
        .iter()
        .map(|supply| SupplyState { name: supply.name.clone(), amps: 0.0, watts: 0.0 })
        .collect();
    let mut cables: Vec<CableState> = network
        .cables
        .iter()
        .map(|cable| CableState { name: cable.name.clone(), amps_pos: 0.0, amps_neg: 0.0, loss_w: 0.0 })
        .collect();
    let mut wire_loss_w = 0.0;
    for (edge, &amps) in nodes.resistors.iter().zip(&flowing).chain(nodes.ties.iter().zip(&tied)) {
        let loss = amps * amps * edge.ohm;
        wire_loss_w += loss;
        match edge.part {
            Part::Supply(at) => {
                supplies[at].amps = amps;
                supplies[at].watts = amps * edge.emf;
            }
            Part::CablePos(at) => {
                cables[at].amps_pos = amps;
                cables[at].loss_w += loss;
            }
            Part::CableNeg(at) => {
                cables[at].amps_neg = amps;
                cables[at].loss_w += loss;
            }
            Part::Rail(_) => {}
        }
    }
    let chains: Vec<ChainState> = network
        .chains
        .iter()
        .zip(nodes.starts.windows(2))
        .map(|(chain, range)| ChainState {
            name: chain.name.clone(),
            pixels: states[range[0]..range[1]].to_vec(),
        })
        .collect();
    let min_pixel = extreme(&chains, |v, best| v < best);
    let max_pixel = extreme(&chains, |v, best| v > best);
    let findings = findings(network, nodes, &supplies, min_pixel.as_ref());
    Solution {
        min_pixel,
        max_pixel,
        v_neg_max: states.iter().map(|pixel| pixel.v_neg).reduce(f64::max).unwrap_or(0.0),
        load_w: states.iter().map(|pixel| pixel.v * pixel.amps).sum(),
        wire_loss_w,
        supply_w: supplies.iter().map(|supply| supply.watts).sum(),
        load_amps: states.iter().map(|pixel| pixel.amps).sum(),
        chains,
        supplies,
        cables,
        findings,
    }
}

/// Back-feed counts from a microampere on: less is rounding.
const BACK_FEED_A: f64 = 1e-6;

fn findings(
    network: &Network,
    nodes: &Nodes,
    supplies: &[SupplyState],
    min_pixel: Option<&PixelPoint>,
) -> Vec<Finding> {
    let back = supplies
        .iter()
        .filter(|supply| supply.amps < -BACK_FEED_A)
        .map(|supply| Finding::BackFeed { supply: supply.name.clone(), amps: supply.amps });
    let apart =
        nodes.apart.iter().map(|&at| Finding::NoCommonMinus { supply: network.supplies[at].name.clone() });
    let below =
        min_pixel.filter(|pixel| pixel.v < 0.0).map(|pixel| Finding::BelowZero { pixel: pixel.clone() });
    back.chain(apart).chain(below).collect()
}

fn extreme(chains: &[ChainState], better: fn(f64, f64) -> bool) -> Option<PixelPoint> {
    let mut best: Option<(&str, usize, f64)> = None;
    for chain in chains {
        for (at, pixel) in chain.pixels.iter().enumerate() {
            if best.is_none_or(|(_, _, v)| better(pixel.v, v)) {
                best = Some((&chain.name, at, pixel.v));
            }
        }
    }
    best.map(|(chain, at, v)| PixelPoint { chain: chain.to_owned(), pixel: at as u32 + 1, v })
}

/// Current a → b in each tie. Ties form no ring, so each end with one tie left carries all that arrives there.
fn tie_currents(nodes: &Nodes, pixels: &[PixelState], flowing: &[f64]) -> Vec<f64> {
    let mut arriving = vec![0.0; nodes.terminals.len()];
    let mut flow = |from: usize, to: usize, amps: f64| {
        arriving[from] -= amps;
        arriving[to] += amps;
    };
    for (Edge { a, b, .. }, &amps) in nodes.resistors.iter().zip(flowing) {
        flow(*a, *b, amps);
    }
    for (pixel, state) in nodes.pixels.iter().zip(pixels) {
        flow(pixel.pos, pixel.neg, state.amps);
    }
    let mut at_terminal: Vec<Vec<usize>> = vec![Vec::new(); nodes.terminals.len()];
    for (at, tie) in nodes.ties.iter().enumerate() {
        at_terminal[tie.a].push(at);
        at_terminal[tie.b].push(at);
    }
    let mut left: Vec<usize> = at_terminal.iter().map(Vec::len).collect();
    let mut ends: Vec<usize> = (0..left.len()).filter(|&terminal| left[terminal] == 1).collect();
    let mut amps = vec![None; nodes.ties.len()];
    while let Some(end) = ends.pop() {
        let Some(&at) = at_terminal[end].iter().find(|&&at| amps[at].is_none()) else { continue };
        let tie = nodes.ties[at];
        let (other, out) = if tie.a == end { (tie.b, arriving[end]) } else { (tie.a, -arriving[end]) };
        amps[at] = Some(out);
        arriving[other] += arriving[end];
        arriving[end] = 0.0;
        left[end] -= 1;
        left[other] -= 1;
        if left[other] == 1 {
            ends.push(other);
        }
    }
    amps.into_iter().map(|amps| amps.unwrap_or(0.0)).collect()
}
