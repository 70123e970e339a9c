//! When work happens and who is there.

use chrono::{NaiveDate, NaiveDateTime};

use super::fact::fact;
use super::person::PersonId;
use crate::units::{Speed, Temperature};

fact! {
    /// A stretch of work in local time.
    Session, SessionId, "session" {
        code: String,
        /// Local civil time.
        starts: NaiveDateTime,
        ends: NaiveDateTime,
        work_lights: bool,
        visitor: String,
        forecast_on: Option<NaiveDate>,
        rain: Option<bool>,
        snow: Option<bool>,
        ice: Option<bool>,
        frozen: Option<bool>,
        gust_mms: Option<Speed>,
        low_mc: Option<Temperature>,
        lost: bool,
        note: String,
    }
}

fact! {
    /// Who comes to a session, and when if not for all of it.
    SessionPerson, SessionPersonId, "session_person" {
        session_id: SessionId,
        person_id: PersonId,
        comes: Option<NaiveDateTime>,
        goes: Option<NaiveDateTime>,
    }
}
