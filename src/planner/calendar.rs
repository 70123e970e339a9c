//! Sessions as moments: who is there when, in which light, under which forecast.

use std::collections::BTreeMap;

use chrono::{DateTime, Datelike, Duration, DurationRound, NaiveDate, NaiveDateTime, Offset, TimeZone, Utc};
use chrono_tz::Tz;

use crate::calc::daylight::{SunTimes, sun_times};
use crate::domain::{PersonId, Session, SessionId, Yard, local_time};
use crate::steps::{Light, Limits};
use crate::units::{Speed, System, Temperature};

/// One person in one session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attendance {
    pub person: PersonId,
    pub name: String,
    pub skills: Vec<String>,
    pub from: DateTime<Utc>,
    pub to: DateTime<Utc>,
    /// They stay for the whole session.
    pub whole: bool,
}

/// A forecast typed in for a session; nothing where a part was not told.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Forecast {
    pub rain: Option<bool>,
    pub snow: Option<bool>,
    pub ice: Option<bool>,
    pub frozen: Option<bool>,
    pub gust: Option<Speed>,
    pub low: Option<Temperature>,
}

/// A limit of a step that a forecast breaks, with both figures where it has them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Broken {
    TooCold { low: Temperature, limit: Temperature },
    TooWindy { gust: Speed, limit: Speed },
    Wet,
    Frozen,
}

impl Broken {
    pub fn word(self) -> &'static str {
        match self {
            Self::TooCold { .. } => "too cold",
            Self::TooWindy { .. } => "too windy",
            Self::Wet => "wet",
            Self::Frozen => "ground frozen",
        }
    }

    /// "too windy: gust 18 mph, limit 15 mph".
    pub fn say(self, units: System) -> String {
        let figures = match self {
            Self::TooCold { low, limit } => format!("low {}, limit {}", low.show(units), limit.show(units)),
            Self::TooWindy { gust, limit } => {
                format!("gust {}, limit {}", gust.show(units), limit.show(units))
            }
            Self::Wet => "rain, snow or ice, limit dry".to_owned(),
            Self::Frozen => "limit unfrozen ground".to_owned(),
        };
        format!("{}: {figures}", self.word())
    }
}

impl Forecast {
    /// The first limit of a step that this forecast breaks.
    pub fn breaks(&self, limits: &Limits) -> Option<Broken> {
        let cold = limits.min.zip(self.low).filter(|(limit, low)| low < limit);
        let windy = limits.max_gust.zip(self.gust).filter(|(limit, gust)| gust > limit);
        if let Some((limit, low)) = cold {
            Some(Broken::TooCold { low, limit })
        } else if let Some((limit, gust)) = windy {
            Some(Broken::TooWindy { gust, limit })
        } else if limits.dry && [self.rain, self.snow, self.ice].contains(&Some(true)) {
            Some(Broken::Wet)
        } else if limits.unfrozen && self.frozen == Some(true) {
            Some(Broken::Frozen)
        } else {
            None
        }
    }
}

/// One session in moments.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionSpan {
    pub id: SessionId,
    pub code: String,
    pub from: DateTime<Utc>,
    pub to: DateTime<Utc>,
    pub work_lights: bool,
    pub people: Vec<Attendance>,
    /// Nothing where the site's position is not told: then light limits nothing.
    pub light: Option<SunTimes>,
    pub forecast: Option<Forecast>,
    /// How cold a night of that month is assumed to be, for what cures, where no forecast tells.
    pub usual_low: Temperature,
}

/// The sessions that can be planned, in order, and the zone their local times are in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Calendar {
    pub zone: Tz,
    pub sessions: Vec<SessionSpan>,
    /// Faults of single sessions: a time that does not exist, an end before the beginning.
    pub faults: Vec<String>,
}

