//! Sunrise, sunset and civil twilight on a flat sea-level horizon.

use std::fmt;

use chrono::{DateTime, Datelike, Duration, NaiveDate, NaiveTime, Offset, TimeZone, Utc};
use solar_positioning::{Horizon, Location, SolarEvents, SolarPositions, delta_t};

use crate::calc::source::{Source, Standing};

/// The position of the Sun; the 50 arc minutes of sunrise and the 6 degrees of civil twilight are the usual
/// almanac conventions.
pub const SOURCE: Source = Source {
    title: "Reda and Andreas, Solar position algorithm for solar radiation applications",
    edition: "Solar Energy 76(5), 2004",
    clause: "NREL SPA; horizon -0.833 degrees, civil twilight -6 degrees",
    standing: Standing::Published,
};

/// Years the answer is given for: the slowing of the Earth is known or well foreseen in them.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2100;

/// What one horizon does on one solar day (noon plus and minus 12 hours).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Twilight {
    /// The Sun crosses it; a crossing outside the solar day is missing (first and last day of a polar season).
    Crosses { up: Option<DateTime<Utc>>, down: Option<DateTime<Utc>> },
    /// The Sun stays below it the whole day.
    AlwaysBelow,
    /// The Sun stays above it the whole day.
    AlwaysAbove,
}

/// The light of one date at one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SunTimes {
    /// Upper transit, the middle of the solar day.
    pub noon: DateTime<Utc>,
    /// Sunrise and sunset.
    pub sun: Twilight,
    /// Civil dawn and dusk; dusk may lie after local midnight.
    pub civil: Twilight,
}

impl SunTimes {
    pub fn sunrise(&self) -> Option<DateTime<Utc>> {
        self.sun.up()
    }

    pub fn sunset(&self) -> Option<DateTime<Utc>> {
        self.sun.down()
    }

    /// Start of civil twilight.
    pub fn dawn(&self) -> Option<DateTime<Utc>> {
        self.civil.up()
    }

    /// End of civil twilight.
    pub fn dusk(&self) -> Option<DateTime<Utc>> {
        self.civil.down()
    }

    /// `normal`, `polar_night` or `midnight_sun`.
    pub fn sun_status(&self) -> &'static str {
        match self.sun {
            Twilight::Crosses { .. } => "normal",
            Twilight::AlwaysBelow => "polar_night",
            Twilight::AlwaysAbove => "midnight_sun",
        }
    }

    /// `normal`, `no_civil_twilight` or `civil_all_night`.
    pub fn civil_status(&self) -> &'static str {
        match self.civil {
            Twilight::Crosses { .. } => "normal",
            Twilight::AlwaysBelow => "no_civil_twilight",
            Twilight::AlwaysAbove => "civil_all_night",
        }
    }
}

impl Twilight {
    fn up(self) -> Option<DateTime<Utc>> {
        if let Self::Crosses { up, .. } = self { up } else { None }
    }

    fn down(self) -> Option<DateTime<Utc>> {
        if let Self::Crosses { down, .. } = self { down } else { None }
    }
}

/// Why no light can be told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DaylightError {
    /// Latitude, degrees north: -90 to 90.
    Latitude(f64),
    /// Longitude, degrees east: -180 to 180.
    Longitude(f64),
    /// Year outside 1900 to 2100.
    Year(i32),
    /// The local date has no solar noon (a date that a zone left out).
    NoNoon(NaiveDate),
}

impl DaylightError {
    /// A code that never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Latitude(_) => "daylight.latitude",
            Self::Longitude(_) => "daylight.longitude",
            Self::Year(_) => "daylight.year",
            Self::NoNoon(_) => "daylight.no_noon",
        }
    }
}

impl fmt::Display for DaylightError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Latitude(v) => {
                write!(f, "latitude {v}° is outside -90 to 90°; give degrees north, south as minus")
            }
            Self::Longitude(v) => {
                write!(f, "longitude {v}° is outside -180 to 180°; give degrees east, west as minus")
            }
            Self::Year(v) => write!(f, "year {v} is outside 1900 to 2100; correct the date"),
            Self::NoNoon(date) => write!(f, "{date} has no noon in this zone; check zone and longitude"),
        }
    }
}

