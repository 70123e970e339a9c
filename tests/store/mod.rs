//! The yard file from outside: what is kept, what is refused, what comes back.

mod backup;
mod copies;
mod door;
mod hostile;
mod looking;
mod merge;
mod open;
mod room;
mod schema;
mod swapped;
mod undo;

use std::path::{Path, PathBuf};

use ladderday::domain::{Deed, Fact, Place, PlaceId, RowChange, Value};
use ladderday::store::{NewYard, Store};
use proptest::prelude::ProptestConfig;
use tempfile::TempDir;
use uuid::Uuid;

/// So many cases, or as many as the environment asks for.
pub(crate) fn cases(quick: u32) -> ProptestConfig {
    // The default takes PROPTEST_CASES in, and is 256 without it.
    let asked = ProptestConfig::default();
    let cases = if asked.cases == 256 { quick } else { asked.cases };
    ProptestConfig { cases, failure_persistence: None, ..asked }
}

/// A new yard in a folder of its own.
pub(crate) fn yard() -> (TempDir, Store) {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::create(&folder.path().join("y.ladderday"), &new_yard("A")).unwrap();
    (folder, store)
}

pub(crate) fn new_yard(device: &str) -> NewYard {
    NewYard { yard_id: Uuid::from_u128(0xABCD), device: device.to_owned(), clock_shift_ms: None, demo: false }
}

pub(crate) fn file_in(folder: &TempDir, name: &str) -> PathBuf {
    folder.path().join(name)
}

pub(crate) fn id(n: u128) -> Uuid {
    Uuid::from_u128(n)
}

pub(crate) fn place(n: u128, name: &str) -> RowChange {
    Place {
        id: PlaceId(id(n)),
        ended_at: None,
        code: format!("PL-{n}"),
        name: name.to_owned(),
        parent_id: None,
        access: None,
        height_mm: None,
        map_x_mm: None,
        map_y_mm: None,
        indoors: false,
        cautions: ladderday::domain::Words::default(),
        note: String::new(),
    }
    .to_row()
}

pub(crate) fn deed(what: &str, at_ms: i64, rows: Vec<RowChange>) -> Deed {
    Deed { verb: "test", what: what.to_owned(), at_ms, rows }
}

pub(crate) fn rename(n: u128, name: &str) -> RowChange {
    RowChange::new("place", id(n), vec![("name", Value::Text(name.to_owned()))])
}

/// Names of the places that hold, in order.
pub(crate) fn names(store: &Store) -> Vec<String> {
    store.load_yard().unwrap().places.iter().map(|p| p.name.clone()).collect()
}

/// A second connection, as any other program has it.
pub(crate) fn raw(path: &Path) -> rusqlite::Connection {
    rusqlite::Connection::open(path).unwrap()
}
