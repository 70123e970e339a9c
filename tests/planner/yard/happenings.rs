//! People, sessions, ticks, desk work, duties and faults of the small yards.

use ladderday::domain::{
    DeskTask, DeskTaskId, Duty, DutyId, DutyKind, Fault, FaultId, Moment, Person, PersonId, PieceId,
    PlacementId, Session, SessionId, SessionPerson, SessionPersonId, Tick, TickId, TickKind, Words,
};
use ladderday::steps::StepKey;
use ladderday::units::Span;

use super::{Build, local, utc};

impl Build {
    pub fn person(&mut self, name: &str, skills: &str) -> PersonId {
        let id = PersonId(self.id());
        self.yard.people.push(Person {
            id,
            ended_at: None,
            code: name.to_owned(),
            name: name.to_owned(),
            skills: Words::of(skills),
            mass_g: None,
            note: String::new(),
        });
        id
    }

    /// A session with work lights, of everyone where `who` is empty.
    pub fn session(&mut self, from: &str, to: &str, who: &[PersonId]) -> SessionId {
        let id = SessionId(self.id());
        let plain = Session::plain(id, format!("S{from}"), local(from), local(to));
        self.yard.sessions.push(Session { work_lights: true, ..plain });
        for person_id in who {
            let row = SessionPersonId(self.id());
            self.yard.session_people.push(SessionPerson {
                id: row,
                ended_at: None,
                session_id: id,
                person_id: *person_id,
                comes: None,
                goes: None,
            });
        }
        id
    }

    /// Saturdays and Sundays of October and November before the rehearsal, nine to four, and the rehearsal's and the
    /// first evening.
    pub fn weekends(&mut self, who: &[PersonId]) {
        for date in ["10-24", "10-25", "10-31", "11-01", "11-07", "11-08", "11-14", "11-15", "11-21", "11-22"]
        {
            self.session(&format!("2026-{date}T09:00"), &format!("2026-{date}T16:30"), who);
        }
        self.session("2026-11-23T12:00", "2026-11-23T22:00", who);
        self.session("2026-11-27T16:00", "2026-11-27T19:00", who);
    }

    pub fn tick(&mut self, key: &StepKey, kind: TickKind, at: Option<&str>) -> &mut Tick {
        let id = TickId(self.id());
        let at_ms = at.map(|t| Moment(utc(t).timestamp_millis()));
        self.yard.ticks.push(Tick {
            id,
            ended_at: None,
            step_key: key.as_str().into(),
            kind,
            at_ms,
            began_ms: None,
            person_id: None,
            session_id: None,
            season_id: None,
            placement_id: None,
            recipe_step: String::new(),
            done_count: None,
            of_count: None,
            title: String::new(),
            planned_s: None,
            taken_s: None,
            bunched: false,
            cautions: Words::default(),
            why: String::new(),
        });
        self.yard.ticks.last_mut().unwrap()
    }

    pub fn desk(&mut self, title: &str, minutes: i64, after: Option<PlacementId>) {
        let id = DeskTaskId(self.id());
        let season_id = self.winter();
        self.yard.desk_tasks.push(DeskTask {
            id,
            ended_at: None,
            code: title.to_owned(),
            season_id,
            title: title.to_owned(),
            minutes_s: Span::from_minutes(minutes),
            placement_id: after,
            after_placement: after.is_some(),
            due_on: None,
            skills: Words::default(),
            note: String::new(),
        });
    }

    /// A buried-line request whose answer takes three days.
    pub fn buried_lines(&mut self) {
        let id = DutyId(self.id());
        let season_id = self.winter();
        self.yard.duties.push(Duty {
            id,
            ended_at: None,
            code: "lines".to_owned(),
            season_id,
            title: "Ask for buried lines".to_owned(),
            kind: DutyKind::BuriedLines,
            opens_on: None,
            due_on: None,
            expires_on: None,
            lead_days: Some(3),
            minutes_s: Span::from_minutes(15),
            note: String::new(),
        });
    }

    pub fn fault(&mut self, piece: PieceId) -> FaultId {
        let id = FaultId(self.id());
        self.yard.faults.push(Fault {
            id,
            ended_at: None,
            code: "F1".to_owned(),
            piece_id: Some(piece),
            placement_id: None,
            season_id: None,
            symptom: "dark".to_owned(),
            at_pixel: None,
            segment: None,
            found_ms: Moment(0),
            person_id: None,
            weather: String::new(),
            dark_hours: None,
            note: String::new(),
        });
        id
    }
}
