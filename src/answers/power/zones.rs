//! Supplies among each other: fed in a ring, joined at their outputs, or without a common minus.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::feeds::{JOINED, plain};
use crate::answers::power::rings;
use crate::answers::power::study::Study;
use crate::answers::view::{Finding, Level};
use crate::answers::words::{n_of, some};
use crate::calc::electrical::network::Point;
use crate::domain::{Link, LinkKind, PieceId, PlacementId, Role, Season};
use crate::steps::Facts;

/// What runs at no more takes no mains; a usual limit of safe direct current (common practice, no published source).
const EXTRA_LOW: f64 = 60.0;

fn is_supply(facts: &Facts, piece: PieceId) -> bool {
    facts.piece(piece).and_then(|p| facts.product(p.product_id)).is_some_and(|p| p.role == Role::Supply)
}

fn code(facts: &Facts, piece: PieceId) -> String {
    facts.piece(piece).map_or_else(String::new, |p| p.code.clone())
}

/// A supply that lives on low voltage itself, as one that makes 5 V of 12 V: its way in and its way out are two things.
fn is_converter(facts: &Facts, piece: PieceId) -> bool {
    let product = facts.piece(piece).and_then(|p| facts.product(p.product_id));
    let volts = product.filter(|p| p.role == Role::Supply).and_then(|p| p.volts_mv.zip(p.output_mv));
    volts.is_some_and(|(taken, given)| taken.volts() <= EXTRA_LOW && taken != given)
}

/// The dc leads from piece to piece.
fn between<'a>(facts: &Facts<'a>, season: &Season) -> Vec<(PieceId, PieceId, &'a Link)> {
    facts
        .links_in(season.id)
        .into_iter()
        .filter(|l| l.kind == LinkKind::Dc)
        .filter_map(|l| Some((l.from_piece_id?, l.to_piece_id?, l)))
        .collect()
}

/// A supply or box that feeds itself through others, named once.
pub(crate) fn rings(facts: &Facts, season: &Season) -> Vec<Finding> {
    rings::among(between(facts, season).into_iter().map(|(from, to, _)| (from, to)))
        .into_iter()
        .map(|ring| {
            let mut names: Vec<String> = ring.into_iter().map(|p| code(facts, p)).collect();
            names.sort();
            plain(
                Level::Stop,
                "supply_ring",
                &names.join(", "),
                "feed each other in a ring".to_owned(),
                "a ring",
                "one way from a supply",
                "take out the lead that leads back",
            )
        })
        .collect()
}

/// Outputs of several supplies on one bus; where the bus of one is not told and they may share it, that is said.
pub(crate) fn joined(facts: &Facts, season: &Season, not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut by: BTreeMap<(PieceId, String), BTreeSet<String>> = BTreeMap::new();
    let mut converters = BTreeSet::new();
    for (from, to, link) in between(facts, season) {
        if is_supply(facts, from) && is_converter(facts, to) {
            converters.insert(format!("{} of {}", code(facts, to), code(facts, from)));
        } else if is_supply(facts, from) && is_supply(facts, to) {
            by.entry((to, String::new())).or_default().extend([code(facts, from), code(facts, to)]);
        } else if is_supply(facts, from) {
            let bus = link.to_end.clone().unwrap_or_default().to_uppercase();
            by.entry((to, bus)).or_default().insert(code(facts, from));
        }
    }
    if !converters.is_empty() {
        not_told.push(format!(
            "what a supply takes of another is not reckoned ({}): its supply, lead, fuse and volts not checked for it",
            some(converters)
        ));
    }
    // A box has several buses: on which of them one lies is not known without its letter.
    let boxes = |id: &PieceId| {
        let product = facts.piece(*id).and_then(|p| facts.product(p.product_id));
        product.is_some_and(|p| matches!(p.role, Role::Box | Role::Controller))
    };
    let mut fed: BTreeMap<PieceId, BTreeSet<String>> = BTreeMap::new();
    for ((to, _), supplies) in &by {
        fed.entry(*to).or_default().extend(supplies.iter().cloned());
    }
    let untold: BTreeSet<PieceId> =
        by.keys().filter(|(to, bus)| bus.is_empty() && boxes(to)).map(|(to, _)| *to).collect();
    let several = |to: &PieceId| fed.get(to).is_some_and(|supplies| supplies.len() > 1);
    let open: Vec<String> = untold.into_iter().filter(several).map(|to| code(facts, to)).collect();
    by.retain(|(to, bus), _| !bus.is_empty() || !boxes(to));
    if !open.is_empty() {
        not_told.push(format!(
            "bus letter (to_end) not told for supplies of {}: whether outputs of several are joined there not checked",
            some(open)
        ));
    }
    by.into_iter()
        .filter(|(_, supplies)| supplies.len() > 1)
        .map(|((to, bus), supplies)| {
            let supplies: Vec<String> = supplies.into_iter().collect();
            let mut found = plain(
                Level::Stop,
                "supplies_joined",
                format!("{} {bus}", code(facts, to)).trim(),
                "outputs of several supplies are joined".to_owned(),
                supplies.join(", "),
                "one supply a bus",
                "give each supply its own bus: plus cut between them, minus common",
            );
            found.caution = Some(JOINED.to_owned());
            found
        })
        .collect()
}