impl Calendar {
    /// Sessions that end after `from` and begin before `until`, lost ones left out, overlapping ones kept as told.
    pub fn new(yard: &Yard, from: DateTime<Utc>, until: Option<DateTime<Utc>>) -> Self {
        let site = yard.sites.first();
        let zone = site.and_then(|s| s.time_zone.as_deref()).and_then(|z| z.parse().ok()).unwrap_or(Tz::UTC);
        let position = site.and_then(|s| s.latitude_udeg.zip(s.longitude_udeg));
        let mut faults = Vec::new();
        let mut sessions: Vec<SessionSpan> = Vec::new();
        for session in yard.sessions.iter().filter(|s| !s.lost) {
            let (start, end) = match (local_time(zone, session.starts), local_time(zone, session.ends)) {
                (Ok(start), Ok(end)) if start < end => (start, end),
                (Ok(_), Ok(_)) => {
                    faults.push(format!("session {} ends before it begins; correct its times", session.code));
                    continue;
                }
                (Err(e), _) | (_, Err(e)) => {
                    faults.push(format!("session {}: {e}", session.code));
                    continue;
                }
            };
            if end <= from || until.is_some_and(|u| start >= u) {
                continue;
            }
            let light = position
                .and_then(|(lat, lon)| light_of(zone, lat.degrees(), lon.degrees(), session.starts.date()));
            sessions.push(SessionSpan {
                id: session.id,
                code: session.code.clone(),
                from: start,
                to: end,
                work_lights: session.work_lights,
                people: people(yard, zone, session, start, end),
                light,
                forecast: forecast(session),
                usual_low: usual_low(position.map(|(lat, _)| lat.degrees()), session.starts.month()),
            });
        }
        faults.extend(at_once(yard, &sessions));
        sessions.sort_by(|a, b| (a.from, a.to, &a.code).cmp(&(b.from, b.to, &b.code)));
        Self { zone, sessions, faults }
    }

    /// A local civil time of this yard as a moment; the earlier reading of a time that exists twice, the next that
    /// exists of one that does not: for dates of a season, where a session would be refused.
    pub fn moment(&self, local: NaiveDateTime) -> DateTime<Utc> {
        lenient_moment(self.zone, local)
    }

    /// A moment in the yard's local time.
    pub fn local(&self, at: DateTime<Utc>) -> NaiveDateTime {
        at.with_timezone(&self.zone).naive_local()
    }

    /// The stretches of a session in which a step of that light may lie.
    pub fn lit(session: &SessionSpan, light: Light) -> Vec<(DateTime<Utc>, DateTime<Utc>)> {
        let whole = vec![(session.from, session.to)];
        let Some(sun) = session.light else { return whole };
        let cut = |status: &str, always: &str, up: Option<DateTime<Utc>>, down: Option<DateTime<Utc>>| {
            if status == always {
                return vec![(session.from, session.to)];
            }
            match (up, down) {
                (Some(up), Some(down)) if status == "normal" => {
                    vec![(session.from.max(ceil_minute(up)), session.to.min(floor_minute(down)))]
                }
                _ => Vec::new(),
            }
        };
        let twilight = || cut(sun.civil_status(), "civil_all_night", sun.dawn(), sun.dusk());
        let stretches = match light {
            Light::Indoors => whole,
            Light::Day => cut(sun.sun_status(), "midnight_sun", sun.sunrise(), sun.sunset()),
            Light::Twilight => twilight(),
            Light::Lamp if session.work_lights => whole,
            Light::Lamp => twilight(),
            Light::Dark => match (sun.civil_status(), sun.dawn(), sun.dusk()) {
                ("no_civil_twilight", _, _) => whole,
                ("normal", Some(dawn), Some(dusk)) => vec![
                    (session.from, session.to.min(floor_minute(dawn))),
                    (session.from.max(ceil_minute(dusk)), session.to),
                ],
                _ => Vec::new(),
            },
        };
        stretches.into_iter().filter(|(a, b)| a < b).collect()
    }
}

/// Nights of each month from January on, north of the tropics, in degrees Celsius: on the cold side of mild. Common
/// practice, no published source: a forecast goes before it.
const NIGHTS_C: [i64; 12] = [0, 0, 5, 10, 15, 20, 20, 20, 15, 10, 5, 0];
const TROPICS_DEG: f64 = 25.0;

