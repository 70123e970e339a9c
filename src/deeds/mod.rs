//! What a person does, one file a kind of deed: worked out from the facts, and handed to the one door that writes.
//!
//! A deed is done on a [`Desk`]: the facts as they are now, ids, and that door. Not here: the file, the clock and the
//! search for plans (`app`), what screens show (`answers`).

pub mod ask;
mod carry_over;
mod count;
mod dark;
mod differently;
mod edit;
mod fault;
mod mending;
mod need;
mod numbers;
mod offer;
mod order;
mod prop;
mod reading;
mod refusal;
mod season;
mod session;
mod session_change;
mod start;
mod takedown;
mod tell;
mod tick;
mod time;
mod tote;

use std::sync::Arc;

use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use uuid::Uuid;

pub use self::edit::edit_of;
pub use self::mending::fault_by_code;
pub use self::order::vendor_by_code;
pub use self::refusal::{mistyped, refuse, refused};
pub use self::tick::{find_step, full_title, tick_rows};
use crate::answers::problem::Problem;
use crate::answers::{Outlook, zone_of};
use crate::deeds::ask::Ask;
use crate::domain::{Deed, RowChange, TickKind, Yard};
use crate::planner::Plan;
use crate::steps::StepKey;

/// Where deeds are done. What a deed reads it reads here, and it writes through [`Desk::apply`] alone.
pub trait Desk {
    /// The facts as they are now, with the moment and the season.
    fn outlook(&self) -> Outlook<'_>;

    /// The facts with those that have ended.
    ///
    /// # Errors
    /// What the file says where it can't be read.
    fn whole_yard(&self) -> Result<Yard, Problem>;

    /// Which yard this is, on all its copies.
    fn yard_id(&self) -> Uuid;

    /// The letters of new codes on a lent copy; none at home.
    fn mark(&self) -> String;

    /// A new id, later than all before it.
    fn id(&mut self) -> Uuid;

    /// Writes a deed and takes in what it changed; whether it changed anything.
    ///
    /// # Errors
    /// What the file refuses; then nothing was written.
    fn apply(&mut self, deed: &Deed) -> Result<bool, Problem>;

    /// What this copy remembers under a name; it is no fact.
    fn remembered(&self, name: &str) -> Option<String>;

    /// Remembers it on this copy.
    ///
    /// # Errors
    /// What the file refuses.
    fn remember(&mut self, name: &str, value: &str) -> Result<(), Problem>;

    /// The plan of building up, where one can be made.
    fn build_plan(&mut self) -> Option<Arc<Plan>>;

    /// Keeps the list that is walked, before something new comes into it.
    ///
    /// # Errors
    /// What the file refuses.
    fn keep_walked(&mut self, key: Option<&StepKey>) -> Result<(), Problem>;
}

impl dyn Desk + '_ {
    fn yard(&self) -> &Yard {
        self.outlook().yard
    }

    fn now(&self) -> DateTime<Utc> {
        self.outlook().now
    }

    fn zone(&self) -> Tz {
        zone_of(self.yard())
    }

    /// Writes what a deed came to as one entry, in the words that the journal keeps.
    fn write(&mut self, verb: &'static str, what: &str, rows: Vec<RowChange>) -> Result<bool, Problem> {
        let at_ms = self.now().timestamp_millis();
        self.apply(&Deed { verb, what: what.to_owned(), at_ms, rows })
    }
}

