//! What must not be plugged together by its voltage, and a string fed from its out end.

use std::collections::BTreeSet;

use crate::answers::power::cords::LOWEST_MAINS_V;
use crate::answers::power::dc::Dc;
use crate::answers::power::plugs;
use crate::answers::power::wiring::set_point;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::domain::{Direction, Link, LinkKind, PieceId, Placement, Role, Season};
use crate::steps::Facts;
use crate::units::Voltage;

/// How far a supply may be set off its nominal voltage (common practice, no published source).
pub(super) const SET_POINT: f64 = 0.1;
pub(super) const LIVE: &str = "Supply off before any plug is made or parted; a plug made up live takes the first pixel and the port with it.";

/// What kept something from being compared, by code.
#[derive(Default)]
struct Untold {
    tags: BTreeSet<String>,
    volts: BTreeSet<String>,
    ends: BTreeSet<String>,
    ways: BTreeSet<String>,
    boards: BTreeSet<String>,
}

pub(crate) fn look(facts: &Facts, season: &Season, not_told: &mut Vec<String>) -> Vec<Finding> {
    let links = facts.links_in(season.id);
    let dc = Dc::of(facts, season);
    let mut found = Vec::new();
    let mut untold = Untold::default();
    for link in &links {
        found.extend(board(facts, &dc, link, &mut untold));
        if !matches!(link.kind, LinkKind::Dc | LinkKind::Data) {
            continue;
        }
        let Some(prop) = link.to_placement_id.and_then(|p| facts.placement(p)) else { continue };
        let told = takes(facts, link, prop);
        if told.is_empty() {
            untold.volts.insert(prop.code.clone());
        }
        found.extend(told.iter().find_map(|takes| tag(facts, link, prop, *takes, &mut untold)));
        found.extend(told.iter().find_map(|takes| supply(facts, &dc, link, prop, *takes)));
        found.extend(fed_from_out(facts, link, prop, &mut untold));
    }
    found.extend(plugs::look(facts, &links, not_told));
    not_told.extend(open_ends(&links, &[LinkKind::Dc, LinkKind::Mains]));
    not_told.extend(told_by_piece(facts, &links, LinkKind::Dc));
    let mut say = |codes: BTreeSet<String>, what: &str, then: &str| {
        if !codes.is_empty() {
            not_told.push(format!("{what} ({}): {then}", some(codes)));
        }
    };
    say(untold.volts, "volts not told for props", "not compared with their supply and lead");
    say(
        untold.tags,
        "voltage tag not told for leads",
        "compared with their prop only where their product tells it",
    );
    say(untold.boards, "volts not told for controllers and the like", "not compared with their supply");
    say(untold.ways, "which way data runs at its end not told for data leads", "not checked");
    say(untold.ends, "which end of the string data goes into not told for leads", "not checked");
    found
}

/// What a prop takes, by all that is told of it: its product, the end it is fed at, the tags of its pieces.
fn takes(facts: &Facts, link: &Link, prop: &Placement) -> Vec<Voltage> {
    let Some(product) = facts.product_of(prop) else { return Vec::new() };
    let mut ends = facts.yard.product_ends.iter().filter(|e| e.product_id == product.id);
    let name = link.to_end.as_deref();
    let named = ends.clone().find(|e| name.is_some_and(|n| e.end_name.eq_ignore_ascii_case(n)));
    let end = named.or_else(|| ends.find(|e| e.direction != Direction::Out)).and_then(|e| e.volts_mv);
    let tags = facts.pieces_of(prop.id).iter().filter_map(|p| facts.piece(*p)?.tag_mv);
    let mut all: Vec<Voltage> = product.volts_mv.into_iter().chain(end).chain(tags).collect();
    // What has a mains cord beside its end for low voltage is told with both.
    let low = |v: &Voltage| v.volts() < LOWEST_MAINS_V;
    if all.iter().any(low) {
        all.retain(low);
    }
    all.dedup();
    all
}

fn stop(
    code: &str,
    prop: &Placement,
    what: String,
    value: impl Into<Amount>,
    limit: impl Into<Amount>,
    remedy: &str,
) -> Finding {
    let place = format!("{} ({})", prop.name, prop.code);
    Finding::new(Level::Stop, code, place, what, value, limit, remedy).caution(LIVE)
}

/// The tag of the lead against what the prop takes.
fn tag(facts: &Facts, link: &Link, prop: &Placement, takes: Voltage, untold: &mut Untold) -> Option<Finding> {
    let lead = link.lead_id.and_then(|l| facts.piece(l))?;
    if lead.tag_mv.is_none() {
        untold.tags.insert(lead.code.clone());
    }
    // Without a tag it is what it is made for.
    let tag = lead.tag_mv.or_else(|| facts.product(lead.product_id)?.volts_mv)?;
    (tag != takes).then(|| {
        stop(
            "tag_voltage",
            prop,
            format!("lead {} is told for another voltage than the prop takes", lead.code),
            Amount::volts(tag.volts()),
            Amount::volts(takes.volts()),
            "swap the lead, or meter it and correct its tag",
        )
    })
}

