//! CSV in and out: what is read, what is refused and how it is told, what comes back.

mod again;
mod exact;
mod faults;
mod handful;
mod json_page;
mod labels;
mod limits;
mod lists;
mod methods;
mod mounting;
mod paper;
mod random;
mod round_trip;
pub(crate) mod small_yard;
mod spoiled;
mod strangers;
mod tell;
mod workbooks;

use ladderday::domain::{Deed, RowChange, Yard};
use ladderday::exchange::csv::{CsvFault, CsvFile, Target, read_folder};
use ladderday::store::{Applied, NewYard, Store};
use tempfile::TempDir;
use uuid::Uuid;

pub(crate) const YARD: Uuid = Uuid::from_u128(0xABCD);

pub(crate) fn store() -> (TempDir, Store) {
    let folder = tempfile::tempdir().unwrap();
    let new = NewYard { yard_id: YARD, device: "A".to_owned(), clock_shift_ms: None, demo: false };
    let store = Store::create(&folder.path().join("y.ladderday"), &new).unwrap();
    (folder, store)
}

pub(crate) fn read(files: &[(&str, &str)], existing: &Yard) -> Result<Vec<RowChange>, Vec<CsvFault>> {
    let files: Vec<_> = files.iter().map(|(name, text)| CsvFile { name, bytes: text.as_bytes() }).collect();
    read_folder(&files, &Target { yard_id: YARD, existing })
}

/// Reads files into a store; panics at a fault.
pub(crate) fn import(store: &mut Store, files: &[(&str, &str)]) -> Applied {
    let rows = read(files, &store.load_whole_yard().unwrap()).unwrap_or_else(|faults| {
        panic!("{}", faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
    });
    store.apply(&Deed { verb: "import", what: "Imported".to_owned(), at_ms: 1_000, rows }).unwrap()
}
