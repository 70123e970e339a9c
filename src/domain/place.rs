//! Places of the yard, as a tree, and what lies below them.

use super::cell::{Words, choice};
use super::fact::fact;
use crate::units::Length;

choice! {
    /// How a place is reached.
    Access {
        Ground => "ground",
        StepLadder => "step_ladder",
        ExtensionLadder => "extension_ladder",
        Roof => "roof",
    }
}

fact! {
    /// A place of the yard.
    Place, PlaceId, "place" {
        code: String,
        name: String,
        parent_id: Option<PlaceId>,
        access: Option<Access>,
        height_mm: Option<Length>,
        map_x_mm: Option<Length>,
        map_y_mm: Option<Length>,
        indoors: bool,
        cautions: Words,
        note: String,
    }
}

fact! {
    /// One place above another: what is dropped at the upper one lands at the lower.
    FallLine, FallLineId, "fall_line" {
        upper_place_id: PlaceId,
        lower_place_id: PlaceId,
    }
}
