//! A told session changed: other times, other people, or none of it.

use super::Desk;
use super::refused;
use super::session::{at_once, check_span, person_called};
use super::session::{read_end, read_start};
use crate::answers::Outlook;
use crate::answers::problem::Problem;
use crate::domain::{
    Cell as _, Fact, PersonId, RowChange, Session, SessionPerson, SessionPersonId, Value, local_time,
};

fn session_coded<'a>(desk: &'a dyn Desk, code: &str) -> Result<&'a Session, Problem> {
    desk.yard().sessions.iter().find(|s| s.code.eq_ignore_ascii_case(code)).ok_or_else(|| {
        refused("no-session", format!("there is no session {code:?}")).hint("ladderday session list")
    })
}

pub(super) fn move_session(
    desk: &mut dyn Desk,
    code: &str,
    starts: &str,
    ends: Option<&str>,
) -> Result<String, Problem> {
    let session = session_coded(desk, code)?;
    let (id, code, length) = (session.id, session.code.clone(), session.ends - session.starts);
    let before = Outlook::say_local(session.starts);
    let forecast = session.forecast_on.is_some() && session.starts.date() != read_start(starts)?.date();
    let starts = read_start(starts)?;
    let ends = ends.map_or(Ok(starts + length), |e| read_end(e, starts))?;
    check_span(desk, starts, ends)?;
    let mut set = vec![("starts", starts.to_value()), ("ends", ends.to_value())];
    // A forecast is of its day.
    if forecast {
        let told = ["forecast_on", "rain", "snow", "ice", "frozen", "gust_mms", "low_mc"];
        set.extend(told.map(|column| (column, Value::Null)));
    }
    // Hours told for one person belong to the old times.
    let mut rows = vec![RowChange::new("session", id.0, set)];
    let told = desk.yard().session_people.iter().filter(|p| p.session_id == id);
    let people: Vec<PersonId> = told.map(|p| p.person_id).collect();
    for p in desk.yard().session_people.iter().filter(|p| p.session_id == id) {
        if p.comes.is_some() || p.goes.is_some() {
            let set = vec![("comes", Value::Null), ("goes", Value::Null)];
            rows.push(RowChange::new("session_person", p.id.0, set));
        }
    }
    let gone = if forecast { "; its forecast was of the other day and is gone" } else { "" };
    let said = format!(
        "Moved session {code} from {before} to {} until {}{gone}{}",
        Outlook::say_local(starts),
        ends.format("%H:%M"),
        at_once(desk, id, (starts, ends), &people)
    );
    desk.write("session-move", &said, rows)?;
    Ok(said)
}

pub(super) fn session_people(desk: &mut dyn Desk, code: &str, people: &[String]) -> Result<String, Problem> {
    let session = session_coded(desk, code)?;
    let (id, code) = (session.id, session.code.clone());
    let mut wanted = Vec::new();
    for name in people {
        let person = person_called(desk, name)?;
        if !wanted.contains(&person) {
            wanted.push(person);
        }
    }
    let at_ms = desk.now().timestamp_millis();
    let told = |p: &&SessionPerson| p.session_id == id;
    let mut rows: Vec<RowChange> = Vec::new();
    for p in desk.yard().session_people.iter().filter(told) {
        if !wanted.contains(&p.person_id) {
            rows.push(RowChange::end("session_person", p.id.0, at_ms));
        }
    }
    for person_id in &wanted {
        let there = desk.yard().session_people.iter().filter(told).any(|p| p.person_id == *person_id);
        if !there {
            let row = SessionPerson {
                id: SessionPersonId(desk.id()),
                ended_at: None,
                session_id: id,
                person_id: *person_id,
                comes: None,
                goes: None,
            };
            rows.push(row.to_row());
        }
    }
    let names: Vec<&str> = wanted
        .iter()
        .filter_map(|id| desk.yard().people.iter().find(|p| p.id == *id))
        .map(|p| p.name.as_str())
        .collect();
    let who = if names.is_empty() { "everybody, as nobody is named".to_owned() } else { names.join(", ") };
    let session = session_coded(desk, &code)?;
    let twice = at_once(desk, id, (session.starts, session.ends), &wanted);
    let said = format!("Session {code}: {who}{twice}");
    if rows.is_empty() {
        return Ok(format!("{said}; that was so already"));
    }
    desk.write("session-people", &said, rows)?;
    Ok(said)
}

pub(super) fn drop_session(desk: &mut dyn Desk, code: &str) -> Result<String, Problem> {
    let session = session_coded(desk, code)?;
    let (id, code, starts, ends) = (session.id, session.code.clone(), session.starts, session.ends);
    let past = local_time(desk.zone(), ends).is_ok_and(|t| t < desk.now());
    if past || desk.yard().ticks.iter().any(|t| t.session_id == Some(id)) {
        return Err(refused("session-begun", format!("session {code} is over or has ticks of its own"))
            .hint("what happened in it stays; move it, or change who comes"));
    }
    let at_ms = desk.now().timestamp_millis();
    let people = desk.yard().session_people.iter().filter(|p: &&SessionPerson| p.session_id == id);
    let mut rows: Vec<RowChange> = people.map(|p| RowChange::end("session_person", p.id.0, at_ms)).collect();
    rows.push(RowChange::end("session", id.0, at_ms));
    let said = format!("Session {code} of {} falls away", Outlook::say_local(starts));
    desk.write("session-drop", &said, rows)?;
    Ok(said)
}
