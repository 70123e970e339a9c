//! What leads round to where it began: no ring of leads feeds anything.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::feeds::plain;
use crate::answers::power::load::{Mains, Thing};
use crate::answers::view::{Finding, Level};
use crate::domain::{LinkKind, PieceId, PlacementId, Role, Season, Terms};
use crate::steps::Facts;

/// The rings among ways from one thing to another, each named once.
pub(super) fn among<N: Ord + Copy>(ways: impl Iterator<Item = (N, N)>) -> BTreeSet<Vec<N>> {
    let mut next: BTreeMap<N, BTreeSet<N>> = BTreeMap::new();
    for (from, to) in ways {
        next.entry(from).or_default().insert(to);
    }
    let reach = |start: N| {
        let mut seen = BTreeSet::new();
        let mut open = vec![start];
        while let Some(at) = open.pop() {
            for to in next.get(&at).into_iter().flatten() {
                if seen.insert(*to) {
                    open.push(*to);
                }
            }
        }
        seen
    };
    let reached: BTreeMap<N, BTreeSet<N>> = next.keys().map(|n| (*n, reach(*n))).collect();
    let leads = |a: &N, b: &N| reached.get(a).is_some_and(|r| r.contains(b));
    let round = |n: &N| reached.keys().copied().filter(|o| leads(n, o) && leads(o, n)).collect();
    reached.keys().filter(|n| leads(n, n)).map(round).collect()
}

fn names(mut codes: Vec<String>) -> String {
    codes.sort();
    codes.join(", ")
}

/// Things that are plugged into each other in a ring.
pub(super) fn mains(mains: &Mains, terms: Terms) -> Vec<Finding> {
    let word = terms.cord();
    let ways = mains.cords().flat_map(|cord| {
        let ends = mains.ends(cord);
        mains
            .starts(cord)
            .into_iter()
            .flat_map(move |from| ends.clone().into_iter().map(move |to| (from, to)))
    });
    among(ways)
        .into_iter()
        .map(|ring| {
            plain(
                Level::Stop,
                "mains_ring",
                &names(ring.into_iter().map(|t| mains.code(t)).collect()),
                format!("the {word}s between them lead round in a ring"),
                "a ring",
                "one way from the wall",
                &format!("take out the {word} that leads back"),
            )
            .caution(super::mains::MAINS)
        })
        .collect()
}

/// Props whose data goes round among themselves. What sends may be told to hear what comes back.
pub(super) fn data(facts: &Facts, season: &Season) -> Vec<Finding> {
    let placed = |piece: Option<PieceId>, placement: Option<PlacementId>| {
        let of = |p: PieceId| facts.placement_of_piece(season.id, p).map(|p| p.id);
        placement.or(piece.and_then(of)).map(Thing::Placement).or(piece.map(Thing::Piece))
    };
    let links = facts.links_in(season.id);
    let ways = links.iter().filter(|l| l.kind == LinkKind::Data).filter_map(|l| {
        let from = placed(l.from_piece_id, l.from_placement_id)?;
        let to = placed(l.to_piece_id, l.to_placement_id)?;
        // From piece to piece of one placement it goes on along it.
        (from != to || l.from_piece_id.is_none() || l.from_piece_id == l.to_piece_id).then_some((from, to))
    });
    let product = |thing: &Thing| match thing {
        Thing::Piece(id) => facts.piece(*id).and_then(|p| facts.product(p.product_id)),
        Thing::Placement(id) => facts.placement(*id).and_then(|p| facts.product_of(p)),
    };
    let code = |thing: Thing| match thing {
        Thing::Piece(id) => facts.piece(id).map(|p| p.code.clone()),
        Thing::Placement(id) => facts.placement(id).map(|p| p.code.clone()),
    };
    among(ways)
        .into_iter()
        .filter(|ring| ring.iter().all(|t| product(t).is_some_and(|p| p.role == Role::Prop)))
        .map(|ring| {
            plain(
                Level::Mend,
                "data_ring",
                &names(ring.into_iter().filter_map(code).collect()),
                "their data goes round in a ring: no port sends it".to_owned(),
                "a ring",
                "one way from a port",
                "take out the lead that leads back, and tell which port feeds the first",
            )
        })
        .collect()
}
