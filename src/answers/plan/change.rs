//! One thing that could be otherwise in a yard: read, said, and made on a copy.

use chrono::NaiveDateTime;
use uuid::Uuid;

use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::read_local;
use crate::domain::{
    Condition, Person, PersonId, PieceId, PlacementId, Role, Season, Session, SessionId, SessionPerson,
    SessionPersonId, Words, Yard, local_time,
};
use crate::steps::Facts;

/// One thing that could be otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// Another session; everyone comes where nobody is named.
    Session { starts: NaiveDateTime, ends: NaiveDateTime, people: Vec<String>, work_lights: bool },
    /// One more person in a session; without skills where the name is not known.
    Helper { name: String, session: String },
    /// One ladder more of a kind, by its word.
    Ladder { word: String },
    /// A session falls away.
    NoSession { session: String },
    /// A placement left out.
    Hold { code: String },
}

fn wrong(what: impl Into<String>) -> Problem {
    Problem::new(ProblemKind::Use, "bad-what-if", what).hint(
        "write it like: session 2026-11-14T09:00 16:30 with Ann, Bo; helper Ann in S-1114; without S-1114; ladder step_ladder; hold P-014",
    )
}

impl Change {
    /// Reads "session FROM TO (with NAMES) (lights)", "helper NAME in SESSION", "without SESSION", "ladder WORD", "hold CODE".
    ///
    /// # Errors
    /// `bad-what-if` says what can't be read.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let (verb, rest) =
            text.trim().split_once(char::is_whitespace).ok_or_else(|| wrong("nothing is changed"))?;
        let rest = rest.trim();
        match verb {
            "without" => Ok(Self::NoSession { session: rest.to_owned() }),
            "hold" => Ok(Self::Hold { code: rest.to_owned() }),
            "ladder" => Ok(Self::Ladder { word: rest.replace([' ', '-'], "_") }),
            "helper" => {
                let (name, session) =
                    rest.rsplit_once(" in ").ok_or_else(|| wrong("a helper comes in a session"))?;
                Ok(Self::Helper { name: name.trim().to_owned(), session: session.trim().to_owned() })
            }
            "session" => Self::session(rest),
            other => Err(wrong(format!("{other:?} is no change"))),
        }
    }

    fn session(text: &str) -> Result<Self, Problem> {
        let work_lights = text.ends_with(" lights");
        let text = text.strip_suffix(" lights").unwrap_or(text);
        let (times, people) = text.split_once(" with ").unwrap_or((text, ""));
        let (from, to) =
            times.trim().split_once(' ').ok_or_else(|| wrong("a session has a beginning and an end"))?;
        let starts = read_local(from).ok_or_else(|| wrong(format!("{from:?} is no time")))?;
        let ends = read_local(to.trim())
            .or_else(|| {
                let time = chrono::NaiveTime::parse_from_str(to.trim(), "%H:%M").ok()?;
                Some(starts.date().and_time(time))
            })
            .filter(|e| *e > starts)
            .ok_or_else(|| wrong(format!("{to:?} is no time after {from}")))?;
        let people = people.split(',').map(str::trim).filter(|p| !p.is_empty()).map(str::to_owned).collect();
        Ok(Self::Session { starts, ends, people, work_lights })
    }

    /// In words.
    pub fn words(&self) -> String {
        match self {
            Self::Session { starts, ends, people, .. } => {
                let who = if people.is_empty() { "everyone".to_owned() } else { people.join(", ") };
                format!(
                    "a session {} to {} with {who}",
                    starts.format("%Y-%m-%d %H:%M"),
                    ends.format("%H:%M")
                )
            }
            Self::Helper { name, session } => format!("{name} helps in session {session}"),
            Self::Ladder { word } => format!("one {} more", word.replace('_', " ")),
            Self::NoSession { session } => format!("without session {session}"),
            Self::Hold { code } => format!("{code} left out"),
        }
    }

    /// Makes the change in a copy of the yard; `n` numbers what is new.
    pub(super) fn apply(
        &self,
        yard: &mut Yard,
        season: &Season,
        zone: chrono_tz::Tz,
        n: u128,
    ) -> Result<(), Problem> {
        // Ids of what never was: told apart by their number alone.
        let id = |k: u128| Uuid::from_u128((0x1F << 64) + n * 1000 + k);
        let missing = |what: String| Problem::new(ProblemKind::Data, "no-such", what);
        match self {
            Self::Hold { code } => {
                let here = |p: &&crate::domain::Placement| &p.code == code && p.season_id == season.id;
                let found = yard.placements.iter().find(here).map(|p| p.id);
                let first =
                    found.ok_or_else(|| missing(format!("season {} has no prop {code:?}", season.code)))?;
                leave_out(yard, first);
            }
            Self::NoSession { session } => {
                let found = yard.sessions.iter().find(|s| &s.code == session).map(|s| s.id);
                let gone = found.ok_or_else(|| missing(format!("there is no session {session:?}")))?;
                yard.sessions.retain(|s| s.id != gone);
                yard.session_people.retain(|p| p.session_id != gone);
            }
            Self::Ladder { word } => {
                let serves = |p: &&crate::domain::Product| {
                    p.role == Role::Ladder && p.serves_as.as_deref() == Some(word)
                };
                let product = yard.products.iter().find(serves).map(|p| p.id);
                let like = yard.pieces.iter().find(|p| Some(p.product_id) == product).cloned();
                let mut piece = like.ok_or_else(|| {
                    missing(format!("no {word:?} is told: what is not told limits nothing, enter one first"))
                })?;
                piece.id = PieceId(id(0));
                piece.code = format!("MORE-{n}");
                piece.condition = Condition::Good;
                yard.pieces.push(piece);
            }
            Self::Helper { name, session } => {
                let found = yard.sessions.iter().find(|s| &s.code == session).map(|s| s.id);
                let session_id = found.ok_or_else(|| missing(format!("there is no session {session:?}")))?;
                let told = yard.session_people.iter().any(|p| p.session_id == session_id);
                let known = person(yard, name);
                if known.is_some_and(|k| {
                    !told
                        || yard.session_people.iter().any(|p| p.session_id == session_id && p.person_id == k)
                }) {
                    return Err(wrong(format!("{name} comes to {session} already")));
                }
                let person_id = known.unwrap_or(PersonId(id(1)));
                // Where nobody was named everyone comes: naming one must not send the others home.
                let others: Vec<PersonId> =
                    if told { Vec::new() } else { yard.people.iter().map(|p| p.id).collect() };
                if known.is_none() {
                    yard.people.push(Person {
                        id: person_id,
                        ended_at: None,
                        code: name.clone(),
                        name: name.clone(),
                        skills: Words::default(),
                        mass_g: None,
                        note: String::new(),
                    });
                }
                for (k, person_id) in (2_u128..).zip(others.into_iter().chain([person_id])) {
                    yard.session_people.push(comes(SessionPersonId(id(k)), session_id, person_id));
                }
            }
            Self::Session { starts, ends, people, work_lights } => {
                for t in [starts, ends] {
                    local_time(zone, *t).map_err(|e| wrong(e.to_string()))?;
                }
                let session_id = SessionId(id(0));
                for (k, name) in (2_u128..).zip(people) {
                    let who = person(yard, name).ok_or_else(|| missing(format!("{name:?} is not told")))?;
                    yard.session_people.push(comes(SessionPersonId(id(k)), session_id, who));
                }
                let plain = Session::plain(session_id, format!("WHAT-IF-{n}"), *starts, *ends);
                yard.sessions.push(Session { work_lights: *work_lights, ..plain });
            }
        }
        Ok(())
    }
}

