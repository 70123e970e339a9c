//! What a meter showed.

use super::cell::Moment;
use super::fact::fact;
use super::fault::FaultId;
use super::piece::PieceId;
use super::season::SeasonId;
use super::wiring::CircuitId;
use crate::units::{Current, Percent};

fact! {
    /// A current read at the load rehearsal; rows are added, never changed.
    MeterReading, MeterReadingId, "meter_reading" {
        /// The derived key of the step.
        step_key: String,
        season_id: SeasonId,
        /// The supply, or the box at its plug.
        piece_id: Option<PieceId>,
        circuit_id: Option<CircuitId>,
        read_ma: Current,
        /// What was computed then; empty where it was not known.
        expected_ma: Option<Current>,
        /// How far it was allowed to differ.
        limit_pct: Percent,
        at_ms: Moment,
        /// The fault that it raised.
        fault_id: Option<FaultId>,
        note: String,
    }
}
