//! Leads told to a labelled piece of a prop, followed to what the piece stands for: one of those that its placement puts
//! out, with its share of pixels, load and count. Each is a placement of its own here; the facts stay as they are.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::carried::with_power;
use crate::answers::words::{called, some};
use crate::domain::{
    Link, LinkKind, Piece, PieceId, Placement, PlacementId, PlacementPiece, Role, Season, SeasonDifference,
    Yard,
};
use crate::steps::Facts;

/// Which placement a lead's end at a piece means.
type Ends = BTreeMap<PieceId, PlacementId>;

/// The yard with every lead to or from a prop's piece told to a placement, every one to or from the placement of a box, a
/// supply or the like told to that thing, and every data lead that carries power told as dc, too.
pub(crate) fn followed<'a>(yard: Cow<'a, Yard>, season: &Season) -> Cow<'a, Yard> {
    with_power(to_placements(yard, season), season)
}

fn to_placements<'a>(yard: Cow<'a, Yard>, season: &Season) -> Cow<'a, Yard> {
    let yard = stood_for(out(yard, season), season);
    let by = linked(&Facts::new(&yard), season);
    if by.is_empty() {
        return yard;
    }
    let mut own = yard.into_owned();
    let mut ends = Ends::new();
    for (placement, pieces) in by {
        apart(&mut own, placement, &pieces, &mut ends);
    }
    let mine = |l: &Link| l.season_id.is_none_or(|s| s == season.id);
    for link in own.links.iter_mut().filter(|l| mine(l)) {
        if let Some(to) = link.to_piece_id.and_then(|p| ends.get(&p)) {
            (link.to_piece_id, link.to_placement_id) = (None, Some(*to));
        }
        if let Some(from) = link.from_piece_id.and_then(|p| ends.get(&p)) {
            (link.from_piece_id, link.from_placement_id) = (None, Some(*from));
        }
    }
    Cow::Owned(own)
}

/// Placements that are held back or only wished for, and have a lead of the season: they are not out, and take nothing.
fn held_back(yard: &Yard, season: &Season) -> BTreeSet<PlacementId> {
    let held =
        yard.placements.iter().filter(|p| p.season_id == season.id && (p.held_why.is_some() || p.wished));
    let held: BTreeSet<PlacementId> = held.map(|p| p.id).collect();
    if held.is_empty() {
        return held;
    }
    let facts = Facts::new(yard);
    let linked = facts.links_in(season.id).into_iter().flat_map(|l| ends_of(&facts, season, l));
    linked.filter(|id| held.contains(id)).collect()
}

/// The placements that a lead begins and ends at.
fn ends_of(facts: &Facts, season: &Season, link: &Link) -> Vec<PlacementId> {
    let pieces = [link.from_piece_id, link.to_piece_id].into_iter().flatten();
    let placed = pieces.filter_map(|p| facts.placement_of_piece(season.id, p)).map(|p| p.id);
    placed.chain(link.from_placement_id).chain(link.to_placement_id).collect()
}

/// The line that says what is left out because it is held back.
pub(crate) fn held_line(yard: &Yard, season: &Season) -> Option<String> {
    let held = held_back(yard, season);
    let codes = yard.placements.iter().filter(|p| held.contains(&p.id)).map(called);
    (!held.is_empty()).then(|| format!("held back or not owned yet, and so not counted: {}", some(codes)))
}

/// The yard without the leads to what is held back.
fn out<'a>(yard: Cow<'a, Yard>, season: &Season) -> Cow<'a, Yard> {
    let held = held_back(&yard, season);
    if held.is_empty() {
        return yard;
    }
    let facts = Facts::new(&yard);
    let mine = facts.links_in(season.id).into_iter();
    let gone = mine.filter(|l| ends_of(&facts, season, l).iter().any(|p| held.contains(p)));
    let gone: BTreeSet<_> = gone.map(|l| l.id).collect();
    let mut own = yard.into_owned();
    own.links.retain(|l| !gone.contains(&l.id));
    Cow::Owned(own)
}