/// Takes a placement out of the copy, with what it carries, what it feeds and what leads to it: the rest goes on without
/// it.
fn leave_out(yard: &mut Yard, first: PlacementId) {
    let mut out = vec![first];
    let mut n = 0;
    while let Some(id) = out.get(n).copied() {
        let facts = Facts::new(yard);
        let season = facts.placement(id).map(|p| p.season_id);
        let own = facts.pieces_of(id);
        let fed = season.map(|s| facts.fed_by(s)).unwrap_or_default();
        let fed = fed.iter().filter(|(_, piece)| own.contains(piece)).map(|(fed, _)| *fed);
        let carried = yard.placements.iter().filter(|p| p.carried_by_id == Some(id)).map(|p| p.id);
        let more: Vec<PlacementId> = carried.chain(fed).filter(|p| !out.contains(p)).collect();
        out.extend(more);
        n += 1;
    }
    let gone = |id: Option<PlacementId>| id.is_some_and(|id| out.contains(&id));
    yard.placements.retain(|p| !out.contains(&p.id));
    yard.placement_pieces.retain(|p| !out.contains(&p.placement_id));
    yard.links.retain(|l| !gone(l.to_placement_id) && !gone(l.from_placement_id));
    yard.desk_tasks.retain(|t| !gone(t.placement_id));
}

fn person(yard: &Yard, name: &str) -> Option<PersonId> {
    yard.people.iter().find(|p| p.name == name || p.code == name).map(|p| p.id)
}

fn comes(id: SessionPersonId, session_id: SessionId, person_id: PersonId) -> SessionPerson {
    SessionPerson { id, ended_at: None, session_id, person_id, comes: None, goes: None }
}
