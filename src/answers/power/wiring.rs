//! From facts to the DC network: supplies, the buses of boxes, ports, leads, strings.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::dc::{Dc, made_bus};
use crate::answers::power::leads;
use crate::answers::power::levels::Levels;
use crate::answers::power::strings::chain;
use crate::calc::electrical::network::{Cable, Conductors, NegativeBond, Network, Point, Supply};
use crate::calc::electrical::wire_resistance;
use crate::calc::electrical::wire_resistance::wire_resistance;
use crate::calc::refusal::Refusal;
use crate::domain::{Link, Piece, PieceId, Placement, PlacementId, Product, Role, Season};
use crate::steps::Facts;
use crate::units::si::{Celsius, Metres, Ohms, OhmsPerMetre, Volts};
use crate::units::{Gauge, Length, Voltage};

/// Copper on a cold evening resists less than at 20 °C; 20 °C is the safe side.
const COPPER_C: f64 = 20.0;

/// A network and how its parts are called in the yard.
pub(crate) struct Wiring {
    pub(crate) network: Network,
    /// Chain name → placement.
    pub(crate) chains: BTreeMap<String, PlacementId>,
    /// Supply name → piece.
    pub(crate) supplies: BTreeMap<String, PieceId>,
    /// Pixels at which feeds enter, by chain.
    pub(crate) feeds: BTreeMap<String, Vec<u32>>,
    /// Strings of which rail or pitch is not told: their load is reckoned, the volts along them are not known.
    pub(super) railless: BTreeSet<String>,
    /// What kept something out, counted by kind.
    pub(crate) missing: BTreeMap<&'static str, BTreeSet<String>>,
    /// Pixels, by chain, after which the plus rail may be cut: nobody told.
    pub(crate) cuts_open: Vec<(String, u32)>,
    /// Props whose current is assumed by their chip, with the amperes of a pixel.
    pub(crate) assumed: BTreeMap<String, f64>,
    /// Props with a knee of which nobody told where it is.
    pub(crate) kneeless: BTreeSet<String>,
    /// What is told and outside what can be computed, with the place of it.
    pub(crate) refused: Vec<(String, Refusal)>,
}

impl Wiring {
    pub(super) fn miss(&mut self, kind: &'static str, what: &str) {
        self.missing.entry(kind).or_default().insert(what.to_owned());
    }

    /// A conductor pair from what was told; what is missing is counted as `kind`, what is out of range named.
    pub(super) fn pair(
        &mut self,
        kind: &'static str,
        code: &str,
        gauge: Option<Gauge>,
        length: Option<Length>,
    ) -> Option<Conductors> {
        let Some((gauge, length)) = gauge.zip(length) else {
            self.miss(kind, code);
            return None;
        };
        self.take(code, conductors(gauge, length))
    }

    pub(super) fn take<T>(&mut self, code: &str, answer: Result<T, Refusal>) -> Option<T> {
        answer.map_err(|refusal| self.refused.push((code.to_owned(), refusal))).ok()
    }
}

impl Wiring {
    /// Strings whose volts are not known: without rails, or fed from such a one.
    pub(super) fn voltless(&self) -> BTreeSet<&str> {
        let mut all: BTreeSet<&str> = self.railless.iter().map(String::as_str).collect();
        loop {
            let from = |p: &Point| matches!(p, Point::Pixel(name, _) if all.contains(name.as_str()));
            let behind = self.network.cables.iter().filter(|c| from(&c.from)).filter_map(|c| match &c.to {
                Point::Pixel(name, _) => Some(name.as_str()),
                _ => None,
            });
            let more: Vec<&str> = behind.filter(|name| !all.contains(name)).collect();
            if more.is_empty() {
                return all;
            }
            all.extend(more);
        }
    }
}

/// Pixels of a placement: those of one piece times the count.
pub(crate) fn pixels(placement: &Placement, product: &Product) -> Option<u32> {
    let each = product.pixels.filter(|n| *n > 0)?;
    u32::try_from(each.checked_mul(placement.count)?).ok()
}

/// What a supply is set to: the voltage on its tag, else what its product gives.
pub(crate) fn set_point(supply: &Piece, product: &Product) -> Option<Voltage> {
    supply.tag_mv.or(product.output_mv)
}

pub(crate) fn resistance(gauge: Gauge) -> Result<OhmsPerMetre, Refusal> {
    let temperature = Celsius::new(COPPER_C)?;
    wire_resistance(wire_resistance::Input { gauge, temperature })
}

pub(super) fn conductors(gauge: Gauge, length: Length) -> Result<Conductors, Refusal> {
    let ohm = resistance(gauge)?;
    Ok(Conductors::new(Metres::new(length.metres())?, ohm, ohm, Ohms::new(0.0)?)?)
}

