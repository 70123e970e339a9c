//! Plugs where leads begin and end: those of pieces and products, by what kind of lead takes them.

use crate::domain::plug::{LOWEST_MAINS_V, rated_amps, takes};
use crate::domain::{Direction, Link, LinkKind, PieceId, ProductEnd, ProductId};
use crate::steps::Facts;

/// A plug family, where it is told.
pub(super) type Plug = Option<String>;

/// Whether a plug can go into what feeds it: what is not told is no contradiction.
pub(super) fn agree(feeding: &Plug, plugged: &Plug) -> bool {
    feeding.as_ref().zip(plugged.as_ref()).is_none_or(|(a, b)| takes(a, b))
}

/// Whether an end may take a lead of a kind: mains plugs and voltages are not for dc and data, nor the other way round.
fn suits(end: &ProductEnd, kind: LinkKind) -> bool {
    let family = end.plug_family.as_deref().is_some_and(|f| rated_amps(f, false).is_some());
    let high = end.volts_mv.map(|v| v.volts() >= LOWEST_MAINS_V);
    match kind {
        LinkKind::Mains => high != Some(false),
        LinkKind::Dc | LinkKind::Data => !high.unwrap_or(family),
        _ => true,
    }
}

/// Whether a lead may be one of a kind, by the ends that are told of it.
pub(super) fn made_for(facts: &Facts, lead: ProductId, kind: LinkKind) -> bool {
    let high = facts.product(lead).and_then(|p| p.volts_mv).map(|v| v.volts() >= LOWEST_MAINS_V);
    let fits = high.is_none_or(|high| high == (kind == LinkKind::Mains));
    fits && facts.yard.product_ends.iter().filter(|e| e.product_id == lead).all(|e| suits(e, kind))
}

/// The plug of the first end that goes a way, else of one that goes either way.
fn plug_of<'a>(ends: impl Iterator<Item = &'a ProductEnd> + Clone, way: Direction) -> Plug {
    let found = [way, Direction::Either].into_iter().find_map(|d| ends.clone().find(|e| e.direction == d));
    found.and_then(|e| e.plug_family.clone())
}

/// The plug of a thing at its ends that take a lead of a kind.
fn plug_for(facts: &Facts, product: ProductId, way: Direction, kind: LinkKind) -> Plug {
    let ends = facts.yard.product_ends.iter();
    plug_of(ends.filter(|e| e.product_id == product && suits(e, kind)), way)
}

pub(crate) fn product_plug(facts: &Facts, product: ProductId, way: Direction) -> Plug {
    plug_of(facts.yard.product_ends.iter().filter(|e| e.product_id == product), way)
}

pub(super) fn lead_plug(facts: &Facts, lead: PieceId, end: Direction) -> Plug {
    let piece = facts.piece(lead)?;
    let own = if end == Direction::In { &piece.in_plug } else { &piece.out_plug };
    own.clone().filter(|p| !p.is_empty()).or_else(|| product_plug(facts, piece.product_id, end))
}

/// The plug that a lead begins at: an output of a box, or the out end of a prop.
pub(super) fn source_plug(facts: &Facts, link: &Link) -> Plug {
    // Outlets and the sockets of networks and sound are not told as ends.
    if !matches!(link.kind, LinkKind::Dc | LinkKind::Data) {
        return None;
    }
    let piece = link.from_piece_id.and_then(|p| facts.piece(p));
    let placed = link.from_placement_id.and_then(|p| facts.placement(p)).and_then(|p| facts.product_of(p));
    if let Some(own) = piece.and_then(|p| p.out_plug.clone()).filter(|p| !p.is_empty()) {
        return Some(own);
    }
    plug_for(facts, piece.map(|p| p.product_id).or(placed.map(|p| p.id))?, Direction::Out, link.kind)
}

/// The plug that a lead ends at, by the end's name where it is told.
pub(super) fn target_plug(facts: &Facts, link: &Link) -> Plug {
    if !matches!(link.kind, LinkKind::Dc | LinkKind::Data | LinkKind::Mains) {
        return None;
    }
    let piece = link.to_piece_id.and_then(|p| facts.piece(p));
    let placed = link.to_placement_id.and_then(|p| facts.placement(p)).and_then(|p| facts.product_of(p));
    let product = piece.map(|p| p.product_id).or(placed.map(|p| p.id))?;
    let named = link.to_end.as_deref().and_then(|name| {
        facts.yard.product_ends.iter().find(|e| e.product_id == product && e.end_name == name)
    });
    match named {
        Some(end) => end.plug_family.clone(),
        None => plug_for(facts, product, Direction::In, link.kind),
    }
}
