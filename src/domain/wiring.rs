//! Circuits, outlets and leads in use.

use chrono::NaiveDate;

use super::cell::choice;
use super::fact::fact;
use super::piece::PieceId;
use super::place::PlaceId;
use super::placement::PlacementId;
use super::season::SeasonId;
use crate::units::{Current, Gauge, Length, Voltage};

fact! {
    /// A mains circuit.
    Circuit, CircuitId, "circuit" {
        code: String,
        name: String,
        breaker_ma: Option<Current>,
        volts_mv: Option<Voltage>,
        note: String,
        /// How its breaker trips at once.
        trip_curve: Option<TripCurve>,
    }
}

fact! {
    /// A mains outlet.
    Outlet, OutletId, "outlet" {
        code: String,
        circuit_id: Option<CircuitId>,
        place_id: Option<PlaceId>,
        residual_group: Option<String>,
        trip_ma: Option<Current>,
        ready_on: Option<NaiveDate>,
        note: String,
    }
}

choice! {
    /// The letter before a breaker's rating: at which multiple it trips at once.
    TripCurve {
        B => "b",
        C => "c",
        D => "d",
    }
}

choice! {
    /// What a lead carries.
    LinkKind {
        Mains => "mains",
        Dc => "dc",
        Data => "data",
        Network => "network",
        Sound => "sound",
    }
}

fact! {
    /// A lead in use, from one end to another.
    Link, LinkId, "link" {
        code: String,
        kind: LinkKind,
        season_id: Option<SeasonId>,
        from_outlet_id: Option<OutletId>,
        from_piece_id: Option<PieceId>,
        from_placement_id: Option<PlacementId>,
        from_port: Option<String>,
        to_piece_id: Option<PieceId>,
        to_placement_id: Option<PlacementId>,
        to_end: Option<String>,
        /// The pixel a feed enters at, counted from the data end.
        at_pixel: Option<i64>,
        lead_id: Option<PieceId>,
        wire: Option<Gauge>,
        length_mm: Option<Length>,
        fuse_ma: Option<Current>,
        colour: String,
        start_universe: Option<i64>,
        start_slot: Option<i64>,
        /// The lid card no longer says the truth.
        card_stale: bool,
        note: String,
        /// Whether its minus meets that of what it goes to: a supply and its box, or a port and the prop's own supply.
        minus_joined: Option<bool>,
        /// Whether a pixel of it may straddle two universes, as its numbers were laid.
        pixel_split: Option<bool>,
        /// Whether the plus rail is cut right before the pixel it enters, so that this feed has its own zone.
        plus_cut: Option<bool>,
    }
}
