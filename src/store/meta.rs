//! What the file says about itself: its yard, its device, the demo's clock.

use std::collections::BTreeSet;

use rusqlite::{Connection, OptionalExtension};

use super::error::StoreError;
use super::file;
use super::open::Store;

/// The names under which this file wrote before it was restored from a copy, parted by blanks.
pub(super) const EARLIER: &str = "earlier_writers";
/// A hundred years, in milliseconds.
const LONGEST_SHIFT: i64 = 100 * 366 * 24 * 60 * 60 * 1000;
pub(super) const SET: &str =
    "INSERT INTO meta (key, value) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET value = excluded.value";
/// Parts the mark of a copy from what tells it apart from every other, in the name under which it writes its journal.
const APART: char = '~';

/// The mark in the name under which a copy writes its journal: `B` of `B~1f9a3c5e`.
pub fn mark_of(writer: &str) -> &str {
    writer.split(APART).next().unwrap_or(writer)
}

/// The mark of the owner's own file, which leaves no letter on labels.
pub const HOME: &str = "A";

/// The next free mark for a copy of the one marked `own`: `B` to `Y` for the owner's own, `BB` to `BY` for `B`; then
/// with a `Z` before the letter. No mark ends in `Z`, so those of different copies never meet.
pub(super) fn next_mark(own: &str, taken: &BTreeSet<String>) -> String {
    let mut stem = if own == HOME { String::new() } else { own.to_owned() };
    loop {
        let free = ('B'..='Y').map(|letter| format!("{stem}{letter}")).find(|mark| !taken.contains(mark));
        match free {
            Some(mark) => return mark,
            None => stem.push('Z'),
        }
    }
}

/// Ends the name of an entry that another copy had written under one name with an entry that is here.
const CLASH: &str = "~~";

/// The name under which an entry was written, on whatever copy it is read.
pub(super) fn written_by(device: &str) -> &str {
    device.split_once(CLASH).map_or(device, |(by, _)| by)
}

/// The name of an entry here whose own name another entry has.
pub(super) fn clash_name(device: &str, digest: &str) -> String {
    format!("{}{CLASH}{digest}", written_by(device))
}

/// A name to write a journal under that no other copy has.
pub(super) fn new_writer(mark: &str) -> String {
    format!("{mark}{APART}{:08x}", file::chance() as u32)
}

/// Makes a copy another one than that it was copied from: what both write from now on is never taken for the same.
pub(super) fn tell_apart(copy: &Connection, mark: Option<&str>) -> rusqlite::Result<()> {
    let set = SET;
    if let Some(mark) = mark {
        copy.execute(set, ["device", mark])?;
    }
    let told = |key: &str| {
        copy.query_row("SELECT value FROM meta WHERE key = ?1", [key], |row| row.get::<_, String>(0))
            .optional()
    };
    let device = told("device")?.unwrap_or_default();
    // What was written before is this owner's own only where the copy goes on in his hands.
    let earlier = if mark.is_some() {
        String::new()
    } else {
        let writer = told("writer")?.unwrap_or_else(|| device.clone());
        format!("{} {writer}", told(EARLIER)?.unwrap_or_default())
    };
    copy.execute(set, [EARLIER, earlier.trim()])?;
    copy.execute(set, ["lent", &told("lent")?.filter(|_| mark.is_none()).unwrap_or_default()])?;
    copy.execute(set, ["writer", &new_writer(&device)]).map(|_| ())
}

impl Store {
    /// A note of the file about itself.
    pub fn meta(&self, key: &str) -> Result<Option<String>, StoreError> {
        self.conn
            .query_row("SELECT value FROM meta WHERE key = ?1", [key], |row| row.get(0))
            .optional()
            .map_err(|e| self.sql(e))
    }

    /// Sets a note of the file about itself; not a fact, so not in the journal.
    pub fn set_meta(&mut self, key: &str, value: &str) -> Result<(), StoreError> {
        self.refuse_reading_only()?;
        self.conn.execute(SET, [key, value]).map_err(|e| self.sql(e))?;
        match key {
            "device" => {
                // A file that was never copied writes under its mark alone.
                if self.writer == self.device {
                    value.clone_into(&mut self.writer);
                }
                value.clone_into(&mut self.device);
            }
            "writer" => value.clone_into(&mut self.writer),
            _ => {}
        }
        Ok(())
    }

    /// Every name that the journal was written under.
    pub(super) fn writers(&self) -> Result<Vec<String>, StoreError> {
        let sql = |error| self.sql(error);
        let mut select = self.conn.prepare("SELECT DISTINCT device FROM journal_entry").map_err(sql)?;
        let names = select.query_map([], |row| row.get(0)).map_err(sql)?;
        names.collect::<Result<_, _>>().map_err(sql)
    }

    /// The name under which this copy writes its journal.
    pub fn writer(&self) -> &str {
        &self.writer
    }

    /// Milliseconds to add to the clock; only a demo has it.
    pub fn clock_shift_ms(&self) -> Result<Option<i64>, StoreError> {
        let Some(text) = self.meta("clock_shift")? else { return Ok(None) };
        match text.parse() {
            Ok(shift) if (-LONGEST_SHIFT..=LONGEST_SHIFT).contains(&shift) => Ok(Some(shift)),
            _ => Err(StoreError::Damaged {
                path: self.path.clone(),
                what: format!("its clock_shift {text:?} is no number of milliseconds within a hundred years"),
            }),
        }
    }

    pub fn is_demo(&self) -> Result<bool, StoreError> {
        Ok(self.meta("demo")?.as_deref() == Some("1"))
    }
}
