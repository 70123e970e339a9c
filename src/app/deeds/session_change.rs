//! A told session changed: other times, other people, or none of it.

use super::refused;
use super::session::{read_end, read_start};
use crate::answers::Outlook;
use crate::answers::problem::Problem;
use crate::app::app::App;
use crate::domain::{
    Cell as _, Deed, Fact, PersonId, RowChange, Session, SessionPerson, SessionPersonId, Value, local_time,
};

impl App {
    fn session_coded(&self, code: &str) -> Result<&Session, Problem> {
        self.current.yard.sessions.iter().find(|s| s.code.eq_ignore_ascii_case(code)).ok_or_else(|| {
            refused("no-session", format!("there is no session {code:?}")).hint("ladderday session list")
        })
    }

    pub(super) fn move_session(
        &mut self,
        code: &str,
        starts: &str,
        ends: Option<&str>,
    ) -> Result<String, Problem> {
        let session = self.session_coded(code)?;
        let (id, code, length) = (session.id, session.code.clone(), session.ends - session.starts);
        let before = Outlook::say_local(session.starts);
        let forecast = session.forecast_on.is_some() && session.starts.date() != read_start(starts)?.date();
        let starts = read_start(starts)?;
        let ends = ends.map_or(Ok(starts + length), |e| read_end(e, starts))?;
        self.check_span(starts, ends)?;
        let mut set = vec![("starts", starts.to_value()), ("ends", ends.to_value())];
        // A forecast is of its day.
        if forecast {
            let told = ["forecast_on", "rain", "snow", "ice", "frozen", "gust_mms", "low_mc"];
            set.extend(told.map(|column| (column, Value::Null)));
        }
        // Hours told for one person belong to the old times.
        let mut rows = vec![RowChange::new("session", id.0, set)];
        let told = self.current.yard.session_people.iter().filter(|p| p.session_id == id);
        let people: Vec<PersonId> = told.map(|p| p.person_id).collect();
        for p in self.current.yard.session_people.iter().filter(|p| p.session_id == id) {
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
            self.at_once(id, (starts, ends), &people)
        );
        self.apply(&Deed {
            verb: "session-move",
            what: said.clone(),
            at_ms: self.now().timestamp_millis(),
            rows,
        })?;
        Ok(said)
    }

    pub(super) fn session_people(&mut self, code: &str, people: &[String]) -> Result<String, Problem> {
        let session = self.session_coded(code)?;
        let (id, code) = (session.id, session.code.clone());
        let mut wanted = Vec::new();
        for name in people {
            let person = self.person_called(name)?;
            if !wanted.contains(&person) {
                wanted.push(person);
            }
        }
        let now = self.now();
        let at_ms = self.now().timestamp_millis();
        let told = |p: &&SessionPerson| p.session_id == id;
        let mut rows: Vec<RowChange> = Vec::new();
        for p in self.current.yard.session_people.iter().filter(told) {
            if !wanted.contains(&p.person_id) {
                rows.push(RowChange::end("session_person", p.id.0, at_ms));
            }
        }
        for person_id in &wanted {
            let there =
                self.current.yard.session_people.iter().filter(told).any(|p| p.person_id == *person_id);
            if !there {
                let row = SessionPerson {
                    id: SessionPersonId(self.ids.make(now)),
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
            .filter_map(|id| self.current.yard.people.iter().find(|p| p.id == *id))
            .map(|p| p.name.as_str())
            .collect();
        let who =
            if names.is_empty() { "everybody, as nobody is named".to_owned() } else { names.join(", ") };
        let session = self.session_coded(&code)?;
        let twice = self.at_once(id, (session.starts, session.ends), &wanted);
        let said = format!("Session {code}: {who}{twice}");
        if rows.is_empty() {
            return Ok(format!("{said}; that was so already"));
        }
        self.apply(&Deed { verb: "session-people", what: said.clone(), at_ms, rows })?;
        Ok(said)
    }

    pub(super) fn drop_session(&mut self, code: &str) -> Result<String, Problem> {
        let session = self.session_coded(code)?;
        let (id, code, starts, ends) = (session.id, session.code.clone(), session.starts, session.ends);
        let past = local_time(self.zone(), ends).is_ok_and(|t| t < self.now());
        if past || self.current.yard.ticks.iter().any(|t| t.session_id == Some(id)) {
            return Err(refused("session-begun", format!("session {code} is over or has ticks of its own"))
                .hint("what happened in it stays; move it, or change who comes"));
        }
        let at_ms = self.now().timestamp_millis();
        let people = self.current.yard.session_people.iter().filter(|p: &&SessionPerson| p.session_id == id);
        let mut rows: Vec<RowChange> =
            people.map(|p| RowChange::end("session_person", p.id.0, at_ms)).collect();
        rows.push(RowChange::end("session", id.0, at_ms));
        let said = format!("Session {code} of {} falls away", Outlook::say_local(starts));
        self.apply(&Deed { verb: "session-drop", what: said.clone(), at_ms, rows })?;
        Ok(said)
    }
}
