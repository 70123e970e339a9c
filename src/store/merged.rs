//! Which entries came by which merge, and taking a merge back.
//!
//! That is known to this file alone: the entries themselves are the same on every copy. Taken back, they stay in the
//! journal; an entry of this copy's own sets the facts as they were without them, so merging again revives nothing.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use rusqlite::{Connection, OptionalExtension};
use serde_json::{Value as Json, json};

use crate::domain::{RowChange, Value};

use super::conflict;
use super::door::{self, EntryId, Head, Line};
use super::error::StoreError;
use super::file;
use super::history;
use super::image::Image;
use super::meta::{SET, mark_of};
use super::open::Store;
use super::replay::{self, Entry, PastLine};
use super::schema;
use super::undo::{Halt, Undone, later, leaned_on};

/// The note in the file of its merges.
const MERGES: &str = "merges";
/// So many merges can be taken back.
const MOST: usize = 20;
/// Begins the name under which a merge is taken back.
const NAME: &str = "merge~";

/// One merge as this file knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Merged {
    pub(super) id: EntryId,
    /// The clock of the journal right after it.
    pub(super) clock: (i64, i64),
    pub(super) what: String,
    pub(super) deeds: usize,
    /// Names with the first and last number of a run of entries.
    spans: Vec<(String, i64, i64)>,
}

/// Whether an entry takes back a merge, or does it again.
pub(super) fn is_of_merge(undoes: Option<&EntryId>) -> bool {
    undoes.is_some_and(|e| e.device.starts_with(NAME))
}

impl Merged {
    fn brought(&self, entry: &EntryId) -> bool {
        self.spans
            .iter()
            .any(|(device, first, last)| *device == entry.device && (*first..=*last).contains(&entry.number))
    }

    fn to_json(&self) -> Json {
        json!([self.id.device, self.clock.0, self.clock.1, self.what, self.deeds, self.spans])
    }

    /// Nothing where it is none.
    fn from_json(json: &Json) -> Option<Self> {
        let list = json.as_array()?;
        let text = |at: usize| Some(list.get(at)?.as_str()?.to_owned());
        let whole = |at: usize| list.get(at)?.as_i64();
        let spans = list.get(5)?.as_array()?.iter().map(|span| {
            let span = span.as_array()?;
            Some((span.first()?.as_str()?.to_owned(), span.get(1)?.as_i64()?, span.get(2)?.as_i64()?))
        });
        Some(Self {
            id: EntryId { device: text(0)?, number: 1 },
            clock: (whole(1)?, whole(2)?),
            what: text(3)?,
            deeds: usize::try_from(whole(4)?).ok()?,
            spans: spans.collect::<Option<_>>()?,
        })
    }
}

fn known(conn: &Connection) -> rusqlite::Result<Vec<Merged>> {
    let text: Option<String> =
        conn.query_row("SELECT value FROM meta WHERE key = ?1", [MERGES], |row| row.get(0)).optional()?;
    let Some(Json::Array(list)) = text.and_then(|t| serde_json::from_str(&t).ok()) else { return Ok(vec![]) };
    Ok(list.iter().filter_map(Merged::from_json).collect())
}

/// Notes a merge, within its own transaction.
pub(super) fn note(conn: &Connection, added: &[EntryId]) -> rusqlite::Result<()> {
    let clock = conn.query_row(
        "SELECT clock_ms, clock_tie FROM journal_entry ORDER BY clock_ms DESC, clock_tie DESC LIMIT 1",
        [],
        |row| Ok((row.get(0)?, row.get(1)?)),
    )?;
    let mut numbers: BTreeMap<&str, BTreeSet<i64>> = BTreeMap::new();
    for id in added {
        numbers.entry(&id.device).or_default().insert(id.number);
    }
    let mut spans: Vec<(String, i64, i64)> = Vec::new();
    for (device, numbers) in &numbers {
        for n in numbers {
            match spans.last_mut() {
                Some((d, _, last)) if d == device && *last + 1 == *n => *last = *n,
                _ => spans.push(((*device).to_owned(), *n, *n)),
            }
        }
    }
    let marks: BTreeSet<&str> = numbers.keys().map(|d| mark_of(d)).collect();
    let marks: Vec<&str> = marks.into_iter().collect();
    let what = format!("Brought together: {} of {}", deeds(added.len()), marks.join(", "));
    let id = EntryId { device: format!("{NAME}{:016x}", file::chance()), number: 1 };
    let mut list = known(conn)?;
    list.push(Merged { id, clock, what, deeds: added.len(), spans });
    let kept: Vec<Json> = list.iter().skip(list.len().saturating_sub(MOST)).map(Merged::to_json).collect();
    conn.execute(SET, [MERGES, &Json::Array(kept).to_string()]).map(|_| ())
}

pub(super) fn deeds(n: usize) -> String {
    if n == 1 { "1 deed".to_owned() } else { format!("{n} deeds") }
}

impl Store {
    /// The last merge that was not taken back.
    pub(super) fn last_merge(&self) -> Result<Option<Merged>, StoreError> {
        let merges = known(&self.conn).map_err(|e| self.sql(e))?;
        let undone = history::undone(&self.conn).map_err(|e| self.sql(e))?;
        Ok(merges.into_iter().rev().find(|m| !undone.contains(&m.id)))
    }

