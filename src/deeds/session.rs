//! Sessions: new ones, and a forecast typed in one line.

use std::fmt::Write as _;

use chrono::{Datelike, NaiveDateTime};

use super::Desk;
use super::{mistyped, next_code, refused};
use crate::answers::problem::Problem;
use crate::answers::{Outlook, read_local};
use crate::domain::limit::{AIR_MC, GUST_MMS, LONGEST_SESSION_H, YEARS};
use crate::domain::{
    Fact, PersonId, RowChange, Session, SessionId, SessionPerson, SessionPersonId, Value, local_time,
};
use crate::exchange::sheet::read_day;
use crate::units::{Speed, System, Temperature};

/// A forecast as typed: every part told or not.
#[derive(Debug, Default, PartialEq, Eq)]
struct Typed {
    rain: Option<bool>,
    snow: Option<bool>,
    ice: Option<bool>,
    frozen: Option<bool>,
    gust: Option<Speed>,
    low: Option<Temperature>,
}

/// Reads "rain, gust 25 mph, low 31F, frozen"; "dry" says no rain, snow or ice, "thawed" no frozen ground. What is not
/// said is not told.
fn read_forecast(text: &str, units: System) -> Result<Typed, Problem> {
    let mut typed = Typed::default();
    for part in text.split([',', ';']).map(str::trim).filter(|p| !p.is_empty()) {
        let lower = part.to_lowercase();
        match lower.split_once(char::is_whitespace) {
            None => match lower.as_str() {
                "rain" => typed.rain = Some(true),
                "snow" => typed.snow = Some(true),
                "ice" => typed.ice = Some(true),
                "frozen" => typed.frozen = Some(true),
                "thawed" | "unfrozen" => typed.frozen = Some(false),
                "dry" | "fair" => {
                    for told in [&mut typed.rain, &mut typed.snow, &mut typed.ice] {
                        *told = told.or(Some(false));
                    }
                }
                _ => return Err(unknown(part)),
            },
            Some(("no", "rain")) => typed.rain = Some(false),
            Some(("no", "snow")) => typed.snow = Some(false),
            Some(("no", "ice")) => typed.ice = Some(false),
            Some(("no", "frost") | ("not", "frozen")) => typed.frozen = Some(false),
            Some(("gust" | "gusts" | "wind", rest)) => {
                let gust = Speed::parse(rest, units).map_err(|e| mistyped("bad-forecast", e.to_string()))?;
                let most = Speed::from_mms(GUST_MMS.1);
                if gust > most {
                    let said = format!("a gust of {} is stronger than any storm", gust.show(units));
                    return Err(mistyped("bad-forecast", said).hint(format!(
                        "at most {}; was it another unit? gust 25 mph, gust 11 m/s",
                        most.show(units)
                    )));
                }
                typed.gust = Some(gust);
            }
            Some(("low" | "cold", rest)) => {
                typed.low = Some(read_low(rest, units)?);
            }
            Some(_) => return Err(unknown(part)),
        }
    }
    Ok(typed)
}

/// A temperature with its unit: 31 is frost in one and a hot day in the other.
fn read_low(text: &str, units: System) -> Result<Temperature, Problem> {
    let bare = text.trim().trim_end_matches('°').trim();
    if bare.parse::<f64>().is_ok() {
        return Err(mistyped("bad-forecast", format!("low {bare} has no unit"))
            .hint(format!("write low {bare}F or low {bare}C")));
    }
    let low = Temperature::parse(text, units).map_err(|e| mistyped("bad-forecast", e.to_string()))?;
    if !(AIR_MC.0..=AIR_MC.1).contains(&low.mc()) {
        return Err(mistyped("bad-forecast", format!("a low of {} is no weather", low.show(units)))
            .hint("write it like low 31F or low -2C"));
    }
    Ok(low)
}

fn unknown(part: &str) -> Problem {
    mistyped("bad-forecast", format!("{part:?} is no forecast")).hint(
        "write it like: rain, snow, ice, frozen, gust 25 mph, low 31F; or: dry, thawed, gust 8 mph, low 40F",
    )
}

