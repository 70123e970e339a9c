//! What a person does, one file a kind of deed; each is one entry of the journal.
//!
//! Not here: what screens show (`pages`), SQL (`store`).

mod carry_over;
mod count;
mod dark;
mod differently;
mod edit;
mod fault;
mod history;
mod mending;
mod need;
mod numbers;
mod offer;
mod order;
mod paper;
mod photo;
mod prop;
mod reading;
mod season;
mod session;
mod session_change;
mod start;
mod takedown;
mod tell;
mod tick;
mod time;
mod tote;

pub use paper::{PaperTick, PaperTicks, Takes};

use super::app::App;
use super::ask::Ask;
use super::done::Done;
use super::import::ImportChoices;
use super::planning::THOROUGH;
use crate::answers::problem::{Problem, ProblemKind};

impl App {
    /// Does a deed and saves it. What comes back is said once it is on disk.
    ///
    /// # Errors
    /// What is refused and why; then nothing was written.
    pub fn perform(&mut self, ask: &Ask) -> Result<Done, Problem> {
        match ask {
            // A plan is searched for first; it is no entry of the journal.
            Ask::KeepPlan { phase } => Ok(Done::only(self.keep_plan(*phase, THOROUGH)?)),
            _ => self.told(|app| app.do_it(ask)),
        }
    }

    fn do_it(&mut self, ask: &Ask) -> Result<String, Problem> {
        match ask {
            Ask::Tick { key, kind, count, why } => self.tick(key, *kind, *count, why.as_deref()),
            Ask::Alone { keys } => {
                let said = keys.iter().map(|key| self.confirm_alone(key)).collect::<Result<Vec<_>, _>>()?;
                Ok(said.join("\n"))
            }
            Ask::TickAll { keys } => self.tick_all(keys),
            Ask::DoneDifferently { key, what, text } => self.done_differently(key, *what, text),
            Ask::Paper { sheet, numbers } => self.take_paper(sheet, numbers),
            Ask::Note { key, text } => self.tick(key, crate::domain::TickKind::Note, None, Some(text)),
            Ask::LogFault(new) => self.log_fault(new),
            Ask::LogDark { target, lasted, why, night } => {
                self.log_dark(target, lasted, why, night.as_deref())
            }
            Ask::FaultPiece { fault, piece } => self.fault_piece(fault, piece),
            Ask::Repair(new) => self.repair(new),
            Ask::ReplaceBySpare { fault, spare, note } => self.replace_by_spare(fault, spare, note),
            Ask::Edit { table, id, column, text } => self.edit(table, *id, column, text),
            Ask::Tell { kind, code, cells } => self.tell_fact(kind, code.as_deref(), cells),
            Ask::Start { question, text } => self.answer_start(*question, text),
            Ask::End { kind, code, why } => self.end_fact(kind, code, why.as_deref()),
            Ask::Forecast { session, text } => self.set_forecast(session, text),
            Ask::AddSession { starts, ends, people, work_lights } => {
                self.add_session(starts, ends, people, *work_lights)
            }
            Ask::MoveSession { session, starts, ends } => self.move_session(session, starts, ends.as_deref()),
            Ask::SessionPeople { session, people } => self.session_people(session, people),
            Ask::DropSession { session } => self.drop_session(session),
            Ask::AddProp { line } => self.add_prop(line),
            Ask::Import { paths, columns } => {
                let paths: Vec<std::path::PathBuf> = paths.iter().map(std::path::PathBuf::from).collect();
                let how = ImportChoices { columns: columns.clone(), ..ImportChoices::default() };
                Ok(self.import_as(&paths, &how)?.said)
            }
            Ask::DecideConflict { code, value } => self.decide_conflict(code, value),
            Ask::AddNeed { title, quantity, need_by } => self.add_need(title, *quantity, need_by.as_deref()),
            Ask::Order { vendor } => self.order(vendor),
            Ask::Receive { order, lines, into } => self.receive(order, lines, into.as_deref()),
            Ask::ExpectOrder { order, on } => self.expect_order(order, on),
            Ask::AddOffer(new) => self.add_offer(new),
            Ask::LoggedBy { person } => self.logged_by(person),
            Ask::AddPhoto { fault, path } => self.add_photo(fault, path),
            Ask::AnswerGuide { fault, tried, result, note } => self.answer_guide(fault, tried, result, note),
            Ask::CorrectTime { key, ticked_ms, minutes, why } => {
                self.correct_time(key, *ticked_ms, *minutes, why)
            }
            Ask::HoldPlacement { code, why } => self.hold_placement(code, why.as_deref()),
            Ask::NewSeason { code, name, lights_on } => self.new_season(code, name, lights_on.as_deref()),
            Ask::CloseSeason { code, keep, next } => {
                let closed = self.close_season(code, *keep)?;
                match next {
                    Some((next, on)) => {
                        Ok(format!("{closed}. {}", self.new_season(next, "", on.as_deref())?))
                    }
                    None => Ok(closed),
                }
            }
            Ask::KeepPlan { phase } => self.keep_plan(*phase, THOROUGH),
            Ask::WriteNumbers { way } => self.write_numbers(*way),
            Ask::ReadMeter { key, readings, done, why } => {
                self.read_meter(key, readings, *done, why.as_deref())
            }
            Ask::CameOff { key, how, pieces, many } => self.came_off(key, *how, pieces, *many),
            Ask::PutInto { tote, pieces } => self.put_into(tote, pieces),
            Ask::TakeOut { pieces } => self.take_out(pieces),
            Ask::CountTote { tote, missing, found, part, lots } => {
                self.count_tote(tote, missing, found, (*part, lots))
            }
            Ask::WritePack => self.write_pack(),
            Ask::Undo => self.undo(),
            Ask::Redo => self.redo(),
        }
    }
}

/// What can't be read, whatever the yard holds; its code begins with `bad-`.
fn mistyped(code: &'static str, what: impl Into<String>) -> Problem {
    Problem::new(ProblemKind::Use, code, what)
}

/// A day as typed.
fn read_day(text: &str) -> Result<chrono::NaiveDate, Problem> {
    let read = crate::exchange::sheet::read_day(text);
    read.map(|(day, _)| day)
        .map_err(|(_, what, remedy)| mistyped("bad-date", format!("{text:?}: {what}")).hint(remedy))
}

/// What was read well and is refused by what the yard holds.
fn refused(code: &'static str, what: impl Into<String>) -> Problem {
    Problem::new(ProblemKind::Data, code, what)
}

/// The next free code of a series: `F-007` at home, `F-B007` on lent copy B.
fn next_code<'a>(device: &str, letter: &str, codes: impl Iterator<Item = &'a str>) -> String {
    let mark = if device == HOME { String::new() } else { device.to_owned() };
    let prefix = format!("{letter}-{mark}");
    let last = codes.filter_map(|c| c.strip_prefix(&prefix)?.parse::<u32>().ok()).max().unwrap_or(0);
    format!("{prefix}{:03}", last + 1)
}

pub(super) use crate::store::HOME;
