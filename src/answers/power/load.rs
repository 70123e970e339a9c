//! What hangs on the mains: behind every cord, outlet and circuit all that draws through it, in watts and volt-amperes.
//!
//! A cord leads to a labelled piece or to a placement, from an outlet or from another thing (a splitter, an extension);
//! in a box sit the supplies that feed it. What a thing takes and nobody told is named, never taken as nothing.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::study::Study;
use crate::domain::{
    CircuitId, Link, LinkKind, Outlet, OutletId, PieceId, Placement, PlacementId, Product, Role, Season,
};
use crate::steps::Facts;
use crate::units::{Current, Percent, Power, Voltage};

/// Power factor of a supply without correction (common practice; the formula's notes give 0.55 to 0.65).
pub(crate) const SWITCHING: f64 = 0.6;
/// Of a filament lamp or a heater, which only resists.
const RESISTIVE: f64 = 1.0;
/// Efficiency assumed where none is told (common practice, no published source).
pub(crate) const EFFICIENCY: f64 = 0.85;

/// One thing on the mains.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Thing {
    Piece(PieceId),
    Placement(PlacementId),
}

impl Thing {
    pub(crate) fn piece(self) -> Option<PieceId> {
        match self {
            Self::Piece(id) => Some(id),
            Self::Placement(_) => None,
        }
    }
}

/// What some things draw together.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Drawn {
    pub(crate) watts: f64,
    pub(crate) va: f64,
    /// If whatever may be a lamp of either kind had a switching supply.
    pub(crate) worst_va: f64,
    /// Things whose load is not known, by code.
    pub(crate) unknown: BTreeSet<String>,
    /// Things whose power factor is assumed.
    pub(crate) factor_assumed: BTreeSet<String>,
    /// Of those, the ones that may be either.
    pub(crate) factor_open: BTreeSet<String>,
    pub(crate) efficiency_assumed: BTreeSet<String>,
    /// Boxes of which it is not told what they take beside what they feed.
    pub(crate) boxes_open: BTreeSet<String>,
}

/// The cords of a season, and what they reach.
pub(crate) struct Mains<'a> {
    facts: &'a Facts<'a>,
    study: &'a Study,
    links: Vec<&'a Link>,
    /// Amperes out of each supply; none where the network has no answer.
    supplies: BTreeMap<PieceId, f64>,
    /// Things that a cord leads to.
    plugged: BTreeSet<Thing>,
}

/// The power factor of a product, and whether it may as well be the other one.
fn assumed_factor(product: &Product) -> (f64, bool) {
    if product.role != Role::Prop {
        let electronic = !matches!(product.role, Role::Tool | Role::Part | Role::Consumable);
        return (if electronic { SWITCHING } else { RESISTIVE }, !electronic);
    }
    let words = format!("{} {}", product.kind, product.name).to_lowercase();
    let says = |list: &[&str]| list.iter().any(|w| words.contains(w));
    if says(&["filament", "incandescent", "halogen", "heater"]) {
        (RESISTIVE, false)
    } else if product.chip.is_some() || words.split(|c: char| !c.is_alphanumeric()).any(|w| w == "led") {
        (SWITCHING, false)
    } else {
        (RESISTIVE, true)
    }
}

/// Watts of one of a product: its pixels, and what it takes beside them.
fn own_watts(product: &Product) -> Option<f64> {
    let beside = product.load_mw.map(Power::watts);
    let lit = product.pixel_mw.is_some() || product.pixel_ma.is_some();
    // How many pixels it has is not told, then what they take is not known.
    if product.pixels.is_none() && lit {
        return None;
    }
    let Some(pixels) = product.pixels.filter(|n| *n > 0) else { return beside };
    let amps = product.pixel_ma.zip(product.volts_mv).map(|(a, v)| a.amps() * v.volts());
    match product.pixel_mw.map(Power::watts).or(amps) {
        Some(each) => Some(pixels as f64 * each + beside.unwrap_or(0.0)),
        // Bulbs that nobody measured one by one are in what the whole of it takes; a chip's are not.
        None => beside.filter(|_| product.chip.is_none()),
    }
}