/// Whoever is told by name for two sessions that overlap.
fn at_once(yard: &Yard, sessions: &[SessionSpan]) -> Vec<String> {
    let told: Vec<(&SessionSpan, &Attendance)> = sessions
        .iter()
        .filter(|s| yard.session_people.iter().any(|p| p.session_id == s.id))
        .flat_map(|s| s.people.iter().map(move |a| (s, a)))
        .collect();
    let mut said = Vec::new();
    for (i, (one, a)) in told.iter().enumerate() {
        let clash = |(s, b): &&(&SessionSpan, &Attendance)| {
            s.id != one.id && a.person == b.person && a.from < b.to && b.from < a.to
        };
        said.extend(told.iter().skip(i + 1).filter(clash).map(|(other, _)| {
            format!(
                "{} is told for {} and {} at once: session people, or session move",
                a.name, one.code, other.code
            )
        }));
    }
    said
}

/// By month and place; as in the north where no position is told.
fn usual_low(latitude: Option<f64>, month: u32) -> Temperature {
    let latitude = latitude.unwrap_or(45.0);
    let half_a_year = if latitude < 0.0 { 6 } else { 0 };
    let night = NIGHTS_C.get((month as usize + 11 + half_a_year) % 12).copied().unwrap_or(0);
    Temperature::from_mc(if latitude.abs() < TROPICS_DEG { 20_000 } else { night * 1000 })
}

/// A local time read leniently, for season dates.
pub(crate) fn lenient_moment(zone: Tz, local: NaiveDateTime) -> DateTime<Utc> {
    let mut at = local;
    for _ in 0..8 {
        if let Some(t) = zone.from_local_datetime(&at).earliest() {
            return t.with_timezone(&Utc);
        }
        at += Duration::minutes(30);
    }
    Utc.from_utc_datetime(&local)
}

fn light_of(zone: Tz, latitude: f64, longitude: f64, date: NaiveDate) -> Option<SunTimes> {
    let noon = lenient_moment(zone, date.and_hms_opt(12, 0, 0)?);
    let offset = zone.offset_from_utc_datetime(&noon.naive_utc()).fix();
    sun_times(latitude, longitude, date, &offset).ok()
}

fn ceil_minute(t: DateTime<Utc>) -> DateTime<Utc> {
    let begun = floor_minute(t);
    if begun == t { t } else { begun + Duration::minutes(1) }
}

fn floor_minute(t: DateTime<Utc>) -> DateTime<Utc> {
    // To the last nanosecond: the sun rises at no whole one.
    t.duration_trunc(Duration::minutes(1)).unwrap_or(t)
}

/// Who comes; where nobody was told for a session, everyone who is told at all.
fn people(
    yard: &Yard,
    zone: Tz,
    session: &Session,
    from: DateTime<Utc>,
    to: DateTime<Utc>,
) -> Vec<Attendance> {
    let by_id: BTreeMap<PersonId, _> = yard.people.iter().map(|p| (p.id, p)).collect();
    let told: Vec<_> = yard.session_people.iter().filter(|sp| sp.session_id == session.id).collect();
    let mut all: Vec<Attendance> = if told.is_empty() {
        by_id.values().map(|p| (*p, from, to, true)).map(attendance).collect()
    } else {
        told.into_iter()
            .filter_map(|sp| {
                let person = by_id.get(&sp.person_id)?;
                let comes = sp.comes.and_then(|c| local_time(zone, c).ok()).map_or(from, |c| c.max(from));
                let goes = sp.goes.and_then(|g| local_time(zone, g).ok()).map_or(to, |g| g.min(to));
                let whole = comes == from && goes == to;
                (comes < goes).then(|| attendance((*person, comes, goes, whole)))
            })
            .collect()
    };
    all.sort_by(|a, b| (&a.name, a.person, a.from).cmp(&(&b.name, b.person, b.from)));
    all
}

fn attendance(
    (person, from, to, whole): (&crate::domain::Person, DateTime<Utc>, DateTime<Utc>, bool),
) -> Attendance {
    Attendance {
        person: person.id,
        name: person.name.clone(),
        skills: person.skills.iter().map(str::to_owned).collect(),
        from,
        to,
        whole,
    }
}

fn forecast(session: &Session) -> Option<Forecast> {
    let f = Forecast {
        rain: session.rain,
        snow: session.snow,
        ice: session.ice,
        frozen: session.frozen,
        gust: session.gust_mms,
        low: session.low_mc,
    };
    (f != Forecast::default()).then_some(f)
}