/// The season's network, each prop at its level; what lacks a wire, a length or a load stays out and is counted.
pub(crate) fn wire(facts: &Facts, season: &Season, levels: &Levels) -> Wiring {
    let mut w = Wiring {
        network: Network {
            supplies: Vec::new(),
            bond: NegativeBond::Ideal,
            chains: Vec::new(),
            junctions: Vec::new(),
            cables: Vec::new(),
        },
        chains: BTreeMap::new(),
        supplies: BTreeMap::new(),
        feeds: BTreeMap::new(),
        railless: BTreeSet::new(),
        missing: BTreeMap::new(),
        cuts_open: Vec::new(),
        assumed: BTreeMap::new(),
        kneeless: BTreeSet::new(),
        refused: Vec::new(),
    };
    let dc = Dc::of(facts, season);
    let buses = supplies(facts, &dc, &mut w);
    // A lead from prop to prop waits for the one that feeds the first, whatever their codes are.
    let mut open: Vec<&Link> = dc.links.iter().copied().filter(|l| l.to_placement_id.is_some()).collect();
    loop {
        let (now, later): (Vec<&Link>, Vec<&Link>) =
            open.iter().partition(|l| source_of(facts, l, &dc, &buses, &w).is_some());
        if now.is_empty() {
            break;
        }
        for link in now {
            feed(facts, link, &dc, &buses, levels, &mut w);
        }
        open = later;
    }
    for link in open {
        w.miss("supply or port", &link.code);
    }
    drop_unfed(&mut w);
    w
}

/// One lead to a prop, with the prop where it is not there yet.
fn feed(facts: &Facts, link: &Link, dc: &Dc, buses: &Buses, levels: &Levels, w: &mut Wiring) {
    let Some(placement) = link.to_placement_id.and_then(|p| facts.placement(p)) else { return };
    let Some(source) = source_of(facts, link, dc, buses, w) else { return };
    let told = (leads::wire(facts, link), leads::length(facts, link));
    let Some(pair) = w.pair("wire or length of a lead", &link.code, told.0, told.1) else { return };
    let name = placement.code.clone();
    if !w.chains.contains_key(&name) {
        let feeds = dc.to_prop(placement.id).len();
        let Some(chain) = chain(facts, placement, feeds, levels.fraction(placement.id), w) else { return };
        w.network.chains.push(chain);
        w.chains.insert(name.clone(), placement.id);
    }
    let most = w.network.chains.iter().find(|c| c.name == name).map_or(1, |c| c.pixels);
    let at = link.at_pixel.unwrap_or(1);
    let Some(at) = u32::try_from(at).ok().filter(|at| (1..=most).contains(at)) else {
        w.refused.push((
            link.code.clone(),
            Refusal {
                code: "feed_beyond_end",
                what: "the pixel a feed enters at",
                value: at as f64,
                unit: "",
                range: (1.0, f64::from(most)),
                remedy: "count the prop's pixels again, or correct where the feed enters",
            },
        ));
        return;
    };
    if link.plus_cut == Some(true)
        && at > 1
        && let Some(chain) = w.network.chains.iter_mut().find(|c| c.name == name)
    {
        chain.pos_cuts.push(at - 1);
    }
    if link.plus_cut.is_none() && at > 1 {
        w.cuts_open.push((name.clone(), at - 1));
    }
    w.feeds.entry(name.clone()).or_default().push(at);
    w.network.cables.push(Cable {
        name: link.code.clone(),
        from: source,
        to: Point::Pixel(name, at),
        conductors: pair,
    });
}

type Buses = BTreeMap<(PieceId, String), String>;

/// Supplies and the buses they feed; a bus is a junction inside its box.
fn supplies(facts: &Facts, dc: &Dc, w: &mut Wiring) -> Buses {
    let mut buses = BTreeMap::new();
    for link in &dc.links {
        let Some(from) = link.from_piece_id else { continue };
        let Some((supply, product)) =
            facts.piece(from).and_then(|p| facts.product(p.product_id).map(|x| (p, x)))
        else {
            continue;
        };
        if product.role != Role::Supply {
            continue;
        }
        let Some(volts) = set_point(supply, product) else {
            w.miss("output voltage of a supply", &supply.code);
            continue;
        };
        let Some(volts) = w.take(&supply.code, Volts::new(volts.volts()).map_err(Refusal::from)) else {
            continue;
        };
        let Ok(source) = Ohms::new(0.0) else { continue };
        if !w.network.supplies.iter().any(|s| s.name == supply.code) {
            w.network.supplies.push(Supply { name: supply.code.clone(), volts, source });
            w.supplies.insert(supply.code.clone(), supply.id);
        }
        let Some(to) = link.to_piece_id else { continue };
        let told = (leads::wire(facts, link), leads::length(facts, link));
        let Some(pair) = w.pair("wire or length of a lead", &link.code, told.0, told.1) else { continue };
        let bus = made_bus(link);
        let code = facts.piece(to).map_or_else(String::new, |b| b.code.clone());
        let junction = format!("{code} {bus}");
        if !w.network.junctions.contains(&junction) {
            w.network.junctions.push(junction.clone());
        }
        w.network.cables.push(Cable {
            name: link.code.clone(),
            from: Point::Supply(supply.code.clone()),
            to: Point::Junction(junction.clone()),
            conductors: pair,
        });
        buses.insert((to, bus), junction);
    }
    onward(facts, dc, &mut buses, w);
    buses
}

