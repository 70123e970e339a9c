//! What happened to steps.

use std::sync::Arc;

use super::cell::{Moment, Words, choice};
use super::fact::fact;
use super::person::PersonId;
use super::placement::PlacementId;
use super::season::SeasonId;
use super::session::SessionId;
use crate::units::Span;

choice! {
    /// What happened to a step.
    TickKind {
        Start => "start",
        Done => "done",
        Count => "count",
        Hold => "hold",
        Skip => "skip",
        Reopen => "reopen",
        /// Says something of the step and changes nothing of its state.
        Note => "note",
    }
}

fact! {
    /// One event of a step; rows are added, never changed.
    Tick, TickId, "tick" {
        /// The derived key of the step.
        step_key: Arc<str>,
        kind: TickKind,
        /// When; empty where no time is known.
        at_ms: Option<Moment>,
        began_ms: Option<Moment>,
        person_id: Option<PersonId>,
        session_id: Option<SessionId>,
        season_id: Option<SeasonId>,
        placement_id: Option<PlacementId>,
        /// Code of the recipe step, for learned durations.
        recipe_step: String,
        done_count: Option<i64>,
        of_count: Option<i64>,
        title: String,
        planned_s: Option<Span>,
        taken_s: Option<Span>,
        bunched: bool,
        cautions: Words,
        why: String,
    }
}

fact! {
    /// The time of a ticked step put right afterwards; of several the last one holds.
    TimeCorrection, TimeCorrectionId, "time_correction" {
        step_key: String,
        /// When it was ticked.
        ticked_ms: Moment,
        at_ms: Moment,
        /// What it really took; nothing where no time is known.
        taken_s: Option<Span>,
        why: String,
    }
}