/// A date and time as typed.
pub(super) fn read_start(text: &str) -> Result<NaiveDateTime, Problem> {
    let how = "write it like 2026-10-17T09:00, or 17 Oct 2026 9:00";
    let told = || match read_day(text) {
        Ok((day, Some(hour))) => Some(day.and_time(hour)),
        _ => None,
    };
    let at = read_local(text)
        .or_else(told)
        .ok_or_else(|| mistyped("bad-time", format!("{text:?} is no time")).hint(how))?;
    in_our_years(at.date()).map_err(|what| mistyped("bad-time", what).hint(how))?;
    Ok(at)
}

/// Refuses a year that nobody plans for, as 26 or 9999.
pub(super) fn in_our_years(day: chrono::NaiveDate) -> Result<(), String> {
    let year = day.year();
    if (YEARS.0..=YEARS.1).contains(&year) {
        return Ok(());
    }
    Err(format!("the year {year} is outside {} to {}", YEARS.0, YEARS.1))
}

/// "16:30" alone is on the day the session starts.
pub(super) fn read_end(text: &str, starts: NaiveDateTime) -> Result<NaiveDateTime, Problem> {
    read_start(text).or_else(|e| {
        chrono::NaiveTime::parse_from_str(text.trim(), "%H:%M")
            .map(|t| starts.date().and_time(t))
            .map_err(|_| e)
    })
}

/// Refuses times that do not exist or exist twice, and an end before the beginning.
pub(super) fn check_span(desk: &dyn Desk, starts: NaiveDateTime, ends: NaiveDateTime) -> Result<(), Problem> {
    for t in [starts, ends] {
        local_time(desk.zone(), t).map_err(|e| refused("no-such-time", e.to_string()))?;
    }
    if ends <= starts {
        return Err(refused("ends-before-start", "the session ends before it begins")
            .hint("give its end after its start"));
    }
    let hours = (ends - starts).num_hours();
    if hours > LONGEST_SESSION_H {
        return Err(refused(
            "bad-time",
            format!("the session lasts {hours} h, at most {LONGEST_SESSION_H} h"),
        )
        .hint("a session is one stretch of work: add one for each day"));
    }
    Ok(())
}

/// "; Ann is in S-1017-0900 at once: ladderday session people …", for whoever was told for a session that overlaps.
pub(super) fn at_once(
    desk: &dyn Desk,
    session: SessionId,
    (starts, ends): (NaiveDateTime, NaiveDateTime),
    people: &[PersonId],
) -> String {
    let yard = desk.yard();
    let overlaps = |s: &&Session| s.id != session && !s.lost && s.starts < ends && starts < s.ends;
    let mut said = String::new();
    for other in yard.sessions.iter().filter(overlaps) {
        let told = yard.session_people.iter().filter(|p| p.session_id == other.id);
        for p in told.filter(|p| people.contains(&p.person_id)) {
            let there = p.comes.unwrap_or(other.starts) < ends && starts < p.goes.unwrap_or(other.ends);
            if let Some(name) = yard.people.iter().find(|x| x.id == p.person_id && there).map(|x| &x.name) {
                let _ = write!(
                    said,
                    "; {name} is in {0} at once: ladderday session people {0} …, or move one",
                    other.code
                );
            }
        }
    }
    said
}

pub(super) fn person_called(desk: &dyn Desk, name: &str) -> Result<PersonId, Problem> {
    let is = |text: &str| text.eq_ignore_ascii_case(name.trim());
    let known = || desk.yard().people.iter().map(|p| p.name.as_str()).collect::<Vec<_>>().join(", ");
    desk.yard().people.iter().find(|p| is(&p.code) || is(&p.name)).map(|p| p.id).ok_or_else(|| {
        refused("no-person", format!("there is nobody called {name:?}")).hint(format!("people: {}", known()))
    })
}

