//! What the file says about itself: its yard, its device, the demo's clock.

use rusqlite::{Connection, OptionalExtension};

use super::error::StoreError;
use super::file;
use super::open::Store;

/// Parts the mark of a copy from what tells it apart from every other, in the name under which it writes its journal.
const APART: char = '~';

/// The mark in the name under which a copy writes its journal: `B` of `B~1f9a3c5e`.
pub fn mark_of(writer: &str) -> &str {
    writer.split(APART).next().unwrap_or(writer)
}

/// A name to write a journal under that no other copy has.
pub(super) fn new_writer(mark: &str) -> String {
    format!("{mark}{APART}{:08x}", file::chance() as u32)
}

/// Makes a copy another one than that it was copied from: what both write from now on is never taken for the same.
pub(super) fn tell_apart(copy: &Connection, mark: Option<&str>) -> rusqlite::Result<()> {
    let set = "INSERT INTO meta (key, value) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET value = excluded.value";
    if let Some(mark) = mark {
        copy.execute(set, ["device", mark])?;
    }
    let mark: Option<String> =
        copy.query_row("SELECT value FROM meta WHERE key = 'device'", [], |row| row.get(0)).optional()?;
    copy.execute(set, ["writer", &new_writer(&mark.unwrap_or_default())]).map(|_| ())
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
        self.conn
            .execute(
                "INSERT INTO meta (key, value) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET value = excluded.value",
                [key, value],
            )
            .map_err(|e| self.sql(e))?;
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

    /// The name under which this copy writes its journal.
    pub fn writer(&self) -> &str {
        &self.writer
    }

    /// Milliseconds to add to the clock; only a demo has it.
    pub fn clock_shift_ms(&self) -> Result<Option<i64>, StoreError> {
        let Some(text) = self.meta("clock_shift")? else { return Ok(None) };
        text.parse().map(Some).map_err(|_| StoreError::Damaged {
            path: self.path.clone(),
            what: format!("its clock_shift {text:?} is no number"),
        })
    }

    pub fn is_demo(&self) -> Result<bool, StoreError> {
        Ok(self.meta("demo")?.as_deref() == Some("1"))
    }
}
