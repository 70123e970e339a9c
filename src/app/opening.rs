//! Making yards: a new one, the demo, and bringing files in.

use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use uuid::Uuid;

use super::clock::machine_now;
use super::deeds::HOME;
use super::files::read_file;
use super::owner::{App, Choices, parse_now};
use super::problem::{Problem, ProblemKind};
use super::sample::{DEMO, RECIPES};
use crate::domain::{Deed, RowChange};
use crate::exchange::csv::{CsvFault, CsvFile, Target, is_handful, read_folder, read_handful};
use crate::store::{Applied, NewYard, Store};

/// The zone of the demo yard's site.
const DEMO_ZONE: chrono_tz::Tz = chrono_tz::Tz::America__New_York;

/// So many bytes are read in one import, all its files together.
const LARGEST_FILE: u64 = 64 * 1024 * 1024;
/// So many lines and cells of one file.
const MOST_LINES: usize = 500_000;
const MOST_CELLS: usize = 4_000_000;

impl App {
    /// Makes a new yard at `path` with the shipped recipes and nothing else.
    ///
    /// # Errors
    /// `exists` where something is there already; what the file system refuses.
    pub fn create(path: &Path, choices: &Choices) -> Result<Self, Problem> {
        let now = match &choices.now {
            Some(text) => parse_now(text, chrono_tz::Tz::UTC)?,
            None => machine_now(),
        };
        let seed = choices.seed.or(choices.now.as_ref().map(|_| super::owner::SEED));
        let mut ids = super::ids::Ids::after(0, seed);
        let new =
            NewYard { yard_id: ids.make(now), device: HOME.to_owned(), clock_shift_ms: None, demo: false };
        let store = Store::create(path, &new)?;
        let mut app = Self::with_store(store, &Choices { season: None, ..choices.clone() })?;
        app.bring_in(&texts(RECIPES), "The shipped recipes")?;
        app.season.clone_from(&choices.season);
        Ok(app)
    }

    /// Opens the demo yard at `path`, making it where it is not there or `fresh` is asked for.
    ///
    /// # Errors
    /// As [`App::open`]; a demo file that is none of this program's is left as it is.
    pub fn demo(path: &Path, fresh: bool, choices: &Choices) -> Result<Self, Problem> {
        if path.exists() {
            if !fresh {
                return Self::open(path, choices);
            }
            // Only a demo is made anew: an owner's yard under this name is never overwritten.
            if !Store::open(path)?.is_demo()? {
                return Err(Problem::new(
                    ProblemKind::File,
                    "not-a-demo",
                    format!("{} is no demo yard", path.display()),
                )
                .hint("move it away, or open it with --yard"));
            }
        }
        let shift = clock_shift_ms(choices)?;
        // The file does not know its zone before its site is in it.
        let choices = &Choices {
            now: match &choices.now {
                Some(text) => Some(parse_now(text, DEMO_ZONE)?.to_rfc3339()),
                None => None,
            },
            ..choices.clone()
        };
        let new =
            NewYard { yard_id: DEMO_ID, device: HOME.to_owned(), clock_shift_ms: Some(shift), demo: true };
        let mut app =
            Self::with_store(Store::make_anew(path, &new)?, &Choices { season: None, ..choices.clone() })?;
        app.bring_in(&texts(DEMO), "The demo yard")?;
        drop(app);
        Self::open(path, choices)
    }

    /// Brings in a folder of CSV files, single files, or the short form with a handful of props.
    ///
    /// # Errors
    /// `bad-data` tells every fault with file, line and column; then nothing was written.
    pub fn import(&mut self, paths: &[PathBuf]) -> Result<String, Problem> {
        let mut files: Vec<(String, Vec<u8>)> = Vec::new();
        for path in paths {
            read_path(path, &mut files)?;
        }
        if files.is_empty() {
            return Err(Problem::new(ProblemKind::Use, "no-files", "there is no CSV file there")
                .hint("name a folder with place.csv, placement.csv …, or one file"));
        }
        let names: Vec<&str> = files.iter().map(|f| f.0.as_str()).collect();
        let what = format!("Imported {}", names.join(", "));
        self.bring_in(&files, &what)
    }

