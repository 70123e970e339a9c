//! Circuit → outlet → box → supply → port → prop, each with its load and its limit.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::dc::bus_of;
use crate::answers::power::feeds::{lowest, rating};
use crate::answers::power::load::{Mains, Thing};
use crate::answers::power::mains::circuit_load;
use crate::answers::power::page::millivolts;
use crate::answers::power::study::Study;
use crate::answers::power::words::amps;
use crate::answers::view::{PowerNode, StartPhase};
use crate::calc::electrical::cord_amps;
use crate::calc::electrical::cord_amps::cord_wire_amps;
use crate::calc::electrical::supply_load::CONTINUOUS;
use crate::domain::{Circuit, Link, LinkKind, Outlet, Piece, PieceId, PlacementId, Role, Season};
use crate::steps::Facts;
use crate::units::si::{Amps, Metres};
use crate::units::{Current, Voltage};

/// Words of a load, and its share of the limit in thousandths.
type Load = (String, Option<u32>);

fn load(a: f64, limit: Option<f64>) -> Load {
    match limit.filter(|l| *l > 0.0) {
        Some(limit) => {
            (format!("{} of {}", amps(a), amps(limit)), Some((a / limit * 1000.0).round().max(0.0) as u32))
        }
        None => (amps(a), None),
    }
}

fn not_known() -> Load {
    ("load not known".to_owned(), None)
}

struct Tree<'a> {
    facts: &'a Facts<'a>,
    links: Vec<&'a Link>,
    study: &'a Study,
    /// Amperes out of each supply at the level and at full white.
    supplies: BTreeMap<PieceId, (f64, f64)>,
    mains: Mains<'a>,
    /// Lowest volts of each prop.
    lowest: BTreeMap<PlacementId, f64>,
    /// Boxes already shown.
    shown: BTreeSet<PieceId>,
    nodes: Vec<PowerNode>,
}

/// The tree of a season, flattened: circuits, then outlets and boxes whose circuit or outlet is not told.
pub(crate) fn tree<'a>(
    facts: &'a Facts<'a>,
    season: &Season,
    study: &'a Study,
    start_up: &[StartPhase],
) -> Vec<PowerNode> {
    let least = |volts: &[f64]| volts.iter().copied().min_by(f64::total_cmp);
    let mut tree = Tree {
        facts,
        links: facts.links_in(season.id),
        study,
        supplies: study.supplies(),
        mains: Mains::of(facts, season, study),
        lowest: study
            .strings()
            .into_iter()
            .filter_map(|s| least(&s.volts).map(|v| (s.placement, v)))
            .collect(),
        shown: BTreeSet::new(),
        nodes: Vec::new(),
    };
    for circuit in &facts.yard.circuits {
        tree.circuit(circuit, start_up);
    }
    let told: BTreeSet<_> = facts.yard.circuits.iter().map(|c| c.id).collect();
    for outlet in &facts.yard.outlets {
        let used = tree.mains.cords().any(|c| c.from_outlet_id == Some(outlet.id));
        if used && outlet.circuit_id.is_none_or(|c| !told.contains(&c)) {
            tree.outlet(0, outlet, None);
        }
    }
    tree.unplugged();
    tree.nodes
}

impl<'a> Tree<'a> {
    fn add(
        &mut self,
        depth: usize,
        code: &str,
        name: &str,
        kind: &'static str,
        load: Load,
    ) -> &mut PowerNode {
        let (code, name) = (code.to_owned(), name.to_owned());
        let (load, share) = load;
        let at = self.nodes.len();
        self.nodes.push(PowerNode {
            lead: None,
            depth,
            code,
            name,
            kind,
            load,
            share,
            lowest_mv: None,
            limit_mv: None,
        });
        &mut self.nodes[at]
    }

