//! Work at the desk.

use chrono::NaiveDate;

use super::cell::Words;
use super::fact::fact;
use super::placement::PlacementId;
use super::season::SeasonId;
use crate::units::Span;

fact! {
    /// A piece of desk work.
    DeskTask, DeskTaskId, "desk_task" {
        code: String,
        season_id: SeasonId,
        title: String,
        minutes_s: Span,
        placement_id: Option<PlacementId>,
        after_placement: bool,
        due_on: Option<NaiveDate>,
        skills: Words,
        note: String,
    }
}
