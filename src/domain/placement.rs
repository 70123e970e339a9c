//! What goes where, how, in which season.

use super::attachment::AttachmentId;
use super::cell::Words;
use super::fact::fact;
use super::method::MethodId;
use super::piece::PieceId;
use super::place::PlaceId;
use super::product::ProductId;
use super::season::SeasonId;
use crate::units::Length;

fact! {
    /// An item, so many, at a place, by a method, in a season.
    Placement, PlacementId, "placement" {
        code: String,
        name: String,
        season_id: SeasonId,
        product_id: Option<ProductId>,
        piece_id: Option<PieceId>,
        count: i64,
        place_id: Option<PlaceId>,
        method_id: Option<MethodId>,
        mount_id: Option<PieceId>,
        carried_by_id: Option<PlacementId>,
        permanent: bool,
        worth: i64,
        length_mm: Option<Length>,
        stakes: Option<i64>,
        height_mm: Option<Length>,
        measures: String,
        photo_id: Option<AttachmentId>,
        /// Not owned yet: its recipe gives a bill of materials.
        wished: bool,
        /// Why the owner holds it back; empty while it may go on.
        held_why: Option<String>,
        cautions: Words,
        note: String,
    }
}

fact! {
    /// A labelled piece that a placement puts out.
    PlacementPiece, PlacementPieceId, "placement_piece" {
        placement_id: PlacementId,
        piece_id: PieceId,
    }
}

impl Placement {
    /// What makes it the same prop in another season: a new season takes its code over, behind the season's own.
    pub fn prop(&self) -> (String, Option<ProductId>) {
        (self.code.rsplit('/').next().unwrap_or_default().to_lowercase(), self.product_id)
    }
}
