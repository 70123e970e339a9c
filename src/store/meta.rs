//! What the file says about itself: its yard, its device, the demo's clock.

use rusqlite::OptionalExtension;

use super::error::StoreError;
use super::open::Store;

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
        if key == "device" {
            value.clone_into(&mut self.device);
        }
        Ok(())
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
