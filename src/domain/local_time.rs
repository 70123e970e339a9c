//! Local civil time of the site as a moment.

use std::fmt;

use chrono::{DateTime, Duration, FixedOffset, LocalResult, NaiveDateTime, Offset, TimeZone, Utc};
use chrono_tz::Tz;

use super::cell::Moment;

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
            write!(f, "{local} does not exist in {}: clocks were put forward over it", self.zone)?;
            return match self.around() {
                Some((before, after)) => write!(
                    f,
                    "; write {} or {}",
                    before.format("%Y-%m-%d %H:%M%:z"),
                    after.format("%Y-%m-%d %H:%M%:z")
                ),
                None => write!(f, "; write a time before or after"),
            };
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

impl NoSuchTime {
    /// For a time that the clocks were put over: as read by the clock after, and by the clock before, in that order
    /// as moments. No zone has been put forward by more than a day.
    pub fn around(&self) -> Option<(DateTime<Tz>, DateTime<Tz>)> {
        let by = |days: i64| {
            let near = self.local.checked_add_signed(Duration::days(days))?;
            let utc = self.local.checked_sub_offset(self.zone.offset_from_utc_datetime(&near).fix())?;
            Some(self.zone.from_utc_datetime(&utc))
        };
        Some((by(1)?, by(-1)?))
    }
}

/// The zone of a name like `America/New_York`.
pub fn time_zone(name: &str) -> Option<Tz> {
    name.trim().parse().ok()
}

/// A moment on the site's clock; nothing beyond the years that can be told.
pub fn on_clock(moment: Moment, zone: Tz) -> Option<DateTime<FixedOffset>> {
    DateTime::from_timestamp_millis(moment.0).map(|utc| utc.with_timezone(&zone).fixed_offset())
}

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
        assert!(never.to_string().contains("2026-03-08 01:30-05:00 or 2026-03-08 03:30-04:00"), "{never}");
        assert_eq!(
            local_time(zone, at("2026-11-22T13:00")).unwrap().to_rfc3339(),
            "2026-11-22T18:00:00+00:00"
        );
    }
}
