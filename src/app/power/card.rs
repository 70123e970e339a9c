//! The card in a box lid.

use std::collections::BTreeMap;

use super::segments::segments;
use super::wiring::pixels;
use crate::app::owner::App;
use crate::domain::{Link, LinkId, LinkKind, PieceId, Season};
use crate::exchange::print::{BoxCard, CardLine};
use crate::steps::Facts;

/// One card a box that feeds something, in the order of their codes.
pub(super) fn cards(app: &App, facts: &Facts, season: &Season) -> Vec<BoxCard> {
    let links = facts.links_in(season.id);
    let mut boxes: Vec<PieceId> = links
        .iter()
        .filter(|l| matches!(l.kind, LinkKind::Dc | LinkKind::Data) && l.to_placement_id.is_some())
        .filter_map(|l| l.from_piece_id)
        .collect();
    boxes.sort_by_key(|b| facts.piece(*b).map(|p| p.code.clone()));
    boxes.dedup();
    let units = app.units();
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
                    fuse: l.fuse_ma.map_or_else(String::new, |f| f.show(units)),
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
                lines,
            })
        })
        .collect()
}

/// Ports in the order people count: A2 before A10.
pub(super) fn natural(port: &str) -> (String, u64) {
    let letters: String = port.chars().take_while(|c| !c.is_ascii_digit()).collect();
    let digits = port.get(letters.len()..).unwrap_or_default().parse().unwrap_or(0);
    (letters, digits)
}