impl std::error::Error for DaylightError {}

/// The light of `date` as it is counted in `zone`, at `latitude_deg` north and `longitude_deg` east.
///
/// Horizon flat and at sea level: hills, houses and height above the sea are not seen, and refraction differs from
/// the usual 34 arc minutes by enough to move a polar sunrise by minutes.
pub fn sun_times<Z: TimeZone>(
    latitude_deg: f64,
    longitude_deg: f64,
    date: NaiveDate,
    zone: &Z,
) -> Result<SunTimes, DaylightError> {
    let place = known_place(latitude_deg, longitude_deg, date.year())?;
    let missing = DaylightError::NoNoon(date);
    // The offset in force at midday decides: changes of the clock are made at night.
    let midday = date.and_time(NaiveTime::MIN) + Duration::hours(12);
    let offset = zone.offset_from_local_datetime(&midday).earliest().ok_or(missing)?;
    let midnight = (midday - Duration::hours(12) - offset.fix()).and_utc();
    let delta_t = delta_t::estimate_from_date_like(&date).map_err(|_| missing)?;
    let events = SolarEvents::new();
    let noon = events
        .next_transit(
            &(midnight - Duration::seconds(1)),
            &(midnight + Duration::hours(24)),
            longitude_deg,
            delta_t,
        )
        .ok()
        .flatten()
        .ok_or(missing)?;
    let horizon = |horizon: Horizon| -> Result<Twilight, DaylightError> {
        let (from, to) = (noon - Duration::hours(12), noon + Duration::hours(12));
        let up = events.next_rise(&from, &noon, place, delta_t, horizon).map_err(|_| missing)?;
        let down = events.next_set(&noon, &to, place, delta_t, horizon).map_err(|_| missing)?;
        if up.is_some() || down.is_some() {
            return Ok(Twilight::Crosses { up, down });
        }
        let above = elevation(noon, place, delta_t).ok_or(missing)? > horizon.elevation_angle();
        Ok(if above { Twilight::AlwaysAbove } else { Twilight::AlwaysBelow })
    };
    Ok(SunTimes { noon, sun: horizon(Horizon::SunriseSunset)?, civil: horizon(Horizon::CivilTwilight)? })
}

/// Whether it is darker than civil twilight at a moment: the Sun's centre more than 6° below the horizon.
///
/// One position of the Sun instead of the search for its crossings: for asking about many nights.
///
/// # Errors
/// A place or year outside the range, as [`sun_times`].
pub fn is_dark(latitude_deg: f64, longitude_deg: f64, at: DateTime<Utc>) -> Result<bool, DaylightError> {
    let place = known_place(latitude_deg, longitude_deg, at.year())?;
    let missing = DaylightError::NoNoon(at.date_naive());
    let delta_t = delta_t::estimate_from_date_like(&at.date_naive()).map_err(|_| missing)?;
    let height = elevation(at, place, delta_t).ok_or(missing)?;
    Ok(height < Horizon::CivilTwilight.elevation_angle())
}

fn known_place(latitude_deg: f64, longitude_deg: f64, year: i32) -> Result<Location, DaylightError> {
    if !(-90.0..=90.0).contains(&latitude_deg) {
        return Err(DaylightError::Latitude(latitude_deg));
    }
    if !(-180.0..=180.0).contains(&longitude_deg) {
        return Err(DaylightError::Longitude(longitude_deg));
    }
    if !YEARS.contains(&year) {
        return Err(DaylightError::Year(year));
    }
    Ok(Location { latitude: latitude_deg, longitude: longitude_deg })
}

