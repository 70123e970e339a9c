//! How things stand in the wind: on guys, by their weight, as an arch.

use super::cell::choice;
use super::fact::fact;
use super::piece::PieceId;
use super::placement::PlacementId;
use crate::units::{Force, Length, Mass, Span, Speed};

choice! {
    /// What keeps a thing upright in the wind.
    StandKind {
        Guyed => "guyed",
        Weight => "weight",
        Arch => "arch",
    }
}

fact! {
    /// How a mount, or the placement itself, stands in the wind; what is not told is not checked.
    Stand, StandId, "stand" {
        code: String,
        mount_id: Option<PieceId>,
        placement_id: Option<PlacementId>,
        kind: StandKind,
        /// Solid area facing the wind, where it is not to be taken from the products.
        area_cm2: Option<i64>,
        /// Height of the middle of that area.
        centroid_mm: Option<Length>,
        /// Force coefficient in hundredths, 10 to 300.
        drag_pct: Option<i64>,
        /// Width of the tube of an arch.
        tube_mm: Option<Length>,
        guy_height_mm: Option<Length>,
        /// E A of a guy: the pull that would double its length.
        guy_stiffness_mn: Option<Force>,
        pretension_mn: Option<Force>,
        /// Working load limit of the straps.
        strap_limit_mn: Option<Force>,
        /// From the middle of the weight to the edge it would tip over.
        half_base_mm: Option<Length>,
        ballast_g: Option<Mass>,
        friction_pct: Option<i64>,
        /// The gust at which the owner lowers it, whatever is computed.
        lower_gust_mms: Option<Speed>,
        /// What is done then: "take the panel off, the frame stays".
        lay_down: String,
        lay_down_s: Span,
        hands: i64,
        note: String,
    }
}

choice! {
    /// How the holding of an anchor is known.
    HoldingBy {
        /// A pull test was made.
        Tested => "tested",
        /// Its maker or a table says so.
        Declared => "declared",
        /// A guess.
        Untested => "untested",
    }
}

fact! {
    /// One guy of a stand and its anchor.
    Guy, GuyId, "guy" {
        code: String,
        stand_id: StandId,
        /// Direction of the anchor from the mast, clockwise from north, 0 to 360.
        azimuth_deg: i64,
        radius_mm: Option<Length>,
        /// Anchor above the mast's foot, below it with a minus.
        rise_mm: Option<Length>,
        holding_mn: Option<Force>,
        holding_by: Option<HoldingBy>,
        note: String,
    }
}
