//! The low-voltage leads of a season, looked up by what they join: on which bus a port hangs, which supplies feed a lead.

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::{Link, LinkKind, PieceId, PlacementId, Role, Season};
use crate::steps::Facts;

pub(crate) struct Dc<'a> {
    facts: &'a Facts<'a>,
    pub(crate) links: Vec<&'a Link>,
    into_piece: BTreeMap<PieceId, Vec<&'a Link>>,
    out_of_piece: BTreeMap<PieceId, Vec<&'a Link>>,
    into_prop: BTreeMap<PlacementId, Vec<&'a Link>>,
    out_of_prop: BTreeMap<PlacementId, Vec<&'a Link>>,
}

fn by<'a, K: Ord>(links: &[&'a Link], key: impl Fn(&Link) -> Option<K>) -> BTreeMap<K, Vec<&'a Link>> {
    let mut by: BTreeMap<K, Vec<&Link>> = BTreeMap::new();
    for link in links {
        if let Some(key) = key(link) {
            by.entry(key).or_default().push(link);
        }
    }
    by
}

fn of<'s, 'a, K: Ord>(by: &'s BTreeMap<K, Vec<&'a Link>>, key: K) -> &'s [&'a Link] {
    by.get(&key).map_or(&[], Vec::as_slice)
}

/// A port however it is written: "Port 01", "out 1" and "1" are `1`, "a-3" is `A3`.
pub(crate) fn port_name(port: &str) -> String {
    let short: String = port.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_uppercase();
    let bare = ["OUTPUT", "PORT", "OUT"].iter().find_map(|word| short.strip_prefix(word));
    let name = bare.filter(|rest| !rest.is_empty()).unwrap_or(&short);
    let letters: String = name.chars().take_while(|c| c.is_alphabetic()).collect();
    let number = name[letters.len()..].trim_start_matches('0');
    if number.is_empty() { name.to_owned() } else { letters + number }
}

/// The bus of a port: the letters before its number, as `A` of `A3`; empty where a port is only a number.
pub(crate) fn bus_of(port: &str) -> String {
    port_name(port).chars().take_while(|c| c.is_alphabetic()).collect()
}

/// The bus that a lead from a supply makes in its box.
pub(crate) fn made_bus(link: &Link) -> String {
    link.to_end.clone().unwrap_or_default().to_uppercase()
}

impl<'a> Dc<'a> {
    pub(crate) fn of(facts: &'a Facts<'a>, season: &Season) -> Self {
        let links = facts.links_in(season.id);
        let links: Vec<&Link> = links.into_iter().filter(|l| l.kind == LinkKind::Dc).collect();
        Self {
            facts,
            into_piece: by(&links, |l| l.to_piece_id),
            out_of_piece: by(&links, |l| l.from_piece_id),
            into_prop: by(&links, |l| l.to_placement_id),
            out_of_prop: by(&links, |l| l.from_placement_id),
            links,
        }
    }

    pub(crate) fn to_piece(&self, piece: PieceId) -> &[&'a Link] {
        of(&self.into_piece, piece)
    }

    pub(crate) fn of_piece(&self, piece: PieceId) -> &[&'a Link] {
        of(&self.out_of_piece, piece)
    }

    pub(crate) fn to_prop(&self, prop: PlacementId) -> &[&'a Link] {
        of(&self.into_prop, prop)
    }

    pub(crate) fn of_prop(&self, prop: PlacementId) -> &[&'a Link] {
        of(&self.out_of_prop, prop)
    }

    pub(crate) fn is_supply(&self, piece: PieceId) -> bool {
        let product = self.facts.piece(piece).and_then(|p| self.facts.product(p.product_id));
        product.is_some_and(|p| p.role == Role::Supply)
    }

    /// The bus that a port of a box hangs on: the one of its letters, else the box's only one, unless its other ports
    /// show that the letters mean something; nothing where it is not told.
    pub(crate) fn port_bus(&self, piece: PieceId, port: &str) -> Option<String> {
        let told: BTreeSet<String> = self.to_piece(piece).iter().map(|l| made_bus(l)).collect();
        let bus = bus_of(port);
        if told.contains(&bus) {
            return Some(bus);
        }
        let only = told.first().filter(|_| told.len() == 1)?;
        let one = |bus: &str| bus.chars().count() == 1;
        let letters = one(&bus)
            && one(only)
            && self
                .of_piece(piece)
                .iter()
                .any(|l| bus_of(l.from_port.as_deref().unwrap_or_default()) == *only);
        (!letters).then(|| only.clone())
    }

    /// The leads that may feed a lead: those of its port's bus, all of the box where that is not told, or those of the
    /// prop that it begins at.
    pub(crate) fn before(&self, link: &Link) -> Vec<&'a Link> {
        match (link.from_piece_id, link.from_placement_id) {
            (Some(piece), _) => {
                let bus = self.port_bus(piece, link.from_port.as_deref().unwrap_or_default());
                let on = |l: &&&Link| bus.as_ref().is_none_or(|b| made_bus(l) == *b);
                self.to_piece(piece).iter().filter(on).copied().collect()
            }
            (None, Some(prop)) => self.to_prop(prop).to_vec(),
            (None, None) => Vec::new(),
        }
    }

    /// The supplies that may feed a lead, through other props and boxes.
    pub(crate) fn feeders(&self, link: &'a Link) -> BTreeSet<PieceId> {
        let begins = self.way(link).into_iter().filter_map(|l| l.from_piece_id);
        begins.filter(|p| self.is_supply(*p)).collect()
    }

    /// A lead and all that may feed it, through other props and boxes, from the supplies on.
    pub(crate) fn way(&self, link: &'a Link) -> Vec<&'a Link> {
        let (mut way, mut open, mut seen) = (Vec::new(), vec![link], BTreeSet::new());
        while let Some(at) = open.pop() {
            if !seen.insert(at.id) {
                continue;
            }
            way.push(at);
            if !at.from_piece_id.is_some_and(|p| self.is_supply(p)) {
                open.extend(self.before(at));
            }
        }
        way
    }

    /// Whether a lead alone feeds the bus that it leads to.
    pub(crate) fn alone(&self, link: &Link) -> bool {
        let into = link.to_piece_id.map_or(&[][..], |p| self.to_piece(p));
        into.iter().filter(|l| made_bus(l) == made_bus(link)).count() < 2
    }
}