/// Boxes and splitters that other boxes feed, in whatever order they are told.
fn onward(facts: &Facts, dc: &Dc, buses: &mut Buses, w: &mut Wiring) {
    let between = |l: &&&Link| l.from_piece_id.is_some_and(|p| !dc.is_supply(p)) && l.to_piece_id.is_some();
    let mut open: Vec<&Link> = dc.links.iter().filter(between).copied().collect();
    loop {
        let before = open.len();
        open.retain(|link| {
            let Some((from, to)) = link.from_piece_id.zip(link.to_piece_id) else { return false };
            let port = link.from_port.as_deref().unwrap_or_default();
            let source = dc.port_bus(from, port).and_then(|bus| buses.get(&(from, bus)).cloned());
            let Some(source) = source else { return true };
            let told = (leads::wire(facts, link), leads::length(facts, link));
            let Some(pair) = w.pair("wire or length of a lead", &link.code, told.0, told.1) else {
                return false;
            };
            let bus = made_bus(link);
            let junction = format!("{} {bus}", facts.piece(to).map_or("", |b| b.code.as_str()));
            if !w.network.junctions.contains(&junction) {
                w.network.junctions.push(junction.clone());
            }
            w.network.cables.push(Cable {
                name: link.code.clone(),
                from: Point::Junction(source),
                to: Point::Junction(junction.clone()),
                conductors: pair,
            });
            buses.insert((to, bus), junction);
            false
        });
        if open.len() == before {
            return;
        }
    }
}

/// Where a lead to a prop gets its power: a port's bus, the box's only bus, or the end of the prop before.
fn source_of(facts: &Facts, link: &Link, dc: &Dc, buses: &Buses, w: &Wiring) -> Option<Point> {
    if let Some(piece) = link.from_piece_id {
        if let Some((name, _)) = w.supplies.iter().find(|(_, id)| **id == piece) {
            return Some(Point::Supply(name.clone()));
        }
        let bus = dc.port_bus(piece, link.from_port.as_deref().unwrap_or_default())?;
        return buses.get(&(piece, bus)).map(|junction| Point::Junction(junction.clone()));
    }
    let before = link.from_placement_id.and_then(|p| facts.placement(p))?;
    let chain = w.network.chains.iter().find(|c| c.name == before.code)?;
    Some(Point::Pixel(chain.name.clone(), chain.pixels))
}

/// A chain fed only from a chain that is left out floats: it goes out too, and so does a bus nothing hangs on.
fn drop_unfed(w: &mut Wiring) {
    let mut reached: BTreeSet<String> = w.network.supplies.iter().map(|s| format!("s {}", s.name)).collect();
    let name = |p: &Point| match p {
        Point::Supply(n) => format!("s {n}"),
        Point::Junction(n) => format!("j {n}"),
        Point::Pixel(n, _) => format!("c {n}"),
    };
    loop {
        let more: Vec<String> = w
            .network
            .cables
            .iter()
            .filter(|c| reached.contains(&name(&c.from)) != reached.contains(&name(&c.to)))
            .flat_map(|c| [name(&c.from), name(&c.to)])
            .collect();
        if more.is_empty() {
            break;
        }
        reached.extend(more);
    }
    w.network.cables.retain(|c| reached.contains(&name(&c.from)) && reached.contains(&name(&c.to)));
    w.network.junctions.retain(|j| reached.contains(&format!("j {j}")));
    let lost: Vec<String> = w
        .network
        .chains
        .iter()
        .filter(|c| !reached.contains(&format!("c {}", c.name)))
        .map(|c| c.name.clone())
        .collect();
    w.network.chains.retain(|c| reached.contains(&format!("c {}", c.name)));
    for chain in lost {
        w.chains.remove(&chain);
        w.miss("supply or port", &chain);
    }
}