/// A minus that was told not to meet: a supply's and its box's, or a data port's and the prop's own supply.
pub(crate) fn apart(facts: &Facts, season: &Season, not_told: &mut Vec<String>) -> Vec<Finding> {
    let links = facts.links_in(season.id);
    // Power from one piece, data from another, and nobody told whether their minus meets.
    let feeds = |prop: PlacementId, kind: LinkKind| {
        links.iter().filter(move |l| l.to_placement_id == Some(prop) && l.kind == kind)
    };
    let mut open: BTreeSet<String> = BTreeSet::new();
    for link in links.iter().filter(|l| l.kind == LinkKind::Data) {
        let Some((prop, from)) = link.to_placement_id.zip(link.from_piece_id) else { continue };
        let dc: Vec<_> = feeds(prop, LinkKind::Dc).collect();
        let elsewhere = |l: &Link| l.minus_joined.is_none() && l.from_piece_id.is_some_and(|p| p != from);
        // A supply's own lead to that box says it already.
        let met = |feed: &Link| {
            let own = |l: &&&Link| l.kind == LinkKind::Dc && l.to_piece_id == Some(from);
            links.iter().filter(own).any(|l| l.from_piece_id == feed.from_piece_id)
        };
        if link.minus_joined.is_none() && dc.iter().any(|l| elsewhere(l) && !met(l)) {
            open.extend(facts.placement(prop).map(|p| p.code.clone()));
        }
    }
    if !open.is_empty() {
        not_told.push(format!(
            "whether the minus of power and data meets not told for {} ({}): not checked",
            n_of(open.len(), "prop"),
            some(open)
        ));
    }
    let join = format!(
        "join the minus of every supply and controller that share data; never through mains {}",
        facts.yard.terms().earth()
    );
    let mut found: Vec<Finding> = Vec::new();
    for link in links.iter().filter(|l| l.minus_joined == Some(false)) {
        let Some(from) = link.from_piece_id else { continue };
        let (place, what) = match (link.kind, link.to_piece_id, link.to_placement_id) {
            (LinkKind::Dc, Some(to), _) => (
                code(facts, from),
                format!("its minus does not meet that of {}: data has no return", code(facts, to)),
            ),
            (LinkKind::Data | LinkKind::Dc, _, Some(to)) => {
                // One box for power and data has one minus already.
                let mut others = links.iter().filter(|l| {
                    l.to_placement_id == Some(to)
                        && matches!(l.kind, LinkKind::Dc | LinkKind::Data)
                        && l.from_piece_id.is_some_and(|p| p != from)
                });
                let Some(other) = others.next() else { continue };
                let carried = if other.kind == link.kind { "two feeds" } else { "data and power" };
                let prop =
                    facts.placement(to).map_or_else(String::new, |p| format!("{} ({})", p.name, p.code));
                (
                    prop,
                    format!("{carried} come from two pieces whose minus does not meet, lead {}", link.code),
                )
            }
            _ => continue,
        };
        found.push(plain(Level::Stop, "no_common_minus", &place, what, "apart", "common minus", &join));
    }
    found
}