impl<'a> Mains<'a> {
    pub(crate) fn of(facts: &'a Facts<'a>, season: &Season, study: &'a Study) -> Self {
        let links = facts.links_in(season.id);
        let solved = study.supplies().into_iter().filter(|_| study.at_level.is_ok());
        let supplies = solved.map(|(id, (level, _))| (id, level)).collect();
        let mut mains = Self { facts, study, links, supplies, plugged: BTreeSet::new() };
        mains.plugged = mains.cords().flat_map(|c| mains.ends(c)).collect();
        mains
    }

    /// The same at full white.
    pub(crate) fn at_white(facts: &'a Facts<'a>, season: &Season, study: &'a Study) -> Self {
        let solved = study.supplies().into_iter().filter(|_| study.at_white.is_ok());
        let supplies = solved.map(|(id, (_, white))| (id, white)).collect();
        Self { supplies, ..Self::of(facts, season, study) }
    }

    pub(crate) fn facts(&self) -> &'a Facts<'a> {
        self.facts
    }

    pub(crate) fn cords(&self) -> impl Iterator<Item = &'a Link> + '_ {
        self.links.iter().copied().filter(|l| l.kind == LinkKind::Mains)
    }

    /// A box, a supply or any other labelled thing stands for its placement; a prop is told by its placement.
    fn things_of(&self, placement: PlacementId) -> Vec<Thing> {
        let pieces: Vec<Thing> = self
            .facts
            .pieces_of(placement)
            .iter()
            .filter(|id| self.product(**id).is_some_and(|p| p.role != Role::Prop))
            .map(|id| Thing::Piece(*id))
            .collect();
        if pieces.is_empty() { vec![Thing::Placement(placement)] } else { pieces }
    }

