//! Looking after the yard file: backup, restore, verify, lend, merge, export, history.

use std::fmt::Write as _;
use std::path::Path;

use super::app::App;
use super::commands::Form;
use super::done::{Done, Written};
use super::files::write_folder_whole;
use crate::answers::problem::Problem;
use crate::answers::words::counted;
use crate::exchange::csv::write_folder;
use crate::exchange::json::{Figures, FindingDoc, FindingsDoc, JournalDoc, PastDeedDoc, text};
use crate::store::Store;

/// Two clocks that differ by so much are no longer two clocks that agree.
const AHEAD_MS: i64 = 10 * 60 * 1000;

impl App {
    /// A verified copy of the yard at `to`, or among the backups beside it.
    ///
    /// # Errors
    /// What the store says; then nothing is left behind.
    pub fn backup(&self, to: Option<&Path>) -> Result<String, Problem> {
        let report = match to {
            Some(to) => self.store.backup(to)?,
            None => self.store.backup_beside()?,
        };
        Ok(format!("backup of {} rows verified: {}", report.rows, report.path.display()))
    }

    /// Brings a backup back to `to`; what was there is kept beside it.
    ///
    /// # Errors
    /// What the store says of the backup; then `to` is as it was.
    pub fn restore(from: &Path, to: &Path, facts_only: bool) -> Result<String, Problem> {
        let kept = if facts_only { Store::take_out(from, to)? } else { Store::restore(from, to, None)? };
        let kept = kept.map_or_else(String::new, |k| format!("; what was there is kept as {}", k.display()));
        Ok(format!("restored {}{kept}", to.display()))
    }

    /// A copy for a second laptop, with its own mark on new labels.
    ///
    /// # Errors
    /// What the store says; then nothing is left at `to`.
    pub fn lend(&mut self, to: &Path, mark: Option<&str>) -> Result<String, Problem> {
        let (_, mark) = self.store.lend(to, mark)?;
        Ok(format!("lent copy {mark}: {}", to.display()))
    }

    /// Brings a lent copy's deeds in.
    ///
    /// # Errors
    /// What the store says of the other file; then nothing was written.
    pub fn merge(&mut self, other: &Path) -> Result<Done, Problem> {
        let report = self.store.merge(other)?;
        let mut brought = Written::default();
        brought.rows(self.current.yard(), report.rows);
        self.reload()?;
        let mut said = format!(
            "brought together: {}, {} to decide",
            counted(report.added as i64, "new deed", "new deeds"),
            counted(report.conflicts as i64, "conflict", "conflicts")
        );
        if report.conflicts > 0 {
            said.push_str(" (ladderday conflict list)");
        }
        if let Some((mark, ms)) =
            report.latest.filter(|(_, ms)| *ms > self.now().timestamp_millis().saturating_add(AHEAD_MS))
        {
            let when = self.outlook().say_ms(ms);
            let _ = write!(
                said,
                "; a deed of copy {mark} is dated {when}, ahead of this clock: set the clock there"
            );
        }
        Ok(brought.done(said, self.current.yard()))
    }

    /// Looks the file over: its pages, its references, and whether the journal gives the tables.
    /// True where all is well.
    ///
    /// # Errors
    /// Where the file can't be read at all.
    pub fn verify(&mut self, rebuild: bool, form: Form) -> Result<(bool, String), Problem> {
        if rebuild {
            self.store.rebuild()?;
            self.reload()?;
        }
        let findings = self.store.verify()?;
        let fine = findings.is_empty();
        let answer = match form {
            Form::Json => text(&FindingsDoc {
                findings: findings
                    .iter()
                    .map(|f| FindingDoc {
                        severity: "stop".to_owned(),
                        code: f.code.to_owned(),
                        place: self.store.path().display().to_string(),
                        what: f.what.clone(),
                        value: None,
                        limit: None,
                        figures: Figures::new(),
                        formula: None,
                        remedy: f.remedy.to_owned(),
                        caution: None,
                    })
                    .collect(),
                not_told: Vec::new(),
                what_if: None,
                start_up: Vec::new(),
                numbers: Vec::new(),
                expected: Vec::new(),
                energy: None,
                network: None,
                caution: None,
            }),
            Form::Text if fine => "all is well: pages, references, journal\n".to_owned(),
            Form::Text => findings.iter().fold(String::new(), |mut out, f| {
                let _ = writeln!(out, "{} [{}]; {}", f.what, f.code, f.remedy);
                out
            }),
        };
        Ok((fine, answer))
    }

    /// Writes every table as CSV into a folder, made where it is missing.
    ///
    /// # Errors
    /// What the file system refuses.
    pub fn export(&self, folder: &Path) -> Result<String, Problem> {
        let files = write_folder(&self.store.load_whole_yard()?);
        write_folder_whole(folder, &files)?;
        Ok(format!("{} files written to {}", files.len(), folder.display()))
    }

    /// The latest deeds, newest first.
    ///
    /// # Errors
    /// Where the journal can't be read.
    pub fn deeds_answer(&self, limit: usize, form: Form) -> Result<String, Problem> {
        let deeds = self.store.history(limit)?;
        if form == Form::Json {
            let row = |d: crate::store::PastDeed| PastDeedDoc {
                at: self.outlook().rfc3339(d.at_ms),
                what: d.what,
                undone: d.undone,
            };
            return Ok(text(&JournalDoc { deeds: deeds.into_iter().map(row).collect() }));
        }
        let mut out = String::new();
        for d in deeds {
            let undone = if d.undone { " (undone)" } else { "" };
            let _ = writeln!(out, "{}  {}{undone}", self.outlook().say_ms(d.at_ms), d.what);
        }
        Ok(out)
    }
}
