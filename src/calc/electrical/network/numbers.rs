//! Which number each terminal has, and which points a cable may name.

use std::collections::BTreeMap;

use super::{Chain, MOST_PIXELS, NegativeBond, Network, NetworkError, Point};

/// Terminal numbers: supplies, then junctions, then pixels, plus and minus in turn.
pub(super) struct Numbers<'a> {
    pub(super) network: &'a Network,
    supplies: BTreeMap<&'a str, usize>,
    junctions: BTreeMap<&'a str, usize>,
    chains: BTreeMap<&'a str, usize>,
    /// First pixel of each chain among all pixels, and one past the last.
    pub(super) starts: Vec<usize>,
}

impl<'a> Numbers<'a> {
    pub(super) fn of(network: &'a Network) -> Result<Self, NetworkError> {
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

    pub(super) fn supply(&self, at: usize) -> (usize, usize) {
        let minus = if self.network.bond == NegativeBond::Ideal { 0 } else { at };
        (2 * at, 2 * minus + 1)
    }

    pub(super) fn junction(&self, at: usize) -> (usize, usize) {
        let plus = 2 * (self.network.supplies.len() + at);
        (plus, plus + 1)
    }

    pub(super) fn pixel(&self, overall: usize) -> (usize, usize) {
        self.junction(self.network.junctions.len() + overall)
    }

    pub(super) fn count(&self) -> usize {
        self.pixel(self.starts.last().copied().unwrap_or(0)).0
    }

    pub(super) fn point(&self, cable: &str, point: &Point) -> Result<(usize, usize), NetworkError> {
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
    pub(super) fn describe(&self, terminal: usize) -> String {
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
pub(super) fn show(point: &Point) -> String {
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