/// The pixels of a chain after which its plus rail is cut, or may be.
type Cuts = BTreeMap<String, Vec<u32>>;

/// Groups of supplies whose plus meets through leads and rails, with the strings in which it does.
fn meeting(study: &Study, cuts: &Cuts) -> Vec<(BTreeSet<String>, BTreeSet<String>)> {
    let network = &study.wiring.network;
    let node = |p: &Point| match p {
        Point::Supply(n) => format!("supply {n}"),
        Point::Junction(n) => format!("bus {n}"),
        Point::Pixel(n, at) => {
            let zone = cuts.get(n).map_or(0, |c| c.iter().filter(|cut| *cut < at).count());
            format!("string {n} zone {zone}")
        }
    };
    let edges: Vec<(String, String)> = network.cables.iter().map(|c| (node(&c.from), node(&c.to))).collect();
    let mut left: BTreeSet<String> = network.supplies.iter().map(|s| format!("supply {}", s.name)).collect();
    let mut groups = Vec::new();
    while let Some(first) = left.pop_first() {
        let mut reached = BTreeSet::from([first]);
        loop {
            let before = reached.len();
            for (a, b) in &edges {
                if reached.contains(a) || reached.contains(b) {
                    reached.extend([a.clone(), b.clone()]);
                }
            }
            if reached.len() == before {
                break;
            }
        }
        left.retain(|s| !reached.contains(s));
        let named = |kind: &str| -> BTreeSet<String> {
            reached.iter().filter_map(|n| n.strip_prefix(kind)).map(str::to_owned).collect()
        };
        let strings =
            named("string ").iter().filter_map(|s| s.split(" zone ").next().map(str::to_owned)).collect();
        groups.push((named("supply "), strings));
    }
    groups.retain(|(supplies, _)| supplies.len() > 1);
    groups
}

/// Supplies joined through a string whose plus rail is not cut between their feeds; where a cut may be there and is not
/// told, that is said.
pub(crate) fn rails(study: &Study, not_told: &mut Vec<String>) -> Vec<Finding> {
    let network = &study.wiring.network;
    let mut feeds: BTreeMap<&str, usize> = BTreeMap::new();
    for cable in &network.cables {
        if let Point::Pixel(chain, _) = &cable.to {
            *feeds.entry(chain).or_default() += 1;
        }
    }
    if network.supplies.len() < 2 || feeds.values().all(|n| *n < 2) {
        return Vec::new();
    }
    let told: Cuts = network.chains.iter().map(|c| (c.name.clone(), c.pos_cuts.clone())).collect();
    let mut all = told.clone();
    for (chain, at) in &study.wiring.cuts_open {
        all.entry(chain.clone()).or_default().push(*at);
    }
    let certain = meeting(study, &all);
    let certain_supplies: BTreeSet<&BTreeSet<String>> = certain.iter().map(|(s, _)| s).collect();
    for (supplies, strings) in meeting(study, &told) {
        if !certain_supplies.contains(&supplies) {
            let strings: Vec<String> =
                strings.into_iter().filter(|s| study.wiring.cuts_open.iter().any(|(c, _)| c == s)).collect();
            not_told.push(format!(
                "whether the plus rail of {} is cut between {} not told: supplies may be joined",
                some(strings),
                supplies.into_iter().collect::<Vec<_>>().join(" and ")
            ));
        }
    }
    certain
        .into_iter()
        .filter(|(_, strings)| !strings.is_empty())
        .map(|(supplies, strings)| {
            let supplies: Vec<String> = supplies.into_iter().collect();
            plain(
                Level::Stop,
                "supplies_joined",
                &strings.into_iter().collect::<Vec<_>>().join(", "),
                "outputs of several supplies are joined through a plus rail that is not cut".to_owned(),
                supplies.join(", "),
                "one supply a zone",
                "cut the plus rail right before the pixel where the other supply's feed enters; minus stays common",
            )
            .caution(JOINED)
        })
        .collect()
}