    fn circuit(&mut self, circuit: &'a Circuit, start_up: &[StartPhase]) {
        let facts = self.facts;
        let outlets: Vec<&Outlet> =
            facts.yard.outlets.iter().filter(|o| o.circuit_id == Some(circuit.id)).collect();
        let total = self.mains.on_circuit(circuit.id).va;
        let said = circuit_load(circuit, total)
            .map_or_else(|| ("rating not told".to_owned(), None), |a| load(a.amps, Some(a.limit_a)));
        self.add(0, &circuit.code, &circuit.name, "circuit", said);
        self.start_up(start_up.iter().filter(|p| p.circuit == crate::answers::power::words::place(circuit)));
        for outlet in outlets {
            self.outlet(1, outlet, Some(circuit));
        }
    }

    /// In which order the boxes are switched on, with the highest peak against what the circuit surely holds.
    fn start_up<'p>(&mut self, phases: impl Iterator<Item = &'p StartPhase>) {
        let phases: Vec<&StartPhase> = phases.collect();
        let Some(worst) = phases.iter().max_by_key(|p| p.share) else { return };
        let order: Vec<String> = phases.iter().map(|p| p.boxes.join(" with ")).collect();
        let said = (format!("{} of {}", worst.peak, worst.limit), Some(worst.share));
        self.add(1, "", &order.join(", then "), "start-up", said);
    }

    fn outlet(&mut self, depth: usize, outlet: &'a Outlet, circuit: Option<&Circuit>) {
        let facts = self.facts;
        let place = outlet.place_id.and_then(|p| facts.place(p)).map_or("", |p| p.name.as_str());
        let volts = circuit.and_then(|c| c.volts_mv).map(Voltage::volts).filter(|v| *v > 0.0);
        let told = circuit.and_then(|c| circuit_load(c, 0.0)).map(|a| a.limit_a);
        let said = |va: f64, limit| match volts {
            Some(v) => load(va / v, limit),
            None => ("voltage not told".to_owned(), None),
        };
        let drawn = self.mains.on_outlet(outlet.id).va;
        self.add(depth, &outlet.code, place, "outlet", said(drawn, told));
        let fed: Vec<&Link> =
            self.links.iter().copied().filter(|l| l.from_outlet_id == Some(outlet.id)).collect();
        for link in fed {
            let length = link.length_mm.and_then(|l| Metres::new(l.metres()).ok());
            let cord = link
                .wire
                .zip(length)
                .and_then(|(gauge, length)| cord_wire_amps(cord_amps::Input { gauge, length }).ok());
            let drawn = self.mains.on_cord(link).va;
            for thing in self.mains.ends(link) {
                let name = match thing {
                    Thing::Piece(id) => facts.piece(id).map_or("", |p| p.name.as_str()),
                    Thing::Placement(id) => facts.placement(id).map_or("", |p| p.name.as_str()),
                };
                let code = self.mains.code(thing);
                self.add(depth + 1, &code, name, "box", said(drawn, cord.map(Amps::get)));
                if let Some(piece) = thing.piece().and_then(|p| facts.piece(p)) {
                    self.inside(depth + 2, piece);
                }
            }
        }
    }

    /// Boxes of which no outlet is told: what hangs on them has its load all the same.
    fn unplugged(&mut self) {
        let facts = self.facts;
        let supply = |id: PieceId| {
            facts.piece(id).and_then(|p| facts.product(p.product_id)).is_some_and(|p| p.role == Role::Supply)
        };
        let mut boxes: Vec<&Piece> = self
            .links
            .iter()
            .filter(|l| l.kind == LinkKind::Dc)
            .filter_map(|l| match l.to_piece_id {
                Some(to) => l.from_piece_id.filter(|f| supply(*f)).map(|_| to),
                None => l.to_placement_id.and(l.from_piece_id),
            })
            .filter(|id| !self.shown.contains(id))
            .filter_map(|id| facts.piece(id))
            .collect();
        boxes.sort_by(|a, b| a.code.cmp(&b.code));
        boxes.dedup_by_key(|p| p.id);
        for piece in boxes {
            self.add(0, &piece.code, &piece.name, "box", ("outlet not told".to_owned(), None));
            self.inside(1, piece);
        }
    }

    /// The supplies of a box with the ports of their bus, then ports that hang on no supply told.
    fn inside(&mut self, depth: usize, piece: &Piece) {
        self.shown.insert(piece.id);
        let links = self.links.clone();
        let mut rest: Vec<&Link> = links
            .iter()
            .copied()
            .filter(|l| l.kind == LinkKind::Dc && l.from_piece_id == Some(piece.id))
            .collect();
        rest.sort_by_key(|l| {
            crate::answers::power::card::natural(l.from_port.as_deref().unwrap_or_default())
        });
        for link in links.iter().filter(|l| l.kind == LinkKind::Dc && l.to_piece_id == Some(piece.id)) {
            let Some(supply) = link.from_piece_id.and_then(|p| self.facts.piece(p)) else { continue };
            self.supply(depth, supply);
            let bus = link.to_end.clone().unwrap_or_default().to_uppercase();
            let (mine, others): (Vec<&Link>, Vec<&Link>) =
                rest.into_iter().partition(|l| bus_of(l.from_port.as_deref().unwrap_or_default()) == bus);
            rest = others;
            for port in mine {
                self.port(depth + 1, port);
            }
        }
        for port in rest {
            self.port(depth, port);
        }
    }

    fn supply(&mut self, depth: usize, supply: &Piece) {
        let rated = rating(self.facts, supply.id).map(|(_, r)| r * CONTINUOUS);
        let said = match (self.supplies.get(&supply.id), &self.study.at_level) {
            (Some((amps, _)), Ok(_)) => {
                let (said, share) = load(*amps, rated);
                let least = self.study.left_out.contains_key(&supply.id);
                (if least { format!("at least {said}") } else { said }, share)
            }
            _ => not_known(),
        };
        self.add(depth, &supply.code, &supply.name, "supply", said);
    }

    fn port(&mut self, depth: usize, link: &'a Link) {
        if link.to_placement_id.is_none() {
            return;
        }
        let fuse = link.fuse_ma.map(Current::amps);
        let said = self.study.lead_amps(&link.code).map_or_else(not_known, |a| load(a, fuse));
        let name = format!("lead {}", link.code);
        let node = self.add(depth, link.from_port.as_deref().unwrap_or("?"), &name, "port", said);
        node.lead = Some(link.code.clone());
        self.prop(depth + 1, link, &mut BTreeSet::new());
    }

    /// The prop at the end of a lead, whole, and what hangs on its end in turn.
    fn prop(&mut self, depth: usize, link: &Link, seen: &mut BTreeSet<PlacementId>) {
        let facts = self.facts;
        let Some(prop) = link.to_placement_id.and_then(|p| facts.placement(p)) else { return };
        if !seen.insert(prop.id) {
            return;
        }
        let links = self.links.clone();
        let feeds = links.iter().filter(|l| l.kind == LinkKind::Dc && l.to_placement_id == Some(prop.id));
        let fuses: Option<f64> = feeds.map(|l| l.fuse_ma.map(Current::amps)).sum();
        let said = self.study.prop_amps(&prop.code).map_or_else(not_known, |a| load(a, fuses));
        let name = match link.at_pixel {
            Some(at) if at > 1 => format!("{}, feed at {at}", prop.name),
            _ => prop.name.clone(),
        };
        let volts = self.lowest.get(&prop.id).copied();
        let node = self.add(depth, &prop.code, &name, "prop", said);
        node.lowest_mv = volts.map(millivolts);
        node.limit_mv = lowest(facts, prop.id).map(millivolts);
        for after in links.iter().filter(|l| l.kind == LinkKind::Dc && l.from_placement_id == Some(prop.id)) {
            self.prop(depth + 1, after, seen);
        }
    }
}
