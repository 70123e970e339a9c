//! Pieces that are another product than their placement says: all that is reckoned of a placement takes its product.

use crate::answers::view::{Finding, Level};
use crate::answers::words::called;
use crate::domain::Season;
use crate::steps::Facts;

/// Each labelled piece of a season's placements that is another product than the placement's.
pub(super) fn look(facts: &Facts, season: &Season) -> Vec<Finding> {
    let mut found = Vec::new();
    for placement in facts.placements_in(season.id) {
        let pieces: Vec<_> = facts.pieces_of(placement.id).iter().filter_map(|p| facts.piece(*p)).collect();
        let first = pieces.first().map(|p| p.product_id);
        let Some(whole) = placement.product_id.or(first).and_then(|p| facts.product(p)) else { continue };
        for piece in pieces.into_iter().filter(|p| p.product_id != whole.id) {
            let own = facts.product(piece.product_id).map_or_else(String::new, |p| p.name.clone());
            found.push(Finding::new(
                Level::Mend,
                "piece_of_another_product",
                called(placement),
                format!("piece {} is another product than planned; checked as the planned one", piece.code),
                own,
                whole.name.clone(),
                "give it a placement of its own, or correct the product of the piece",
            ));
        }
    }
    found
}
