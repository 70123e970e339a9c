//! Where to feed a string of a real network: any loads, feeds it already has, whatever else hangs on its supply.
//!
//! [`feed_points`](super::feed_points) knows the best places for one plain string; this one judges each plan by solving
//! the network, and finds places by a pattern search that starts from the lowest pixel.

use std::fmt;

use super::feed_points::pattern_search;
use super::network::{Cable, Conductors, Network, NetworkError, Point, Solution, solve};
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Metres, Ohms, OhmsPerMetre, Volts};

/// Judged by the network; the search is ours.
pub const SOURCE: Source = Source {
    title: "Kirchhoff's laws, and a pattern search over the places of feeds",
    edition: "",
    clause: "",
    standing: Standing::CommonPractice,
};

#[derive(Debug, Clone)]
pub struct Input<'a> {
    /// The part of the yard that hangs together with the string.
    pub network: &'a Network,
    /// The string to feed, by name.
    pub chain: &'a str,
    /// Where added feeds begin: a supply or a hub.
    pub from: Point,
    /// Way from there to pixel 1, and from pixel to pixel.
    pub base: Metres,
    pub pitch: Metres,
    /// Of one conductor of a feed.
    pub wire: OhmsPerMetre,
    /// Fuse and plugs of each feed.
    pub series: Ohms,
    /// The lowest voltage wanted at any pixel of the string.
    pub limit: Volts,
    /// The most feeds to add, 0 to 4.
    pub most_added: u32,
}

/// The places found for a number of feeds.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Pixels fed in addition, in order.
    pub added: Vec<u32>,
    pub lowest_v: f64,
    pub lowest_pixel: u32,
    /// Cable of the added feeds, one way, in metres.
    pub cable_m: f64,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Output {
    /// The plan with the fewest added feeds found to meet the limit; nothing where `most_added` are not enough.
    pub plan: Option<Plan>,
    /// The best plans found with 0, 1, … feeds.
    pub by_count: Vec<Plan>,
}