    fn bring_in(&mut self, files: &[(String, Vec<u8>)], what: &str) -> Result<String, Problem> {
        let existing = self.store.load_whole_yard()?;
        let target = Target { yard_id: self.store.yard_id(), existing: &existing };
        let mut faults: Vec<CsvFault> = Vec::new();
        let mut rows: Vec<RowChange> = Vec::new();
        let mut notes: Vec<String> = Vec::new();
        let (short, tables): (Vec<_>, Vec<_>) =
            files.iter().map(|(name, bytes)| CsvFile { name, bytes }).partition(is_handful);
        if !tables.is_empty() {
            match read_folder(&tables, &target) {
                Ok(r) => rows.extend(r),
                Err(f) => faults.extend(f),
            }
        }
        for file in &short {
            match read_handful(file, &target) {
                Ok(handful) => {
                    if handful.hour_assumed {
                        notes.push("lights on at 17:00 assumed".to_owned());
                    }
                    notes.push(format!("season {}", handful.season_code));
                    rows.extend(handful.rows);
                }
                Err(f) => faults.extend(f),
            }
        }
        if !faults.is_empty() {
            return Err(refuse(&faults));
        }
        let deed = Deed { verb: "import", what: what.to_owned(), at_ms: self.now_ms(), rows };
        let said = match self.apply(&deed)? {
            Applied::Nothing => "nothing new: all of it is there already".to_owned(),
            Applied::Entry(_) => format!("{what}: {} rows", deed.rows.len()),
        };
        Ok(if notes.is_empty() { said } else { format!("{said} ({})", notes.join("; ")) })
    }
}

/// Every fault in its own line.
fn refuse(faults: &[CsvFault]) -> Problem {
    let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
    let n = faults.len();
    let head = if n == 1 {
        "one fault, nothing was written:".to_owned()
    } else {
        format!("{n} faults, nothing was written:")
    };
    Problem::new(ProblemKind::Data, "bad-data", format!("{head}\n{}", lines.join("\n")))
        .hint("correct them and import again")
}

fn texts(files: &[(&str, &str)]) -> Vec<(String, Vec<u8>)> {
    files.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())).collect()
}

/// The demo is the same yard everywhere, so that two demos agree in every id.
const DEMO_ID: Uuid = Uuid::from_u128(0x6c61_6464_6572_8000_8d61_7964_656d_6f31);

/// Today counts as 1 September 2026.
fn clock_shift_ms(choices: &Choices) -> Result<i64, Problem> {
    let zone = DEMO_ZONE;
    let now = match &choices.now {
        Some(text) => parse_now(text, zone)?,
        None => machine_now(),
    };
    let today = now.with_timezone(&zone).date_naive();
    let first = NaiveDate::from_ymd_opt(2026, 9, 1).unwrap_or(today);
    Ok((first - today).num_milliseconds())
}

pub(super) use super::files::io_problem;

fn read_path(path: &Path, files: &mut Vec<(String, Vec<u8>)>) -> Result<(), Problem> {
    if path.is_dir() {
        let mut inside: Vec<PathBuf> = std::fs::read_dir(path)
            .map_err(|e| io_problem(path, "read", &e))?
            .filter_map(Result::ok)
            .map(|e| e.path())
            .filter(|p| p.is_file() && p.extension().is_some_and(|x| x.eq_ignore_ascii_case("csv")))
            .collect();
        inside.sort();
        return inside.iter().try_for_each(|p| read_path(p, files));
    }
    let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let room = LARGEST_FILE.saturating_sub(files.iter().map(|(_, bytes)| bytes.len() as u64).sum());
    let bytes = read_file(path, room)?;
    refuse_endless(&name, &bytes)?;
    files.push((name, bytes));
    Ok(())
}

/// Refuses what is no table that a person keeps before its cells are told apart, which takes many times its size.
fn refuse_endless(name: &str, bytes: &[u8]) -> Result<(), Problem> {
    let (mut lines, mut cells) = (1, 1);
    for b in bytes {
        lines += usize::from(*b == b'\n');
        cells += usize::from(matches!(b, b'\n' | b',' | b';' | b'\t'));
    }
    let refuse = |n: usize, what: &str, most: usize| {
        Err(Problem::new(ProblemKind::Data, "file-too-large", format!("{name} has {n} {what}"))
            .hint(format!("at most {most} {what} are read; part it into several files")))
    };
    if lines > MOST_LINES {
        return refuse(lines, "lines", MOST_LINES);
    }
    if cells > MOST_CELLS { refuse(cells, "cells", MOST_CELLS) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{TimeZone, Utc};

    #[test]
    fn today_counts_as_the_first_of_september() {
        let choices = Choices { now: Some("2026-11-25T12:00-05:00".to_owned()), ..Choices::default() };
        let shift = clock_shift_ms(&choices).unwrap();
        let there =
            Utc.with_ymd_and_hms(2026, 11, 25, 17, 0, 0).unwrap() + chrono::Duration::milliseconds(shift);
        assert_eq!(there.format("%Y-%m-%d").to_string(), "2026-09-01");
    }
}