pub(super) fn set_forecast(desk: &mut dyn Desk, code: &str, text: &str) -> Result<String, Problem> {
    let f = read_forecast(text, desk.outlook().units())?;
    let session = desk.yard().sessions.iter().find(|s| s.code == code).map(|s| s.id);
    let night = if code == "tonight" { Some(desk.outlook().tonight()) } else { code.parse().ok() };
    let (table, id) = match (session, night) {
        (Some(id), _) => ("session", id.0),
        (None, Some(day)) => ("night", night_id(desk, day)),
        (None, None) => {
            return Err(refused("no-session", format!("there is no session {code:?}"))
                .hint("ladderday session list; or a night, by its date or as: tonight"));
        }
    };
    let flag = |b: Option<bool>| b.map_or(Value::Null, |b| Value::Int(i64::from(b)));
    let told = f != Typed::default();
    let today = desk.now().with_timezone(&desk.zone()).format("%Y-%m-%d").to_string();
    let mut set = vec![
        ("forecast_on", if told { Value::Text(today) } else { Value::Null }),
        ("rain", flag(f.rain)),
        ("snow", flag(f.snow)),
        ("ice", flag(f.ice)),
        ("frozen", flag(f.frozen)),
        ("gust_mms", f.gust.map_or(Value::Null, |g| Value::Int(g.mms()))),
        ("low_mc", f.low.map_or(Value::Null, |l| Value::Int(l.mc()))),
    ];
    let said = format!("Forecast for {code}: {}", if told { text.trim() } else { "nothing told" });
    if let (None, Some(day)) = (session, night) {
        set.push(("night_on", Value::Text(day.to_string())));
        set.push(("note", Value::Text(String::new())));
    }
    let row = RowChange::new(table, id, set);
    desk.write("session-forecast", &said, vec![row])?;
    Ok(said)
}

/// The row of a night, known or new.
fn night_id(desk: &mut dyn Desk, day: chrono::NaiveDate) -> uuid::Uuid {
    let known = desk.yard().nights.iter().find(|n| n.night_on == day).map(|n| n.id.0);
    known.unwrap_or_else(|| desk.id())
}

pub(super) fn add_session(
    desk: &mut dyn Desk,
    starts: &str,
    ends: &str,
    people: &[String],
    work_lights: bool,
) -> Result<String, Problem> {
    let starts = read_start(starts)?;
    let ends = read_end(ends, starts)?;
    check_span(desk, starts, ends)?;
    let code = format!("S-{}", starts.format("%m%d-%H%M"));
    let code = if desk.yard().sessions.iter().any(|s| s.code == code) {
        next_code(&desk.mark(), "S", desk.yard().sessions.iter().map(|s| s.code.as_str()))
    } else {
        code
    };
    let plain = Session::plain(SessionId(desk.id()), code.clone(), starts, ends);
    let session = Session { work_lights, ..plain };
    let mut rows = vec![session.to_row()];
    let mut coming = Vec::new();
    for name in people {
        let person_id = person_called(desk, name)?;
        coming.push(person_id);
        rows.push(
            SessionPerson {
                id: SessionPersonId(desk.id()),
                ended_at: None,
                session_id: session.id,
                person_id,
                comes: None,
                goes: None,
            }
            .to_row(),
        );
    }
    let twice = at_once(desk, session.id, (starts, ends), &coming);
    let said =
        format!("New session {code}: {} to {}{twice}", Outlook::say_local(starts), ends.format("%H:%M"));
    desk.write("session-add", &said, rows)?;
    Ok(said)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_forecast_is_one_line() {
        let f = read_forecast("rain, gust 25 mph, low 31F, frozen", System::Us).unwrap();
        assert_eq!((f.rain, f.frozen, f.snow), (Some(true), Some(true), None));
        assert_eq!(f.gust, Some(Speed::from_mms(11_176)));
        assert_eq!(f.low.map(|l| l.show(System::Us)), Some("31 °F".to_owned()));
        assert!(read_forecast("stormy", System::Us).is_err());
        assert!(read_forecast("gust strong", System::Us).is_err());
        let dry = read_forecast("dry, snow, thawed", System::Us).unwrap();
        assert_eq!(
            (dry.rain, dry.snow, dry.ice, dry.frozen),
            (Some(false), Some(true), Some(false), Some(false))
        );
    }

    #[test]
    fn what_is_no_weather_is_refused_with_its_remedy() {
        for (text, remedy) in [
            ("gust 900 mph", "at most 201 mph"),
            ("low 31", "low 31F or low 31C"),
            ("low 500F", "low 31F"),
            ("low -99C", "low 31F"),
        ] {
            let problem = read_forecast(text, System::Us).unwrap_err();
            assert!(problem.hints.iter().any(|h| h.contains(remedy)), "{text}: {:?}", problem.hints);
        }
        assert!(read_forecast("gust 150 mph, low -40F", System::Us).is_ok());
    }
}
