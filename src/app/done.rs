//! What a deed did, for whoever asked for it: a sentence, the entry, what was made and what was changed.

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use crate::domain::Yard;
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
    rows: Vec<(&'static str, Uuid)>,
    /// Those of them that were there before, as they were named.
    before: BTreeMap<Uuid, String>,
}

impl Written {
    pub(super) fn entry(&mut self, entry: Option<&EntryId>) {
        if let Some(entry) = entry {
            self.entry = Some(entry.clone());
        }
    }

    /// Takes down rows that change, with the facts as they are `before`.
    pub(super) fn rows(&mut self, before: &Yard, of: Vec<(&'static str, Uuid)>) {
        let known: BTreeSet<Uuid> = self.rows.iter().map(|r| r.1).collect();
        self.before.extend(before.names(&of).into_iter().filter(|(id, _)| !known.contains(id)));
        self.rows.extend(of);
    }

    /// What it all came to in the facts as they are `now`.
    pub(super) fn done(&self, said: String, now: &Yard) -> Done {
        let after = now.names(&self.rows);
        let mut done = Done { said, entry: self.entry.clone(), ..Done::default() };
        for &(kind, ref id) in &self.rows {
            let list = if self.before.contains_key(id) { &mut done.changed } else { &mut done.made };
            // What has ended has its name of before.
            let code = after.get(id).or(self.before.get(id)).cloned().unwrap_or_else(|| id.to_string());
            list.push(Named { kind, code });
        }
        for list in [&mut done.made, &mut done.changed] {
            list.sort();
            list.dedup();
        }
        done
    }
}
