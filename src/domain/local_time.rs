//! Local civil time of the site as a moment.

use std::fmt;

use chrono::{DateTime, LocalResult, NaiveDateTime, TimeZone, Utc};
use chrono_tz::Tz;

/// A local time that is no one moment: clocks were put forward over it, or back so that it came twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoSuchTime {
    pub local: NaiveDateTime,
    pub zone: Tz,
    /// Both moments, where it came twice.
    pub readings: Option<(DateTime<Utc>, DateTime<Utc>)>,
}

impl fmt::Display for NoSuchTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let local = self.local.format("%Y-%m-%d %H:%M");
        let Some((first, second)) = self.readings else {
            return write!(
                f,
                "{local} does not exist in {}: clocks were put forward over it; write a time before or after",
                self.zone
            );
        };
        write!(
            f,
            "{local} exists twice in {}: {} or {}; write one of them with its offset",
            self.zone,
            first.with_timezone(&self.zone).format("%H:%M%:z"),
            second.with_timezone(&self.zone).format("%H:%M%:z")
        )
    }
}

impl std::error::Error for NoSuchTime {}

/// The moment of a local time.
///
/// # Errors
/// [`NoSuchTime`] names both readings, or says that there is none.
pub fn local_time(zone: Tz, local: NaiveDateTime) -> Result<DateTime<Utc>, NoSuchTime> {
    match zone.from_local_datetime(&local) {
        LocalResult::Single(t) => Ok(t.with_timezone(&Utc)),
        LocalResult::Ambiguous(a, b) => {
            Err(NoSuchTime { local, zone, readings: Some((a.with_timezone(&Utc), b.with_timezone(&Utc))) })
        }
        LocalResult::None => Err(NoSuchTime { local, zone, readings: None }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> NaiveDateTime {
        NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").unwrap()
    }

    /// US rules: clocks go back on the first Sunday of November, forward on the second of March (IANA zone data).
    #[test]
    fn a_time_that_came_twice_names_both_readings() {
        let zone = Tz::America__New_York;
        let twice = local_time(zone, at("2026-11-01T01:30")).unwrap_err();
        assert!(twice.to_string().contains("01:30-04:00 or 01:30-05:00"), "{twice}");
        let never = local_time(zone, at("2026-03-08T02:30")).unwrap_err();
        assert!(never.readings.is_none());
        assert_eq!(
            local_time(zone, at("2026-11-22T13:00")).unwrap().to_rfc3339(),
            "2026-11-22T18:00:00+00:00"
        );
    }
}
