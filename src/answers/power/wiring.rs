//! From facts to the DC network: supplies, the buses of boxes, ports, leads, strings.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::dc::{Dc, made_bus};
use crate::answers::power::leads;
use crate::answers::power::levels::Levels;
use crate::answers::power::own;
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
/// What keeps a lead out of the network.
const WIRELESS: &str = "wire or length of a lead";

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
    /// Leads of which wire or length is not told, laid as if they lost nothing: what they carry is known all the same.
    pub(super) lossless: BTreeSet<String>,
    /// Strings of which it is not known how their load divides between their feeds, and those on the way to them.
    pub(super) undivided: BTreeSet<String>,
    /// The leads whose share that is.
    pub(super) shares: BTreeSet<String>,
    /// Pieces of which the network has what they take themselves, and those of which nobody told it.
    pub(super) own: BTreeSet<PieceId>,
    pub(super) loadless: BTreeSet<String>,
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

    /// The conductors of a lead. Where wire or length is not told it loses nothing here, if it `alone` feeds what it leads
    /// to; else how much goes through it is not known, and it stays out. What is out of range is named.
    fn lead(&mut self, facts: &Facts, link: &Link, alone: bool) -> Option<Conductors> {
        if let Some((gauge, length)) = leads::wire(facts, link).zip(leads::length(facts, link)) {
            return self.take(&link.code, conductors(gauge, length));
        }
        if !alone {
            self.miss(WIRELESS, &link.code);
            return None;
        }
        self.lossless.insert(link.code.clone());
        conductors(Gauge::awg(18)?, Length::from_mm(1)).ok()
    }

    pub(super) fn take<T>(&mut self, code: &str, answer: Result<T, Refusal>) -> Option<T> {
        answer.map_err(|refusal| self.refused.push((code.to_owned(), refusal))).ok()
    }
}

impl Wiring {
    /// Strings whose volts are not known: without rails, or behind such a one or a lead of which the loss is not known.
    pub(super) fn voltless(&self) -> BTreeSet<&str> {
        let mut strings: BTreeSet<&str> = self.railless.iter().map(String::as_str).collect();
        let mut buses: BTreeSet<&str> = BTreeSet::new();
        loop {
            let before = strings.len() + buses.len();
            for cable in &self.network.cables {
                let open = match &cable.from {
                    Point::Pixel(name, _) => strings.contains(name.as_str()),
                    Point::Junction(name) => buses.contains(name.as_str()),
                    Point::Supply(_) => false,
                };
                if open || self.lossless.contains(&cable.name) || self.shares.contains(&cable.name) {
                    match &cable.to {
                        Point::Pixel(name, _) => strings.insert(name),
                        Point::Junction(name) => buses.insert(name),
                        Point::Supply(_) => false,
                    };
                }
            }
            if strings.len() + buses.len() == before {
                return strings;
            }
        }
    }

    /// What the feeds of a string have in common is known; what only some of them have carries a share that is not.
    fn undivided(&mut self, facts: &Facts, name: &str, ways: &[Vec<&Link>]) {
        let common = |l: &Link| ways.iter().all(|way| way.iter().any(|o| o.id == l.id));
        self.undivided.insert(name.to_owned());
        for link in ways.iter().flatten().filter(|l| !common(l)) {
            self.shares.insert(link.code.clone());
            let before = link.from_placement_id.and_then(|p| facts.placement(p));
            self.undivided.extend(before.map(|p| p.code.clone()));
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

/// The season's network, each prop at its level; what lacks a load, or a wire that decides, stays out and is counted.
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
        lossless: BTreeSet::new(),
        undivided: BTreeSet::new(),
        shares: BTreeSet::new(),
        own: BTreeSet::new(),
        loadless: BTreeSet::new(),
        missing: BTreeMap::new(),
        cuts_open: Vec::new(),
        assumed: BTreeMap::new(),
        kneeless: BTreeSet::new(),
        refused: Vec::new(),
    };
    let dc = Dc::of(facts, season);
    let buses = supplies(facts, &dc, &mut w);
    own::loads(facts, season, &dc, &buses, &mut w);
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

/// Whether the plus rail of a string is cut at each of its feeds but the first.
fn one_a_zone(feeds: &[&Link]) -> bool {
    let at = |l: &Link| l.at_pixel.unwrap_or(1);
    let first = feeds.iter().map(|l| at(l)).min();
    let places: BTreeSet<i64> = feeds.iter().map(|l| at(l)).collect();
    let cut = |l: &&&Link| l.plus_cut == Some(true) && Some(at(l)) != first;
    places.len() == feeds.len() && feeds.iter().filter(cut).count() + 1 == feeds.len()
}

/// One lead to a prop, with the prop where it is not there yet.
fn feed(facts: &Facts, link: &Link, dc: &Dc, buses: &Buses, levels: &Levels, w: &mut Wiring) {
    let Some(placement) = link.to_placement_id.and_then(|p| facts.placement(p)) else { return };
    let Some(source) = source_of(facts, link, dc, buses, w) else { return };
    let name = placement.code.clone();
    let feeds = dc.to_prop(placement.id);
    // One feed of a string, or of a zone, carries all of it, whatever its way is.
    let several = if feeds.len() > 1 && !one_a_zone(feeds) { feeds } else { &[] };
    let ways: Vec<Vec<&Link>> = several.iter().map(|l| dc.way(l)).collect();
    let supplies = several.iter().flat_map(|l| dc.feeders(l)).collect::<BTreeSet<_>>().len();
    let wireless = |l: &&&Link| leads::wire(facts, l).is_none() || leads::length(facts, l).is_none();
    let open: BTreeSet<&str> = ways.iter().flatten().filter(wireless).map(|l| l.code.as_str()).collect();
    // How much each of several supplies gives to a string goes by the wires.
    if supplies > 1 && !open.is_empty() {
        for code in open {
            w.miss(WIRELESS, code);
        }
        return;
    }
    let Some(pair) = w.lead(facts, link, true) else { return };
    if !w.chains.contains_key(&name) {
        let level = levels.fraction(placement.id);
        let Some(chain) = chain(facts, placement, supplies > 1, level, w) else { return };
        if !several.is_empty() && (!open.is_empty() || w.railless.contains(&name)) {
            w.undivided(facts, &name, &ways);
        }
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

/// The junction of each bus of a piece.
pub(super) type Buses = BTreeMap<(PieceId, String), String>;

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
        let Some(pair) = w.lead(facts, link, dc.alone(link)) else { continue };
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
            let Some(pair) = w.lead(facts, link, dc.alone(link)) else { return false };
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