/// Why no advice is given.
#[derive(Debug, Clone, PartialEq)]
pub enum Error {
    Refused(Refusal),
    Network(NetworkError),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused(refusal) => refusal.fmt(f),
            Self::Network(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for Error {}

impl From<Refusal> for Error {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

impl From<NetworkError> for Error {
    fn from(error: NetworkError) -> Self {
        Self::Network(error)
    }
}

impl Error {
    /// The stable code.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Refused(refusal) => refusal.code,
            Self::Network(error) => error.code(),
        }
    }
}

/// The fewest added feeds found and their places.
///
/// # Errors
/// `added_feeds` above 4, `absent_chain`, and whatever the network itself is refused for. A network that has no working
/// point is what feeds are added for, so that is none.
pub fn added_feeds(input: &Input) -> Result<Output, Error> {
    Refusal {
        code: "added_feeds",
        what: "added feeds",
        value: f64::from(input.most_added),
        unit: "",
        range: (0.0, 4.0),
        remedy: "split the string between supplies instead",
    }
    .unless_within()?;
    let at = input.network.chains.iter().position(|chain| chain.name == input.chain);
    let absent = || NetworkError::Absent {
        cable: "to be added".to_owned(),
        point: format!("chain:{}", input.chain),
        code: "absent_chain",
    };
    let at = at.ok_or_else(absent)?;
    let pixels = input.network.chains[at].pixels as usize;
    let mut feeds: Vec<usize> = Vec::new();
    let mut by_count = Vec::new();
    loop {
        let (lowest_v, lowest) = judge(input, at, &feeds)?;
        let way = |&feed: &usize| input.base.get() + feed as f64 * input.pitch.get();
        let plan = Plan {
            added: feeds.iter().map(|&feed| feed as u32 + 1).collect(),
            lowest_v,
            lowest_pixel: lowest as u32 + 1,
            cable_m: feeds.iter().map(way).sum(),
        };
        by_count.push(plan.clone());
        if lowest_v >= input.limit.get() - 1e-9 {
            return Ok(Output { plan: Some(plan), by_count });
        }
        // The lowest pixel may be fed already, when its cable is what drops.
        if feeds.len() >= input.most_added as usize || feeds.contains(&lowest) {
            return Ok(Output { plan: None, by_count });
        }
        feeds.push(lowest);
        feeds.sort_unstable();
        feeds = pattern_search(feeds, 0..pixels, |feeds| {
            judge(input, at, feeds).map_or(f64::INFINITY, |(v, _)| -v)
        });
    }
}

/// The lowest pixel of the chain and its volts, with feeds added at these pixels (from 0).
fn judge(input: &Input, chain: usize, feeds: &[usize]) -> Result<(f64, usize), Error> {
    let mut network = input.network.clone();
    for (at, &feed) in feeds.iter().enumerate() {
        let length = input.base.get() + feed as f64 * input.pitch.get();
        let out_of_range = |_| Refusal {
            code: "feed_length",
            what: "feed length",
            value: length,
            unit: "m",
            range: (0.0, 1e5),
            remedy: "check the distance from the supply",
        };
        let length = Metres::new(length).map_err(out_of_range)?;
        network.cables.push(Cable {
            name: format!("added feed {}", at + 1),
            from: input.from.clone(),
            to: Point::Pixel(input.chain.to_owned(), feed as u32 + 1),
            conductors: Conductors::new(length, input.wire, input.wire, input.series)
                .map_err(out_of_range)?,
        });
    }
    let solution: Solution = match solve(&network) {
        Ok(solution) => solution,
        Err(NetworkError::NoWorkingPoint { fallen, .. }) => *fallen,
        Err(error) => return Err(error.into()),
    };
    let pixels = solution.chains[chain].pixels.iter().enumerate();
    let lowest = pixels.map(|(at, pixel)| (pixel.v, at)).reduce(|a, b| if b.0 < a.0 { b } else { a });
    Ok(lowest.unwrap_or((0.0, 0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::electrical::feed_points;
    use crate::calc::electrical::network::{Chain, LoadModel, NegativeBond, PixelLoad, Supply};
    use crate::units::si::{Amps, Fraction, Watts};

    const RAIL: f64 = 0.020_947_775;
    const FEEDER: f64 = 0.008_285_327;

    fn string(volts: f64, pixels: u32, model: LoadModel) -> Network {
        let metre = |m| Metres::new(m).unwrap();
        let per_m = |ohm| OhmsPerMetre::new(ohm).unwrap();
        let zero = Ohms::new(0.0).unwrap();
        Network {
            supplies: vec![Supply { name: "A".to_owned(), volts: Volts::new(volts).unwrap(), source: zero }],
            bond: NegativeBond::Ideal,
            chains: vec![Chain {
                name: "s".to_owned(),
                pixels,
                piece: Conductors::new(metre(0.1), per_m(RAIL), per_m(RAIL), zero).unwrap(),
                load: PixelLoad { model, level: Fraction::new(1.0).unwrap() },
                overrides: Vec::new(),
                pos_cuts: Vec::new(),
            }],
            junctions: Vec::new(),
            cables: vec![Cable {
                name: "f".to_owned(),
                from: Point::Supply("A".to_owned()),
                to: Point::Pixel("s".to_owned(), 1),
                conductors: Conductors::new(metre(2.0), per_m(FEEDER), per_m(FEEDER), zero).unwrap(),
            }],
        }
    }

    fn advice(network: &Network, limit: f64) -> Result<Output, Error> {
        added_feeds(&Input {
            network,
            chain: "s",
            from: Point::Supply("A".to_owned()),
            base: Metres::new(2.0).unwrap(),
            pitch: Metres::new(0.1).unwrap(),
            wire: OhmsPerMetre::new(FEEDER).unwrap(),
            series: Ohms::new(0.0).unwrap(),
            limit: Volts::new(limit).unwrap(),
            most_added: 3,
        })
    }

    /// Against the closed form of a uniformly loaded line, whose best plans are found by trying every one.
    #[test]
    fn a_plain_string_gets_what_the_closed_form_says() {
        let amps = Amps::new(0.06).unwrap();
        let got = advice(&string(12.0, 120, LoadModel::ConstantCurrent { amps }), 11.4).unwrap();
        let plain = feed_points::Input {
            pixels: 120,
            pitch: Metres::new(0.1).unwrap(),
            rail: OhmsPerMetre::new(RAIL).unwrap(),
            volts: Volts::new(12.0).unwrap(),
            amps,
            base: Metres::new(2.0).unwrap(),
            feeder: OhmsPerMetre::new(FEEDER).unwrap(),
            limit: Volts::new(11.4).unwrap(),
            most_added: 3,
        };
        let wanted = feed_points::feed_points(plain).unwrap();
        assert_eq!(got.by_count.len(), wanted.by_count.len());
        for (got, wanted) in got.by_count.iter().zip(&wanted.by_count) {
            assert!((got.lowest_v - wanted.lowest_v).abs() < 0.01, "{got:?} against {wanted:?}");
            let same = feed_points::lowest_voltage(plain, &got.added).unwrap();
            assert!((got.lowest_v - same).abs() < 1e-9, "{got:?} against {same}");
        }
    }

    #[test]
    fn feeds_give_a_string_without_working_point_its_power() {
        let model =
            LoadModel::ConstantPower { watts: Watts::new(0.6).unwrap(), cutoff: Volts::new(7.0).unwrap() };
        let network = string(12.0, 200, model);
        assert_eq!(solve(&network).map_err(|error| error.code()).map(|_| ()), Err("no_working_point"));
        let got = advice(&network, 10.5).unwrap();
        let plan = got.plan.unwrap();
        assert!(plan.lowest_v >= 10.5 && !plan.added.is_empty() && plan.cable_m > 2.0, "{plan:?}");
        assert!(got.by_count.is_sorted_by(|a, b| a.lowest_v < b.lowest_v));
    }

    #[test]
    fn a_string_that_is_not_there_is_named() {
        let amps = Amps::new(0.06).unwrap();
        let mut network = string(12.0, 20, LoadModel::ConstantCurrent { amps });
        network.chains[0].name = "t".to_owned();
        network.cables[0].to = Point::Pixel("t".to_owned(), 1);
        assert_eq!(advice(&network, 10.0).map_err(|error| error.code()), Err("absent_chain"));
    }
}