/// The supply of a controller, or of a box that is told for its volts, against these.
fn board(facts: &Facts, dc: &Dc, link: &Link, untold: &mut Untold) -> Option<Finding> {
    let (from, to) = link.from_piece_id.zip(link.to_piece_id).filter(|(from, _)| dc.is_supply(*from))?;
    let (supply, board) = (facts.piece(from)?, facts.piece(to)?);
    let product = facts.product(board.product_id).filter(|_| link.kind == LinkKind::Dc)?;
    let gives = set_point(supply, facts.product(supply.product_id)?)?;
    let Some(takes) = product.volts_mv else {
        if !matches!(product.role, Role::Box | Role::Supply | Role::Adaptor | Role::Lead | Role::Mount) {
            untold.boards.insert(board.code.clone());
        }
        return None;
    };
    // What a box takes from the mains is compared with its circuit.
    let low = takes.volts() < LOWEST_MAINS_V;
    (low && (gives.volts() - takes.volts()).abs() > takes.volts() * SET_POINT).then(|| {
        Finding::new(
            Level::Stop,
            "supply_voltage",
            board.code.clone(),
            format!("{} at its lead {} gives another voltage than it takes", supply.code, link.code),
            Amount::volts(gives.volts()),
            Amount::volts(takes.volts()),
            "give it a supply of its own voltage, or correct what its product takes",
        )
        .caution(LIVE)
    })
}

/// The supply behind the port, or before the prop that this one hangs on, against what the prop takes.
fn supply<'a>(
    facts: &Facts,
    dc: &Dc<'a>,
    link: &'a Link,
    prop: &Placement,
    takes: Voltage,
) -> Option<Finding> {
    if link.kind != LinkKind::Dc {
        return None;
    }
    let off = |v: Voltage| (v.volts() - takes.volts()).abs() > takes.volts() * SET_POINT;
    let gives: Vec<(String, Voltage)> = dc
        .feeders(link)
        .into_iter()
        .filter_map(|id| facts.piece(id))
        .filter_map(|p| Some((p.code.clone(), set_point(p, facts.product(p.product_id)?)?)))
        .collect();
    let before = || {
        let before = link.from_placement_id.and_then(|p| facts.placement(p))?;
        Some((before.code.clone(), facts.product_of(before)?.volts_mv?))
    };
    let port = link.from_port.as_deref().unwrap_or_default();
    let open = link.from_piece_id.is_some_and(|p| dc.port_bus(p, port).is_none());
    let (code, gives) = if gives.is_empty() {
        before().filter(|(_, v)| off(*v))?
    } else if open && !gives.iter().all(|(_, v)| off(*v)) {
        // On which of the box's supplies the port hangs is not told, which is said where the network is laid.
        return None;
    } else {
        gives.into_iter().find(|(_, v)| off(*v))?
    };
    Some(stop(
        "supply_voltage",
        prop,
        format!("{code} behind its lead {} gives another voltage than the prop takes", link.code),
        Amount::volts(gives.volts()),
        Amount::volts(takes.volts()),
        "plug it into a port of its own voltage",
    ))
}

/// Data enters a string at its in end only.
fn fed_from_out(facts: &Facts, link: &Link, prop: &Placement, untold: &mut Untold) -> Option<Finding> {
    if link.kind != LinkKind::Data {
        return None;
    }
    let product = facts.product_of(prop)?;
    let name = link.to_end.as_deref();
    let mut ends = facts.yard.product_ends.iter().filter(|e| e.product_id == product.id);
    let Some(end) = ends.find(|e| name.is_some_and(|n| e.end_name.eq_ignore_ascii_case(n))) else {
        untold.ends.insert(link.code.clone());
        return None;
    };
    if end.direction == Direction::Either {
        untold.ways.insert(link.code.clone());
    }
    (end.direction == Direction::Out).then(|| {
        stop(
            "data_into_out_end",
            prop,
            format!("data lead {} goes into the out end", link.code),
            end.end_name.clone(),
            "in end",
            "turn the string, or plug into its other end",
        )
    })
}

/// Leads that are told to a labelled piece of a prop, not to its placement: they are in no answer.
pub(crate) fn told_by_piece(facts: &Facts, links: &[&Link], kind: LinkKind) -> Option<String> {
    let prop = |id: PieceId| {
        facts.piece(id).and_then(|p| facts.product(p.product_id)).is_some_and(|p| p.role == Role::Prop)
    };
    let to_piece = |l: &&&Link| [l.from_piece_id, l.to_piece_id].into_iter().flatten().any(prop);
    let codes: BTreeSet<String> =
        links.iter().filter(|l| l.kind == kind).filter(to_piece).map(|l| l.code.clone()).collect();
    (!codes.is_empty()).then(|| {
        format!(
            "placement not told, only one of its pieces, for leads ({}): what they carry, and pixels on their port, not \
             reckoned",
            some(codes)
        )
    })
}

/// Leads of which nobody told where they begin or where they end: they are in no answer.
pub(crate) fn open_ends(links: &[&Link], kinds: &[LinkKind]) -> Option<String> {
    let open: BTreeSet<String> = links
        .iter()
        .filter(|l| kinds.contains(&l.kind))
        .filter(|l| {
            let begins =
                l.from_piece_id.is_some() || l.from_placement_id.is_some() || l.from_outlet_id.is_some();
            !begins || (l.to_piece_id.is_none() && l.to_placement_id.is_none())
        })
        .map(|l| l.code.clone())
        .collect();
    let n = open.len();
    (n > 0).then(|| {
        let names = some(open);
        format!(
            "where they begin or end not told for {leads} ({names}): what they carry is not checked",
            leads = n_of(n, "lead")
        )
    })
}
