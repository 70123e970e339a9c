//! Making yards: a new one and the demo.

use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use uuid::Uuid;

use super::app::{App, Choices, parse_now};
use super::clock::machine_now;
use super::done::Done;
use super::import::ImportChoices;
use super::sample::{DEMO, RECIPES};
use crate::answers::problem::{Problem, ProblemKind};
use crate::store::{HOME, NewYard, Store};

/// The zone of the demo yard's site.
const DEMO_ZONE: chrono_tz::Tz = chrono_tz::Tz::America__New_York;

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
        let seed = choices.seed.or(choices.now.as_ref().map(|_| super::app::SEED));
        let mut ids = super::ids::Ids::after(0, seed);
        let new =
            NewYard { yard_id: ids.make(now), device: HOME.to_owned(), clock_shift_ms: None, demo: false };
        let store = Store::create(path, &new)?;
        let mut app = Self::with_store(store, &Choices { season: None, ..choices.clone() })?;
        app.bring_in(&texts(RECIPES), "The shipped recipes", &ImportChoices::default())?;
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
        app.bring_in(&texts(DEMO), "The demo yard", &ImportChoices::default())?;
        drop(app);
        Self::open(path, choices)
    }

    /// Brings in files and writes at once; where something was changed since, it asks.
    ///
    /// # Errors
    /// As [`App::import_as`].
    pub fn import(&mut self, paths: &[PathBuf]) -> Result<String, Problem> {
        Ok(self.import_as(paths, &ImportChoices::default())?.said)
    }

    /// Makes a new yard at `path` of what the files tell. Where they are refused, or only tried, no file is left there.
    ///
    /// # Errors
    /// As [`App::create`] and [`App::import_as`].
    pub fn import_new(
        path: &Path,
        files: &[PathBuf],
        how: &ImportChoices,
        choices: &Choices,
    ) -> Result<Done, Problem> {
        let mut app = Self::create(path, choices)?;
        let said = app.import_as(files, how);
        drop(app);
        if how.try_only || said.is_err() {
            remove_yard(path)?;
        }
        said
    }
}

pub(super) fn texts(files: &[(&str, &str)]) -> Vec<(String, Vec<u8>)> {
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

/// Takes away a yard that was just made and is not wanted.
fn remove_yard(path: &Path) -> Result<(), Problem> {
    for end in ["", "-wal", "-shm"] {
        let mut name = path.as_os_str().to_owned();
        name.push(end);
        let file = PathBuf::from(name);
        if file.exists() {
            std::fs::remove_file(&file).map_err(|e| io_problem(&file, "removed", &e))?;
        }
    }
    Ok(())
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