/// Height of the Sun's centre in degrees, without refraction.
fn elevation(at: DateTime<Utc>, place: Location, delta_t: f64) -> Option<f64> {
    SolarPositions::new().at(&at, place, 0.0, delta_t, None).ok().map(|position| position.elevation_angle())
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::FixedOffset;
    use proptest::prelude::*;

    fn at(lat: f64, lon: f64, day: (i32, u32, u32), hours_east: i32) -> SunTimes {
        let zone = FixedOffset::east_opt(hours_east * 3600).unwrap();
        sun_times(lat, lon, NaiveDate::from_ymd_opt(day.0, day.1, day.2).unwrap(), &zone).unwrap()
    }

    /// Reda and Andreas 2003, table A5.1 example: 39.742476 N, 105.1786 W, 17 October 2003, UTC-7,
    /// sunrise 06:12:43, transit 11:46:05, sunset 17:18:51 (their sea-level horizon of -0.8333 degrees).
    #[test]
    fn worked_example_of_the_paper() {
        let sun = at(39.742_476, -105.178_6, (2003, 10, 17), -7);
        for (got, (h, m, s)) in
            [(sun.sunrise(), (13, 12, 43)), (Some(sun.noon), (18, 46, 5)), (sun.sunset(), (24, 18, 51))]
        {
            let midnight = Utc.with_ymd_and_hms(2003, 10, 17, 0, 0, 0).unwrap();
            let want = midnight + Duration::seconds(i64::from(h * 3600 + m * 60 + s));
            assert!((got.unwrap() - want).num_seconds().abs() <= 3, "{got:?} against {want}");
        }
    }

    #[test]
    fn polar_days_are_said() {
        assert_eq!(at(78.2, 15.6, (2025, 12, 10), 1).sun_status(), "polar_night");
        assert_eq!(at(78.2, 15.6, (2025, 12, 10), 1).civil_status(), "no_civil_twilight");
        assert_eq!(at(78.2, 15.6, (2025, 6, 10), 2).sun_status(), "midnight_sun");
        assert_eq!(at(78.2, 15.6, (2025, 6, 10), 2).civil_status(), "civil_all_night");
    }

    #[test]
    fn what_is_no_place_is_refused() {
        let day = NaiveDate::from_ymd_opt(2026, 11, 28).unwrap();
        assert_eq!(sun_times(91.0, 0.0, day, &Utc).unwrap_err().code(), "daylight.latitude");
        assert_eq!(sun_times(f64::NAN, 0.0, day, &Utc).unwrap_err().code(), "daylight.latitude");
        assert_eq!(sun_times(0.0, -181.0, day, &Utc).unwrap_err().code(), "daylight.longitude");
        let far = NaiveDate::from_ymd_opt(2500, 1, 1).unwrap();
        assert_eq!(sun_times(0.0, 0.0, far, &Utc).unwrap_err().code(), "daylight.year");
    }

    proptest! {
        #[test]
        fn dawn_sunrise_noon_sunset_dusk_come_in_order(
            lat in -66.0..66.0_f64, lon in -180.0..180.0_f64, day in 0_i64..50_000,
        ) {
            let date = NaiveDate::from_ymd_opt(1950, 1, 1).unwrap() + Duration::days(day);
            let zone = FixedOffset::east_opt((lon / 15.0).round() as i32 * 3600).unwrap();
            let sun = sun_times(lat, lon, date, &zone).unwrap();
            prop_assert_eq!(sun.noon.with_timezone(&zone).date_naive(), date);
            let order = [sun.dawn(), sun.sunrise(), Some(sun.noon), sun.sunset(), sun.dusk()];
            let told: Vec<_> = order.into_iter().flatten().collect();
            prop_assert!(told.windows(2).all(|w| w[0] < w[1]), "{told:?}");
            for (turn, dark_after) in [(sun.dawn(), false), (sun.dusk(), true)] {
                let Some(turn) = turn else { continue };
                let dark = |minutes: i64| is_dark(lat, lon, turn + Duration::minutes(minutes)).unwrap();
                prop_assert_eq!((dark(-2), dark(2)), (!dark_after, dark_after), "{}", turn);
            }
        }
    }
}