/// A placement that puts out one box, supply or the like is that thing, where leads are told; one without a label is a
/// piece by the placement's code.
fn stood_for<'a>(yard: Cow<'a, Yard>, season: &Season) -> Cow<'a, Yard> {
    let facts = Facts::new(&yard);
    let links = facts.links_in(season.id);
    let ends = links.iter().flat_map(|l| [l.from_placement_id, l.to_placement_id]).flatten();
    let mut ids: BTreeMap<PlacementId, PieceId> = BTreeMap::new();
    let mut unlabelled = Vec::new();
    for placement in ends.filter_map(|id| facts.placement(id)) {
        let Some(product) = facts.feeder(placement.id) else { continue };
        if let Some(piece) = facts.stands_for(placement.id) {
            ids.insert(placement.id, piece);
        } else if facts.pieces_of(placement.id).is_empty() {
            let piece = PieceId(placement.id.0);
            if ids.insert(placement.id, piece).is_none() {
                unlabelled.push(Piece::plain(piece, placement.code.clone(), product.id));
            }
        }
    }
    if ids.is_empty() {
        return yard;
    }
    let mut own = yard.into_owned();
    for placement in &mut *own.placements {
        let mine = ids.get(&placement.id).filter(|p| unlabelled.iter().any(|u| u.id == **p));
        placement.piece_id = placement.piece_id.or(mine.copied());
    }
    own.pieces.extend(unlabelled);
    own.pieces.sort_by(|a, b| a.code.cmp(&b.code));
    for link in own.links.iter_mut().filter(|l| l.season_id.is_none_or(|s| s == season.id)) {
        if let Some(piece) = link.from_placement_id.and_then(|p| ids.get(&p)) {
            (link.from_placement_id, link.from_piece_id) = (None, Some(*piece));
        }
        if let Some(piece) = link.to_placement_id.and_then(|p| ids.get(&p)) {
            (link.to_placement_id, link.to_piece_id) = (None, Some(*piece));
        }
    }
    Cow::Owned(own)
}

/// Pieces of props that dc and data leads name; by a mains cord one is told as well as by its placement only where that
/// has a cord of its own, too.
fn linked(facts: &Facts, season: &Season) -> BTreeMap<PlacementId, BTreeSet<PieceId>> {
    let links = facts.links_in(season.id);
    let plugged: BTreeSet<PlacementId> =
        links.iter().filter(|l| l.kind == LinkKind::Mains).filter_map(|l| l.to_placement_id).collect();
    let prop = |id: PieceId| {
        let product = facts.piece(id).and_then(|p| facts.product(p.product_id));
        product.is_some_and(|p| p.role == Role::Prop)
    };
    let mut by: BTreeMap<PlacementId, BTreeSet<PieceId>> = BTreeMap::new();
    for link in links {
        for piece in [link.from_piece_id, link.to_piece_id].into_iter().flatten().filter(|p| prop(*p)) {
            let Some(placement) = facts.placement_of_piece(season.id, piece).map(|p| p.id) else { continue };
            let asked = match link.kind {
                LinkKind::Dc | LinkKind::Data => true,
                LinkKind::Mains => plugged.contains(&placement),
                LinkKind::Network | LinkKind::Sound => false,
            };
            if asked {
                by.entry(placement).or_default().insert(piece);
            }
        }
    }
    by
}

/// Takes pieces out of a placement, each as one of its own; what is left of it stays as it is.
fn apart(own: &mut Yard, placement: PlacementId, pieces: &BTreeSet<PieceId>, ends: &mut Ends) {
    let facts = Facts::new(own);
    let Some(whole) = facts.placement(placement).cloned() else { return };
    let product = facts.product_of(&whole).map(|p| p.id);
    let all: Vec<PieceId> = facts.pieces_of(placement).to_vec();
    let count = whole.count.max(all.len() as i64);
    if count == 1 {
        ends.extend(pieces.iter().map(|p| (*p, placement)));
        return;
    }
    let name = |id: PieceId| facts.piece(id).map(|p| (p.code.clone(), p.name.clone())).unwrap_or_default();
    let ones: Vec<Placement> = pieces
        .iter()
        .map(|id| {
            let (code, name) = name(*id);
            Placement {
                id: PlacementId(id.0),
                code,
                name: if name.is_empty() { whole.name.clone() } else { name },
                product_id: None,
                piece_id: Some(*id),
                count: 1,
                stakes: None,
                ..whole.clone()
            }
        })
        .collect();
    ends.extend(pieces.iter().map(|p| (*p, PlacementId(p.0))));
    let rest = count - ones.len() as i64;
    let levels: Vec<SeasonDifference> = own
        .season_differences
        .iter()
        .filter(|d| d.placement_id == Some(placement))
        .flat_map(|d| ones.iter().map(|p| SeasonDifference { placement_id: Some(p.id), ..d.clone() }))
        .collect();
    own.season_differences.extend(levels);
    let first = ones.first().map(|p| p.id);
    let mut rows: Vec<Placement> = own.placements.iter().filter(|p| p.id != placement).cloned().collect();
    rows.extend(ones);
    if rest > 0 {
        rows.push(Placement {
            product_id: product,
            piece_id: whole.piece_id.filter(|p| !pieces.contains(p)),
            count: rest,
            ..whole
        });
    } else {
        // A lead to the whole of it begins or ends at the first then.
        for link in &mut own.links {
            for end in [&mut link.to_placement_id, &mut link.from_placement_id] {
                *end = if *end == Some(placement) { first } else { *end };
            }
        }
    }
    rows.sort_by(|a, b| a.code.cmp(&b.code));
    own.placements = rows.into();
    let left: Vec<PlacementPiece> =
        own.placement_pieces.iter().filter(|p| !pieces.contains(&p.piece_id)).cloned().collect();
    own.placement_pieces = left.into();
}