    /// Takes a merge back: every column goes to what it would be without the entries that came by it.
    pub(super) fn undo_merge(&mut self, merge: &Merged, at_ms: i64) -> Result<Undone, StoreError> {
        let (path, writer) = (self.path.clone(), self.writer.clone());
        let done = self.write(|conn| {
            let (theirs, mut rest): (Vec<Entry>, Vec<Entry>) =
                replay::entries(conn, &path)?.into_iter().partition(|e| merge.brought(&e.id));
            leave_out_turns(&mut rest, &merge.id);
            let rows = without(conn, &path, &theirs, &mut rest)?;
            let rows = rows.map_err(Halt::Overtaken)?;
            let mut written = door::set_rows(conn, &path, &rows)?;
            let new: Vec<PastLine> =
                theirs.iter().flat_map(|e| &e.lines).filter(|l| l.before.is_none()).cloned().collect();
            if let Some((table, id)) = leaned_on(conn, &path, &new)? {
                let none = EntryId { device: String::new(), number: 0 };
                return Err(Halt::Overtaken(later(conn, &path, &none, &table, &id, "")?));
            }
            nothing_left_to_decide(conn, &path, &theirs, &mut written)?;
            let what = format!("Undid: {}", merge.what);
            let head = Head { verb: "undo", what: &what, at_ms, undoes: Some(&merge.id) };
            Ok((door::write_entry(conn, &path, &writer, &head, &written)?, rows))
        });
        match done {
            Ok((entry, rows)) => Ok(Undone::Done { entry, what: merge.what.clone(), rows }),
            Err(Halt::Overtaken((later, later_at_ms))) => {
                Ok(Undone::Overtaken { what: merge.what.clone(), later, later_at_ms })
            }
            Err(Halt::Failed(error)) => Err(error),
        }
    }
}

/// Leaves out what took the merge back before and did it again: it stands, so together they came to nothing.
fn leave_out_turns(rest: &mut Vec<Entry>, merge: &EntryId) {
    let mut turns = BTreeSet::from([merge.clone()]);
    rest.sort_by_key(|e| e.clock);
    rest.retain(|entry| match &entry.undoes {
        Some(of) if turns.contains(of) => {
            turns.insert(entry.id.clone());
            false
        }
        _ => true,
    });
}

/// What sets the rows that `theirs` touched as the `rest` of the journal tells them; the deed of the rest that changed
/// a row of theirs, where there is one.
fn without(
    conn: &Connection,
    path: &Path,
    theirs: &[Entry],
    rest: &mut [Entry],
) -> Result<Result<Vec<RowChange>, (String, i64)>, StoreError> {
    let mut touched: BTreeMap<(String, String), BTreeSet<&str>> = BTreeMap::new();
    for line in theirs.iter().flat_map(|e| &e.lines) {
        let columns = touched.entry((line.table.clone(), line.id.clone())).or_default();
        columns.extend(line.after.keys().map(String::as_str));
    }
    let mut told = replay::replay(rest).rows;
    replay::complete(conn, path, &mut told)?;
    let ours: BTreeSet<(&str, &str)> = rest
        .iter()
        .flat_map(|e| &e.lines)
        .filter(|l| l.before.is_none())
        .map(|l| (l.table.as_str(), l.id.as_str()))
        .collect();
    let mut rows = Vec::new();
    for ((name, id), columns) in &touched {
        let table = schema::table(name)?;
        let uuid = door::row_uuid(path, id)?;
        let Some(stands) = door::read_row(conn, path, table, id)? else { continue };
        if !ours.contains(&(name.as_str(), id.as_str())) {
            let changed = rest.iter().find(|e| e.lines.iter().any(|l| l.table == *name && l.id == *id));
            if let Some(entry) = changed {
                return Ok(Err((entry.what.clone(), entry.own_ms.unwrap_or(entry.clock.0))));
            }
            if stands.get("ended_at") == Some(&Value::Null) {
                // Any moment will do; the entry says when.
                let at = theirs.iter().map(|e| e.clock.0).max().unwrap_or(0);
                rows.push(RowChange::end(table.name, uuid, at));
            }
            continue;
        }
        let Some(was) = told.get(&(name.clone(), id.clone())) else { continue };
        let set = columns
            .iter()
            .filter(|column| was.get(**column) != stands.get(**column))
            .map(|column| {
                Ok((schema::column(table, column)?, was.get(*column).cloned().unwrap_or(Value::Null)))
            })
            .collect::<Result<Vec<_>, StoreError>>()?;
        if !set.is_empty() {
            rows.push(RowChange::new(table.name, uuid, set));
        }
    }
    Ok(Ok(rows))
}

/// What their entries contradicted is decided by taking them back: each such column gets a line, which says so on
/// every copy.
fn nothing_left_to_decide(
    conn: &Connection,
    path: &Path,
    theirs: &[Entry],
    written: &mut Vec<Line>,
) -> Result<(), StoreError> {
    for line in theirs.iter().flat_map(|e| &e.lines) {
        let table = schema::table(&line.table)?;
        for column in line.after.keys() {
            if conflict::forget(conn, path, table.name, &line.id, column)? == 0 {
                continue;
            }
            let said = written
                .iter()
                .any(|l| l.table.name == table.name && l.id == line.id && l.after.contains_key(column));
            if !said {
                let stands = door::read_row(conn, path, table, &line.id)?
                    .and_then(|mut row| row.remove(column))
                    .unwrap_or(Value::Null);
                let image = Image::from([(column.clone(), stands)]);
                written.push(Line { table, id: line.id.clone(), before: Some(image.clone()), after: image });
            }
        }
    }
    Ok(())
}
