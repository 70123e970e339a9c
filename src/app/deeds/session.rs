//! Sessions: new ones, and a forecast typed in one line.

use chrono::NaiveDateTime;

use super::{mistyped, next_code, refused};
use crate::answers::problem::Problem;
use crate::answers::{Outlook, read_local};
use crate::app::app::App;
use crate::domain::{
    Deed, Fact, PersonId, RowChange, Session, SessionId, SessionPerson, SessionPersonId, Value, local_time,
};
use crate::units::{Speed, System, Temperature};

/// A forecast as typed: every part told or not.
#[derive(Debug, Default, PartialEq, Eq)]
struct Typed {
    rain: bool,
    snow: bool,
    ice: bool,
    frozen: bool,
    gust: Option<Speed>,
    low: Option<Temperature>,
}

/// Reads "rain, gust 25 mph, low 31F, frozen"; "dry" or "fair" says that none of them.
fn read_forecast(text: &str, units: System) -> Result<Typed, Problem> {
    let mut typed = Typed::default();
    for part in text.split([',', ';']).map(str::trim).filter(|p| !p.is_empty()) {
        let lower = part.to_lowercase();
        match lower.split_once(char::is_whitespace) {
            None => match lower.as_str() {
                "rain" => typed.rain = true,
                "snow" => typed.snow = true,
                "ice" => typed.ice = true,
                "frozen" => typed.frozen = true,
                "dry" | "fair" => {}
                _ => return Err(unknown(part)),
            },
            Some(("gust" | "gusts" | "wind", rest)) => {
                typed.gust =
                    Some(Speed::parse(rest, units).map_err(|e| mistyped("bad-forecast", e.to_string()))?);
            }
            Some(("low" | "cold", rest)) => {
                typed.low = Some(
                    Temperature::parse(rest, units).map_err(|e| mistyped("bad-forecast", e.to_string()))?,
                );
            }
            Some(_) => return Err(unknown(part)),
        }
    }
    Ok(typed)
}

fn unknown(part: &str) -> Problem {
    mistyped("bad-forecast", format!("{part:?} is no forecast"))
        .hint("write it like: rain, snow, ice, frozen, gust 25 mph, low 31F; or: fair")
}

/// A date and time as typed.
pub(super) fn read_start(text: &str) -> Result<NaiveDateTime, Problem> {
    read_local(text).ok_or_else(|| {
        mistyped("bad-time", format!("{text:?} is no time")).hint("write it like 2026-10-17T09:00")
    })
}

/// "16:30" alone is on the day the session starts.
pub(super) fn read_end(text: &str, starts: NaiveDateTime) -> Result<NaiveDateTime, Problem> {
    read_start(text).or_else(|e| {
        chrono::NaiveTime::parse_from_str(text.trim(), "%H:%M")
            .map(|t| starts.date().and_time(t))
            .map_err(|_| e)
    })
}

impl App {
    /// Refuses times that do not exist or exist twice, and an end before the beginning.
    pub(super) fn check_span(&self, starts: NaiveDateTime, ends: NaiveDateTime) -> Result<(), Problem> {
        for t in [starts, ends] {
            local_time(self.zone(), t).map_err(|e| refused("no-such-time", e.to_string()))?;
        }
        if ends <= starts {
            return Err(refused("ends-before-start", "the session ends before it begins")
                .hint("give its end after its start"));
        }
        Ok(())
    }

    pub(super) fn person_called(&self, name: &str) -> Result<PersonId, Problem> {
        let is = |text: &str| text.eq_ignore_ascii_case(name.trim());
        let known =
            || self.current.yard.people.iter().map(|p| p.name.as_str()).collect::<Vec<_>>().join(", ");
        self.current.yard.people.iter().find(|p| is(&p.code) || is(&p.name)).map(|p| p.id).ok_or_else(|| {
            refused("no-person", format!("there is nobody called {name:?}"))
                .hint(format!("people: {}", known()))
        })
    }

