//! A change of the file: one transaction, with the door to the fact tables open only within it.

use std::sync::atomic::Ordering;

use rusqlite::{Connection, TransactionBehavior};

use super::error::StoreError;
use super::open::Store;

impl Store {
    /// Runs `work` in one immediate transaction with the door to the fact tables open.
    pub(super) fn write<T, E: From<StoreError>>(
        &mut self,
        work: impl FnOnce(&Connection) -> Result<T, E>,
    ) -> Result<T, E> {
        self.refuse_reading_only()?;
        let path = self.path.clone();
        let sql = |error| StoreError::of(error, &path);
        if self.held {
            return self.write_within(work);
        }
        let tx = self.conn.transaction_with_behavior(TransactionBehavior::Immediate).map_err(sql)?;
        self.door.store(true, Ordering::SeqCst);
        let done = tx
            .pragma_update(None, "defer_foreign_keys", true)
            .map_err(|e| E::from(sql(e)))
            .and_then(|()| work(&tx))
            .and_then(|out| tx.commit().map_err(|e| E::from(sql(e))).map(|()| out));
        self.door.store(false, Ordering::SeqCst);
        // A statement compiled with the door open must not serve with it shut.
        self.conn.flush_prepared_statement_cache();
        // Swapped while it was written: it is kept with the rest, and not said to be saved.
        if done.is_ok() {
            self.refuse_swapped()?;
        }
        done
    }

    /// The same within a change that is [held](Self::hold).
    fn write_within<T, E: From<StoreError>>(
        &mut self,
        work: impl FnOnce(&Connection) -> Result<T, E>,
    ) -> Result<T, E> {
        let path = self.path.clone();
        let sql = |error| StoreError::of(error, &path);
        let part = self.conn.savepoint().map_err(sql)?;
        self.door.store(true, Ordering::SeqCst);
        let done = work(&part).and_then(|out| part.commit().map_err(|e| E::from(sql(e))).map(|()| out));
        self.door.store(false, Ordering::SeqCst);
        self.conn.flush_prepared_statement_cache();
        done
    }

    /// Begins a change of the file that may take several writes: until it is [released](Self::release) nobody else
    /// writes, and what is read is what it will be made on.
    ///
    /// # Errors
    /// `Newer`, `ReadOnly`, `Busy`.
    pub fn hold(&mut self) -> Result<(), StoreError> {
        self.refuse_reading_only()?;
        let begun = self.conn.execute_batch("BEGIN IMMEDIATE; PRAGMA defer_foreign_keys = on;");
        begun.map_err(|e| self.sql(e))?;
        self.held = true;
        Ok(())
    }

    /// Whether a change is held.
    pub fn is_held(&self) -> bool {
        self.held
    }

    /// Ends the change that is held: all of it is on the disk then, or nothing.
    ///
    /// # Errors
    /// `Full`, `Refused` and the like where it could not be written; then nothing of it was.
    pub fn release(&mut self, keep: bool) -> Result<(), StoreError> {
        self.held = false;
        // A disk that is full may have ended it already.
        if !keep && self.conn.is_autocommit() {
            return Ok(());
        }
        let ended =
            if keep { self.conn.execute_batch("COMMIT") } else { self.conn.execute_batch("ROLLBACK") };
        ended.map_err(|e| {
            // A commit that failed leaves its transaction open.
            let _ = self.conn.execute_batch("ROLLBACK");
            self.sql(e)
        })?;
        // Swapped while it was written: it is kept with the rest, and not said to be saved.
        if keep { self.refuse_swapped() } else { Ok(()) }
    }
}
