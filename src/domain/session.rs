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

impl Session {
    /// One of which nothing but its hours is told.
    pub fn plain(id: SessionId, code: String, starts: NaiveDateTime, ends: NaiveDateTime) -> Self {
        Self {
            id,
            ended_at: None,
            code,
            starts,
            ends,
            work_lights: false,
            visitor: String::new(),
            forecast_on: None,
            rain: None,
            snow: None,
            ice: None,
            frozen: None,
            gust_mms: None,
            low_mc: None,
            lost: false,
            note: String::new(),
        }
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
