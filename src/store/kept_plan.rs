//! The kept plan: what people expect, one row a step, replaced as a whole. Losing it loses no fact.

use super::error::StoreError;
use super::open::Store;
use crate::domain::KeptStep;

impl Store {
    /// Keeps this plan instead of the one kept before.
    pub fn keep_plan(&mut self, steps: &[KeptStep]) -> Result<(), StoreError> {
        self.refuse_reading_only()?;
        let path = self.path.clone();
        let sql = |error| StoreError::of(error, &path);
        // A savepoint outside of a change that is held is a transaction of its own.
        let tx = self.conn.savepoint().map_err(sql)?;
        tx.execute("DELETE FROM kept_plan", []).map_err(sql)?;
        {
            let mut insert = tx
                .prepare(
                    "INSERT INTO kept_plan (step_key, season_code, phase, position, session_code, from_text, to_text,
                       people) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                )
                .map_err(sql)?;
            for s in steps {
                insert
                    .execute(rusqlite::params![
                        s.step_key,
                        s.season_code,
                        s.phase,
                        s.position,
                        s.session_code,
                        s.from,
                        s.to,
                        s.people
                    ])
                    .map_err(sql)?;
            }
        }
        tx.commit().map_err(sql)
    }

    /// The kept plan in its order; empty when none is kept.
    pub fn load_kept_plan(&self) -> Result<Vec<KeptStep>, StoreError> {
        let sql = |error| self.sql(error);
        let mut select = self
            .conn
            .prepare(
                "SELECT step_key, season_code, phase, position, session_code, from_text, to_text, people
                 FROM kept_plan ORDER BY season_code, phase, position, step_key",
            )
            .map_err(sql)?;
        let rows = select
            .query_map([], |row| {
                Ok(KeptStep {
                    step_key: row.get(0)?,
                    season_code: row.get(1)?,
                    phase: row.get(2)?,
                    position: row.get(3)?,
                    session_code: row.get(4)?,
                    from: row.get(5)?,
                    to: row.get(6)?,
                    people: row.get(7)?,
                })
            })
            .map_err(sql)?;
        rows.collect::<Result<_, _>>().map_err(sql)
    }
}
