//! What a deed did, for whoever asked for it: a sentence, the entry, what was made and what was changed.

use std::collections::BTreeSet;

use uuid::Uuid;

use crate::domain::{RowChange, Yard};
use crate::store::EntryId;

/// A row that a deed made or changed, as people name it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Named {
    /// Its table.
    pub kind: &'static str,
    /// Its code; of a tick the step's key, of a row without a code its id.
    pub code: String,
}

/// What a deed did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Done {
    pub said: String,
    /// Its entry in the journal; nothing where nothing was written there.
    pub entry: Option<EntryId>,
    pub made: Vec<Named>,
    pub changed: Vec<Named>,
}

impl std::fmt::Display for Done {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.said)
    }
}

impl Done {
    /// Something that is no entry of the journal.
    pub fn only(said: impl Into<String>) -> Self {
        Self { said: said.into(), ..Self::default() }
    }
}

/// What was written since the deed at hand began.
#[derive(Debug, Default)]
pub(super) struct Written {
    entry: Option<EntryId>,
    rows: Vec<(&'static str, Uuid, bool, Option<String>)>,
}

impl Written {
    pub(super) fn entry(&mut self, entry: Option<&EntryId>) {
        if let Some(entry) = entry {
            self.entry = Some(entry.clone());
        }
    }

    /// Takes down which of `rows` are new to the facts as they were `before`.
    pub(super) fn rows(&mut self, before: &Yard, rows: &[RowChange]) {
        let there: BTreeSet<Uuid> = before.ids(&rows.iter().map(|r| (r.table, r.id)).collect::<Vec<_>>());
        self.rows.extend(rows.iter().map(|r| {
            let new = !there.contains(&r.id);
            // What ends has a name no more.
            let ends = r.set.iter().any(|(column, _)| *column == "ended_at");
            (r.table, r.id, new, if ends { before.name_of(r.table, r.id) } else { None })
        }));
    }

    /// What it all came to in the facts as they are `now`.
    pub(super) fn done(&mut self, said: String, now: &Yard) -> Done {
        let Self { entry, rows } = std::mem::take(self);
        let mut done = Done { said, entry, ..Done::default() };
        for (kind, id, new, was) in rows {
            let list = if new { &mut done.made } else { &mut done.changed };
            let code = now.name_of(kind, id).or(was).unwrap_or_else(|| id.to_string());
            list.push(Named { kind, code });
        }
        for list in [&mut done.made, &mut done.changed] {
            list.sort();
            list.dedup();
        }
        done
    }
}
