//! Direct-current network of pixel strings: both rails, cables, junctions, several supplies, loads that answer to voltage.
//!
//! The steady state is Kirchhoff's current law at every point of either rail. Points joined without resistance, and the
//! terminals of a supply without source resistance, are one unknown with a fixed step between them (`nodes`); what
//! remains is symmetric and positive definite on the branch that is wanted, is ordered along the chains (`order`),
//! factored sparsely (`sparse`) and solved by Newton's method from no load downwards (`newton`). Work and memory
//! grow linearly with the pixels.
//!
//! Limits of use: steady direct current; every conductor pair counted both ways; at most [`MOST_PIXELS`] pixels; a
//! resistance of [`ZERO_OHM`] or less counts as none.
//!
//! Not here: facts of the yard, wire tables, advice on where to feed.

mod error;
mod load;
mod newton;
mod nodes;
mod numbers;
mod order;
mod solution;
mod sparse;
mod union;

pub use error::NetworkError;
pub use load::{LoadModel, PixelLoad};
pub use solution::{CableState, ChainState, Finding, PixelPoint, PixelState, Solution, SupplyState};

use crate::calc::source::{Source, Standing};
use crate::units::si::{Metres, Ohms, OhmsPerMetre, Volts};

/// Kirchhoff's laws with linear conductors; the numerical method is ours.
pub const SOURCE: Source = Source {
    title: "Kirchhoff's current and voltage laws for a resistive network",
    edition: "",
    clause: "",
    standing: Standing::CommonPractice,
};

/// The most pixels of one network.
pub const MOST_PIXELS: usize = 1_000_000;

/// At or below this many ohms a conductor counts as having none: 100 A drop a ten-millionth of a volt in it.
pub const ZERO_OHM: f64 = 1e-9;

/// A fixed voltage behind a source resistance; current may flow either way.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    pub name: String,
    pub volts: Volts,
    /// Zero is allowed.
    pub source: Ohms,
}

/// Whether the minus terminals of all supplies are one point by themselves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NegativeBond {
    /// One heavy bond at the supplies.
    Ideal,
    /// They meet only through the wiring given.
    None,
}

/// The plus and the minus conductor between two points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conductors {
    pub pos: Ohms,
    pub neg: Ohms,
}

impl Conductors {
    /// A pair `length` long (one way); `series` is what fuse, switch and plugs add to the plus conductor.
    ///
    /// # Errors
    /// When a product passes the range of [`Ohms`].
    pub fn new(
        length: Metres,
        pos: OhmsPerMetre,
        neg: OhmsPerMetre,
        series: Ohms,
    ) -> Result<Self, crate::units::si::OutOfRange> {
        Ok(Self {
            pos: Ohms::new(length.get() * pos.get() + series.get())?,
            neg: Ohms::new(length.get() * neg.get())?,
        })
    }
}

/// Pixels `from` to `to` (both included, counted from 1) that carry another load than their chain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Override {
    pub from: u32,
    pub to: u32,
    pub load: PixelLoad,
}

/// A row of pixels on two rails; pixel 1 is the one nearest the data input.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    pub name: String,
    pub pixels: u32,
    /// One piece of rail between two neighbours.
    pub piece: Conductors,
    pub load: PixelLoad,
    /// Where two overlap, the later one holds.
    pub overrides: Vec<Override>,
    /// `k` cuts the plus rail between pixels k and k + 1; the minus rail is never cut.
    pub pos_cuts: Vec<u32>,
}

/// An end of a cable: a plus and a minus terminal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Point {
    Supply(String),
    Junction(String),
    /// Chain and pixel, counted from 1.
    Pixel(String, u32),
}

/// A conductor pair between two points.
#[derive(Debug, Clone, PartialEq)]
pub struct Cable {
    pub name: String,
    pub from: Point,
    pub to: Point,
    pub conductors: Conductors,
}

/// The whole network; 0 V is the minus terminal of the first supply.
#[derive(Debug, Clone, PartialEq)]
pub struct Network {
    pub supplies: Vec<Supply>,
    pub bond: NegativeBond,
    pub chains: Vec<Chain>,
    pub junctions: Vec<String>,
    pub cables: Vec<Cable>,
}

/// Voltages, currents and losses of the network in steady state.
///
/// # Errors
/// What is absent, doubled, floating or joined without resistance in a ring is named; loads outside their range; no
/// working point. See [`NetworkError`].
pub fn solve(network: &Network) -> Result<Solution, NetworkError> {
    let nodes = nodes::Nodes::of(network)?;
    let volts = newton::settle(&nodes)?;
    let solution = solution::read(network, &nodes, &volts);
    match solution.fallen(network) {
        Some(pixel) => Err(NetworkError::NoWorkingPoint { pixel, fallen: Box::new(solution) }),
        None => Ok(solution),
    }
}
