//! Nights of a season: their forecast, and what stayed dark.

use chrono::NaiveDate;

use super::cell::Moment;
use super::fact::fact;
use super::placement::PlacementId;
use super::season::SeasonId;
use crate::units::{Span, Speed, Temperature};

fact! {
    /// The forecast of one night, session or not.
    Night, NightId, "night" {
        night_on: NaiveDate,
        forecast_on: Option<NaiveDate>,
        rain: Option<bool>,
        snow: Option<bool>,
        ice: Option<bool>,
        frozen: Option<bool>,
        gust_mms: Option<Speed>,
        low_mc: Option<Temperature>,
        note: String,
    }
}

fact! {
    /// A stretch in which the show, or one prop, stayed dark; rows are added.
    DarkTime, DarkTimeId, "dark_time" {
        season_id: SeasonId,
        /// Nothing: the whole show.
        placement_id: Option<PlacementId>,
        night_on: NaiveDate,
        dark_s: Span,
        at_ms: Moment,
        why: String,
    }
}