    fn product(&self, piece: PieceId) -> Option<&'a Product> {
        self.facts.piece(piece).and_then(|p| self.facts.product(p.product_id))
    }

    pub(crate) fn product_of(&self, thing: Thing) -> Option<&'a Product> {
        match thing {
            Thing::Piece(id) => self.product(id),
            Thing::Placement(id) => self.facts.placement(id).and_then(|p| self.facts.product_of(p)),
        }
    }

    pub(crate) fn code(&self, thing: Thing) -> String {
        match thing {
            Thing::Piece(id) => self.facts.piece(id).map_or_else(String::new, |p| p.code.clone()),
            Thing::Placement(id) => self.facts.placement(id).map_or_else(String::new, |p| p.code.clone()),
        }
    }

    /// Where a cord ends.
    pub(crate) fn ends(&self, cord: &Link) -> Vec<Thing> {
        let piece = cord.to_piece_id.map(Thing::Piece);
        let placed = cord.to_placement_id.map(|p| self.things_of(p)).unwrap_or_default();
        piece.into_iter().chain(placed).collect()
    }

    /// Where a cord begins; nothing where that is an outlet, or not told.
    pub(crate) fn starts(&self, cord: &Link) -> Vec<Thing> {
        let piece = cord.from_piece_id.map(Thing::Piece);
        let placed = cord.from_placement_id.map(|p| self.things_of(p)).unwrap_or_default();
        piece.into_iter().chain(placed).collect()
    }

    /// Whether a cord begins at a thing.
    pub(crate) fn begins(&self, cord: &Link, thing: Thing) -> bool {
        let placed = cord.from_placement_id.is_some_and(|p| match thing {
            Thing::Placement(id) => id == p,
            Thing::Piece(id) => self.facts.pieces_of(p).contains(&id),
        });
        placed || cord.from_piece_id.is_some_and(|p| thing == Thing::Piece(p))
    }

    /// Supplies that sit in a thing: they feed it and have no cord of their own.
    fn inside(&self, piece: PieceId) -> impl Iterator<Item = PieceId> + '_ {
        let fed = self.links.iter().filter(move |l| l.kind == LinkKind::Dc && l.to_piece_id == Some(piece));
        fed.filter_map(|l| l.from_piece_id).filter(|s| {
            self.product(*s).is_some_and(|p| p.role == Role::Supply)
                && !self.plugged.contains(&Thing::Piece(*s))
        })
    }

    /// All that draws through some cords, each thing once.
    pub(crate) fn behind<'l>(&self, cords: impl Iterator<Item = &'l Link>) -> BTreeSet<Thing> {
        let mut open: Vec<Thing> = cords.flat_map(|c| self.ends(c)).collect();
        let mut all = BTreeSet::new();
        while let Some(thing) = open.pop() {
            if !all.insert(thing) {
                continue;
            }
            open.extend(self.cords().filter(|c| self.begins(c, thing)).flat_map(|c| self.ends(c)));
            if let Thing::Piece(piece) = thing {
                open.extend(self.inside(piece).map(Thing::Piece));
            }
        }
        all
    }

    /// The cord that another one goes on from.
    pub(crate) fn before(&self, cord: &Link) -> Option<&'a Link> {
        let on = |c: &&Link| c.id != cord.id && self.ends(c).iter().any(|t| self.begins(cord, *t));
        self.cords().find(on).filter(|_| cord.from_outlet_id.is_none())
    }

    /// Cords one after another, from the outlet to this one.
    pub(crate) fn row(&self, cord: &'a Link) -> Vec<&'a Link> {
        let mut row = vec![cord];
        // A row longer than there are cords runs in a ring.
        while let Some(before) =
            row.last().and_then(|c| self.before(c)).filter(|_| row.len() <= self.links.len())
        {
            row.push(before);
        }
        row.reverse();
        row
    }

    /// The outlet that a cord hangs on, through other things; nothing where it is not told.
    pub(crate) fn outlet(&self, cord: &'a Link) -> Option<OutletId> {
        self.row(cord).first().and_then(|c| c.from_outlet_id)
    }

    /// The outlets that cords of the season are plugged into.
    pub(crate) fn outlets_used(&self) -> Vec<&'a Outlet> {
        let used: BTreeSet<OutletId> = self.cords().filter_map(|c| self.outlet(c)).collect();
        self.facts.yard.outlets.iter().filter(|o| used.contains(&o.id)).collect()
    }

    pub(crate) fn on_cord(&self, cord: &Link) -> Drawn {
        self.drawn(&self.behind(std::iter::once(cord)))
    }

    pub(crate) fn on_outlet(&self, outlet: OutletId) -> Drawn {
        self.drawn(&self.behind(self.cords().filter(|c| c.from_outlet_id == Some(outlet))))
    }

    /// The cords that begin at a circuit's outlets.
    pub(crate) fn of_circuit(&self, circuit: CircuitId) -> Vec<&'a Link> {
        let outlets = &self.facts.yard.outlets;
        let on = |o: OutletId| outlets.iter().any(|x| x.id == o && x.circuit_id == Some(circuit));
        self.cords().filter(|c| c.from_outlet_id.is_some_and(on)).collect()
    }

    pub(crate) fn on_circuit(&self, circuit: CircuitId) -> Drawn {
        self.drawn(&self.behind(self.of_circuit(circuit).into_iter()))
    }

    pub(crate) fn drawn(&self, things: &BTreeSet<Thing>) -> Drawn {
        let mut sum = Drawn::default();
        for thing in things {
            self.add(*thing, &mut sum);
        }
        sum
    }

    fn add(&self, thing: Thing, sum: &mut Drawn) {
        let Some(product) = self.product_of(thing) else {
            sum.unknown.insert(self.code(thing));
            return;
        };
        let watts = match thing {
            Thing::Piece(id) if product.role == Role::Supply => self.supply_watts(id, product, sum),
            Thing::Piece(id) => self.piece_watts(id, product, sum),
            Thing::Placement(id) => {
                self.facts.placement(id).and_then(|p: &Placement| Some(own_watts(product)? * p.count as f64))
            }
        };
        let Some(watts) = watts else {
            sum.unknown.insert(self.code(thing));
            return;
        };
        if watts <= 0.0 {
            return;
        }
        let (factor, open) = if let Some(told) = product.power_factor_pct {
            (told.fraction().max(0.1), false)
        } else {
            sum.factor_assumed.insert(self.code(thing));
            assumed_factor(product)
        };
        if open {
            sum.factor_open.insert(self.code(thing));
        }
        sum.watts += watts;
        sum.va += watts / factor;
        sum.worst_va += watts / if open { SWITCHING } else { factor };
    }

    /// What a supply takes for what it gives; what it feeds and is not computed is not known.
    fn supply_watts(&self, id: PieceId, product: &Product, sum: &mut Drawn) -> Option<f64> {
        let fed: Vec<PieceId> = self
            .links
            .iter()
            .filter(|l| l.kind == LinkKind::Dc && l.from_piece_id == Some(id))
            .filter_map(|l| l.to_piece_id)
            .collect();
        for piece in fed.iter().chain(std::iter::once(&id)) {
            sum.unknown.extend(self.study.left_out.get(piece).into_iter().flatten().cloned());
        }
        let own = product.load_mw.map(Power::watts);
        let Some(amps) = self.supplies.get(&id) else {
            return own;
        };
        let piece = self.facts.piece(id)?;
        let volts = super::wiring::set_point(piece, product).map(Voltage::volts)?;
        if product.efficiency_pct.is_none() {
            sum.efficiency_assumed.insert(piece.code.clone());
        }
        let efficiency = product.efficiency_pct.map_or(EFFICIENCY, Percent::fraction).max(0.1);
        Some(amps.max(0.0) * volts / efficiency + own.unwrap_or(0.0))
    }

    /// A thing's own watts; a box, a cord or a splitter of which none are told takes nothing beside what it feeds.
    fn piece_watts(&self, id: PieceId, product: &Product, sum: &mut Drawn) -> Option<f64> {
        let carries = matches!(product.role, Role::Box | Role::Lead | Role::Adaptor | Role::Mount)
            && (self.inside(id).next().is_some()
                || self.cords().any(|c| self.begins(c, Thing::Piece(id)))
                || self.links.iter().any(|l| l.kind == LinkKind::Dc && l.to_piece_id == Some(id)));
        if product.role == Role::Box && self.inside(id).next().is_none() {
            sum.unknown.extend(self.study.left_out.get(&id).into_iter().flatten().cloned());
        }
        // What comes from its supply is in what that takes.
        let fed = self.study.at_level.is_ok() && self.study.wiring.own.contains(&id);
        let own = if fed { Some(0.0) } else { own_watts(product) };
        // Of those on low voltage the network says it.
        let low = self.study.wiring.loadless.contains(&self.code(Thing::Piece(id)));
        if own.is_none() && carries && product.role == Role::Box && !low {
            sum.boxes_open.insert(self.code(Thing::Piece(id)));
        }
        own.or(carries.then_some(0.0))
    }

    /// Whether a thing is more than a box, a cord or a splitter.
    pub(crate) fn draws(&self, thing: Thing) -> bool {
        self.product_of(thing).is_none_or(|p| {
            let carries = matches!(p.role, Role::Box | Role::Lead | Role::Adaptor | Role::Mount);
            !carries || p.load_mw.is_some() || p.startup_ma.is_some()
        })
    }

    /// How many of it there are.
    pub(crate) fn count(&self, thing: Thing) -> usize {
        match thing {
            Thing::Piece(_) => 1,
            Thing::Placement(id) => self.facts.placement(id).map_or(1, |p| p.count.max(1) as usize),
        }
    }

    /// Peak when everything behind of which it is told starts at once, and whether it is told of all.
    pub(crate) fn peak(&self, things: &BTreeSet<Thing>) -> (f64, bool) {
        let mine: Vec<&Thing> = things.iter().filter(|t| self.draws(**t)).collect();
        // What is told to take nothing starts nothing; a prop told so is a slip of the unit and named as one.
        let idle = |p: &Product| p.role != Role::Prop && p.load_mw.is_some_and(|l| l.watts() == 0.0);
        let one = |t: &&Thing| {
            let product = self.product_of(**t)?;
            let amps = product.startup_ma.map(Current::amps).or(idle(product).then_some(0.0))?;
            Some(amps * self.count(**t) as f64)
        };
        let told: Vec<f64> = mine.iter().filter_map(one).collect();
        (told.iter().sum(), !mine.is_empty() && told.len() == mine.len())
    }
}