/// Does a deed that facts alone decide, and says in one line what was done; nothing where it is none of these.
///
/// # Errors
/// What is refused and why.
pub fn perform(desk: &mut dyn Desk, ask: &Ask) -> Option<Result<String, Problem>> {
    Some(match ask {
        Ask::Tick { key, kind, count, why } => tick::tick(desk, key, *kind, *count, why.as_deref()),
        Ask::Alone { keys } => {
            let said = keys.iter().map(|key| tick::confirm_alone(desk, key)).collect::<Result<Vec<_>, _>>();
            said.map(|said| said.join("\n"))
        }
        Ask::TickAll { keys } => tick::tick_all(desk, keys),
        Ask::DoneDifferently { key, what, text } => differently::done_differently(desk, key, *what, text),
        Ask::Note { key, text } => tick::tick(desk, key, TickKind::Note, None, Some(text)),
        Ask::LogFault(new) => fault::log_fault(desk, new),
        Ask::LogDark { target, lasted, why, night } => {
            dark::log_dark(desk, target, lasted, why, night.as_deref())
        }
        Ask::FaultPiece { fault, piece } => fault::fault_piece(desk, fault, piece),
        Ask::Repair(new) => fault::repair(desk, new),
        Ask::ReplaceBySpare { fault, spare, note } => mending::replace_by_spare(desk, fault, spare, note),
        Ask::Edit { table, id, column, text } => tell::edit(desk, table, *id, column, text),
        Ask::Tell { kind, code, cells } => tell::tell_fact(desk, kind, code.as_deref(), cells),
        Ask::Start { question, text } => start::answer_start(desk, *question, text),
        Ask::End { kind, code, why } => tell::end_fact(desk, kind, code, why.as_deref()),
        Ask::Forecast { session, text } => session::set_forecast(desk, session, text),
        Ask::AddSession { starts, ends, people, work_lights } => {
            session::add_session(desk, starts, ends, people, *work_lights)
        }
        Ask::MoveSession { session, starts, ends } => {
            session_change::move_session(desk, session, starts, ends.as_deref())
        }
        Ask::SessionPeople { session, people } => session_change::session_people(desk, session, people),
        Ask::DropSession { session } => session_change::drop_session(desk, session),
        Ask::AddProp { line } => prop::add_prop(desk, line),
        Ask::AddNeed { title, quantity, need_by } => {
            need::add_need(desk, title, *quantity, need_by.as_deref())
        }
        Ask::Order { vendor } => order::order(desk, vendor),
        Ask::Receive { order, lines, into } => order::receive(desk, order, lines, into.as_deref()),
        Ask::ExpectOrder { order, on } => order::expect_order(desk, order, on),
        Ask::AddOffer(new) => offer::add_offer(desk, new),
        Ask::LoggedBy { person } => fault::logged_by(desk, person),
        Ask::AnswerGuide { fault, tried, result, note } => {
            fault::answer_guide(desk, fault, tried, result, note)
        }
        Ask::CorrectTime { key, ticked_ms, minutes, why } => {
            time::correct_time(desk, key, *ticked_ms, *minutes, why)
        }
        Ask::HoldPlacement { code, why } => season::hold_placement(desk, code, why.as_deref()),
        Ask::NewSeason { code, name, lights_on } => {
            season::new_season(desk, code, name, lights_on.as_deref())
        }
        Ask::CloseSeason { code, keep, next } => season::close_season(desk, code, *keep).and_then(|closed| {
            let Some((next, on)) = next else { return Ok(closed) };
            Ok(format!("{closed}. {}", season::new_season(desk, next, "", on.as_deref())?))
        }),
        Ask::WriteNumbers { way } => numbers::write_numbers(desk, *way),
        Ask::ReadMeter { key, readings, done, why } => {
            reading::read_meter(desk, key, readings, *done, why.as_deref())
        }
        Ask::CameOff { key, how, pieces, many } => takedown::came_off(desk, key, *how, pieces, *many),
        Ask::PutInto { tote, pieces } => tote::put_into(desk, tote, pieces),
        Ask::TakeOut { pieces } => tote::take_out(desk, pieces),
        Ask::CountTote { tote, missing, found, part, lots } => {
            count::count_tote(desk, tote, missing, found, (*part, lots))
        }
        Ask::WritePack => tote::write_pack(desk),
        // Files, searches, the journal itself.
        Ask::Paper { .. }
        | Ask::Import { .. }
        | Ask::DecideConflict { .. }
        | Ask::AddPhoto { .. }
        | Ask::KeepPlan { .. }
        | Ask::Undo
        | Ask::Redo => return None,
    })
}

/// The next free code of a series: `F-007` at home, `F-B007` on lent copy B.
fn next_code<'a>(mark: &str, letter: &str, codes: impl Iterator<Item = &'a str>) -> String {
    let prefix = format!("{letter}-{mark}");
    let last = codes.filter_map(|c| c.strip_prefix(&prefix)?.parse::<u32>().ok()).max().unwrap_or(0);
    format!("{prefix}{:03}", last + 1)
}

/// A day as typed.
fn read_day(text: &str) -> Result<chrono::NaiveDate, Problem> {
    let read = crate::exchange::sheet::read_day(text);
    read.map(|(day, _)| day)
        .map_err(|(_, what, remedy)| mistyped("bad-date", format!("{text:?}: {what}")).hint(remedy))
}
