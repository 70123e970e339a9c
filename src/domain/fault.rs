//! Faults and what was done about them.

use super::cell::{Moment, choice};
use super::fact::fact;
use super::person::PersonId;
use super::piece::PieceId;
use super::placement::PlacementId;
use super::product::ProductId;
use super::season::SeasonId;
use crate::units::Span;

fact! {
    /// A fault as it was found.
    Fault, FaultId, "fault" {
        code: String,
        piece_id: Option<PieceId>,
        placement_id: Option<PlacementId>,
        season_id: Option<SeasonId>,
        symptom: String,
        at_pixel: Option<i64>,
        segment: Option<String>,
        found_ms: Moment,
        person_id: Option<PersonId>,
        weather: String,
        dark_hours: Option<i64>,
        note: String,
    }
}

choice! {
    /// What was done about a fault.
    RepairDeed {
        Looked => "looked",
        Patched => "patched",
        SwitchedOff => "switched_off",
        WaitingPart => "waiting_part",
        Mended => "mended",
        Tested => "tested",
        Scrapped => "scrapped",
        Replaced => "replaced",
        Reopened => "reopened",
    }
}

fact! {
    /// What was done about a fault; rows are added.
    RepairEntry, RepairEntryId, "repair_entry" {
        fault_id: FaultId,
        at_ms: Moment,
        deed: RepairDeed,
        cause: Option<String>,
        minutes_s: Option<Span>,
        person_id: Option<PersonId>,
        part_id: Option<ProductId>,
        parts_used: Option<i64>,
        spare_id: Option<PieceId>,
        note: String,
        /// What of the symptom's guide was tried, by its code; empty for other entries.
        tried: String,
        /// What it showed, by its code.
        result: String,
    }
}
