//! The card in a box lid.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::answers::power::fuses::fuse_for;
use crate::answers::power::segments::segments;
use crate::answers::power::wiring::pixels;
use crate::answers::power::{Checked, Study};
use crate::answers::view::{BoxCard, CardLine, StartPhase};
use crate::calc::electrical::fuse::Choice;
use crate::domain::{Link, LinkId, LinkKind, PieceId, Season};
use crate::steps::Facts;
use crate::units::{Current, System};

/// One card a box that feeds something, in the order of their codes.
pub(crate) fn cards(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    study: &Study,
    checked: &Checked,
) -> Vec<BoxCard> {
    let groups: BTreeMap<&str, &str> = checked
        .numbers
        .iter()
        .filter(|n| !n.proposed)
        .map(|n| (n.lead.as_str(), n.groups.as_str()))
        .collect();
    let links = facts.links_in(season.id);
    let mut boxes: Vec<PieceId> = links
        .iter()
        .filter(|l| matches!(l.kind, LinkKind::Dc | LinkKind::Data) && l.to_placement_id.is_some())
        .filter_map(|l| l.from_piece_id)
        .collect();
    boxes.sort_by_key(|b| facts.piece(*b).map(|p| p.code.clone()));
    boxes.dedup();
    let units = outlook.units();
    let fed = facts.fed_by(season.id);
    let driven: BTreeMap<LinkId, u32> = segments(facts, &links).iter().map(|s| (s.link, s.pixels)).collect();
    boxes
        .into_iter()
        .filter_map(|id| {
            let piece = facts.piece(id)?;
            let mut lines: Vec<CardLine> = Vec::new();
            let mut stale = false;
            // What hangs on a prop before it belongs on the card of the box that feeds that prop.
            let mine = |l: &&&Link| match l.from_piece_id {
                Some(from) => from == id,
                None => l.from_placement_id.is_some_and(|p| fed.get(&p) == Some(&id)),
            };
            for l in links.iter().filter(mine).filter(|l| matches!(l.kind, LinkKind::Dc | LinkKind::Data)) {
                let Some(prop) = l.to_placement_id.and_then(|p| facts.placement(p)) else { continue };
                stale |= l.card_stale;
                let number = |n: Option<i64>| n.map_or_else(String::new, |n| n.to_string());
                lines.push(CardLine {
                    link: l.id,
                    lead: l.code.clone(),
                    changed: l.card_stale,
                    was: None,
                    port: match l.from_placement_id.and_then(|p| facts.placement(p)) {
                        Some(before) => format!("after {}", before.code),
                        None => l.from_port.clone().unwrap_or_else(|| "?".to_owned()),
                    },
                    kind: l.kind.as_str().to_owned(),
                    prop: format!("{} ({})", prop.name, prop.code),
                    pixels: driven
                        .get(&l.id)
                        .copied()
                        .or_else(|| facts.product_of(prop).and_then(|x| pixels(prop, x)))
                        .map_or_else(String::new, |n| n.to_string()),
                    at: number(l.at_pixel),
                    universe: number(l.start_universe),
                    slot: number(l.start_slot),
                    group: groups.get(l.code.as_str()).map_or_else(String::new, |g| (*g).to_owned()),
                    fuse: match l.fuse_ma {
                        Some(told) => told.show(units),
                        None => proposed(facts, study, l, units),
                    },
                    wire: [l.wire.map(crate::units::Gauge::show), l.length_mm.map(|x| x.show(units))]
                        .into_iter()
                        .flatten()
                        .collect::<Vec<_>>()
                        .join(", "),
                    colour: l.colour.clone(),
                });
            }
            lines.sort_by(|a, b| natural(&a.port).cmp(&natural(&b.port)).then_with(|| a.kind.cmp(&b.kind)));
            let name = if piece.name.is_empty() { String::new() } else { format!(" {}", piece.name) };
            Some(BoxCard {
                title: format!("{}{name}, {}", piece.code, season.name),
                address: piece.address.clone().unwrap_or_default(),
                stale,
                start: start(&piece.code, &checked.start_up),
                lines,
            })
        })
        .collect()
}

/// The fuse proposed for a feeder that has none told; empty where its load or wire is not known.
fn proposed(facts: &Facts, study: &Study, link: &Link, units: System) -> String {
    match fuse_for(facts, study, link) {
        Some(Choice::Fuse { amps, .. }) => {
            let fuse = Current::from_ma((amps * 1000.0).round() as i64);
            format!("{} proposed", fuse.show(units))
        }
        Some(Choice::WireTooThin) => "none fits, wire too thin".to_owned(),
        Some(Choice::NoStandardRating) => "none fits, split the load".to_owned(),
        None => String::new(),
    }
}

/// When a box is switched on, where the boxes of its circuit may not start together.
fn start(code: &str, phases: &[StartPhase]) -> String {
    let Some(mine) = phases.iter().find(|p| p.boxes.iter().any(|b| b == code)) else { return String::new() };
    let circuit: Vec<&StartPhase> = phases.iter().filter(|p| p.circuit == mine.circuit).collect();
    if circuit.len() < 2 && !mine.over {
        return String::new();
    }
    let before = circuit.iter().filter(|p| p.phase < mine.phase).flat_map(|p| p.boxes.iter().cloned());
    let before: Vec<String> = before.collect();
    let after =
        if before.is_empty() { String::new() } else { format!(", some seconds after {}", before.join(", ")) };
    let over = if mine.over { "; too much at once: its supplies one by one" } else { "" };
    format!(
        "switched on {} of {} on {}{after}; starting peak {}, {} hold{over}",
        mine.phase,
        circuit.len(),
        mine.circuit,
        mine.peak,
        mine.limit
    )
}

/// Ports in the order people count: A2 before A10.
pub(crate) fn natural(port: &str) -> (String, u64) {
    let letters: String = port.chars().take_while(|c| !c.is_ascii_digit()).collect();
    let digits = port.get(letters.len()..).unwrap_or_default().parse().unwrap_or(0);
    (letters, digits)
}