    pub(super) fn set_forecast(&mut self, code: &str, text: &str) -> Result<String, Problem> {
        let f = read_forecast(text, self.outlook().units())?;
        let session = self.current.yard.sessions.iter().find(|s| s.code == code).map(|s| s.id);
        let night = if code == "tonight" { Some(self.outlook().tonight()) } else { code.parse().ok() };
        let (table, id) = match (session, night) {
            (Some(id), _) => ("session", id.0),
            (None, Some(day)) => ("night", self.night_id(day)),
            (None, None) => {
                return Err(refused("no-session", format!("there is no session {code:?}"))
                    .hint("ladderday session list; or a night, by its date or as: tonight"));
            }
        };
        let flag = |b: bool| Value::Int(i64::from(b));
        let today = self.now().with_timezone(&self.zone()).format("%Y-%m-%d").to_string();
        let mut set = vec![
            ("forecast_on", Value::Text(today)),
            ("rain", flag(f.rain)),
            ("snow", flag(f.snow)),
            ("ice", flag(f.ice)),
            ("frozen", flag(f.frozen)),
            ("gust_mms", f.gust.map_or(Value::Null, |g| Value::Int(g.mms()))),
            ("low_mc", f.low.map_or(Value::Null, |l| Value::Int(l.mc()))),
        ];
        let said =
            format!("Forecast for {code}: {}", if text.trim().is_empty() { "fair" } else { text.trim() });
        if let (None, Some(day)) = (session, night) {
            set.push(("night_on", Value::Text(day.to_string())));
            set.push(("note", Value::Text(String::new())));
        }
        let row = RowChange::new(table, id, set);
        self.apply(&Deed {
            verb: "session-forecast",
            what: said.clone(),
            at_ms: self.now().timestamp_millis(),
            rows: vec![row],
        })?;
        Ok(said)
    }

    /// The row of a night, known or new.
    fn night_id(&mut self, day: chrono::NaiveDate) -> uuid::Uuid {
        let known = self.current.yard.nights.iter().find(|n| n.night_on == day).map(|n| n.id.0);
        let now = self.now();
        known.unwrap_or_else(|| self.ids.make(now))
    }

    pub(super) fn add_session(
        &mut self,
        starts: &str,
        ends: &str,
        people: &[String],
        work_lights: bool,
    ) -> Result<String, Problem> {
        let starts = read_start(starts)?;
        let ends = read_end(ends, starts)?;
        self.check_span(starts, ends)?;
        let now = self.now();
        let code = format!("S-{}", starts.format("%m%d-%H%M"));
        let code = if self.current.yard.sessions.iter().any(|s| s.code == code) {
            next_code(self.store.device(), "S", self.current.yard.sessions.iter().map(|s| s.code.as_str()))
        } else {
            code
        };
        let session = Session {
            id: SessionId(self.ids.make(now)),
            ended_at: None,
            code: code.clone(),
            starts,
            ends,
            work_lights,
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
        };
        let mut rows = vec![session.to_row()];
        for name in people {
            let person_id = self.person_called(name)?;
            rows.push(
                SessionPerson {
                    id: SessionPersonId(self.ids.make(now)),
                    ended_at: None,
                    session_id: session.id,
                    person_id,
                    comes: None,
                    goes: None,
                }
                .to_row(),
            );
        }
        let said = format!("New session {code}: {} to {}", Outlook::say_local(starts), ends.format("%H:%M"));
        self.apply(&Deed {
            verb: "session-add",
            what: said.clone(),
            at_ms: self.now().timestamp_millis(),
            rows,
        })?;
        Ok(said)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_forecast_is_one_line() {
        let f = read_forecast("rain, gust 25 mph, low 31F, frozen", System::Us).unwrap();
        assert!(f.rain && f.frozen && !f.snow);
        assert_eq!(f.gust, Some(Speed::from_mms(11_176)));
        assert_eq!(f.low.map(|l| l.show(System::Us)), Some("31 °F".to_owned()));
        assert!(read_forecast("stormy", System::Us).is_err());
        assert!(read_forecast("gust strong", System::Us).is_err());
    }
}
