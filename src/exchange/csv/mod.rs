//! Facts as a folder of CSV files, one a table.
//!
//! A header cell is the column's name; what refers to another row drops `_id` and holds that row's code, a moment
//! drops `_ms` and holds local civil time (`2025-11-02T14:20`) or a time with offset. A bare whole number is in the
//! unit of the column's name, a quantity with a unit is read as people write it (`7'6"`, `2.3 m`, `1h20`). Columns
//! that have a default may be left out, an empty cell means the default. `ended` tells when a row stopped to hold.
//!
//! All faults are told at once, and nothing is returned unless all is well.
//!
//! Not here: lists of props as people keep them (`sheet`), files and folders (`app`), writing the rows (`store`), attachments (their bytes are no table for people).

pub(in crate::exchange) mod clean;
mod code;
pub(in crate::exchange) mod cycle;
mod fault;
pub(in crate::exchange) mod field;
pub(in crate::exchange) mod grid;
pub(in crate::exchange) mod identity;
mod sense;
mod sheet;
mod step_key;
mod table;
mod write;

pub use clean::clean;
pub use fault::CsvFault;
pub(in crate::exchange) use field::show_moment;
pub use field::{mixed_currency, other_currency, show as show_cell};
pub use table::read_folder;
pub(in crate::exchange) use table::{read_cell, settle};
pub use write::write_folder;

use chrono_tz::Tz;
use uuid::Uuid;

use crate::domain::{Yard, time_zone};

/// One file as it was found.
#[derive(Debug, Clone, Copy)]
pub struct CsvFile<'a> {
    /// Its name without folder, as `place.csv`.
    pub name: &'a str,
    pub bytes: &'a [u8],
}

/// The yard that rows are read for.
#[derive(Debug, Clone, Copy)]
pub struct Target<'a> {
    pub yard_id: Uuid,
    /// All its facts, those that ended too: `Store::load_whole_yard`.
    pub existing: &'a Yard,
}

impl Target<'_> {
    fn currency(&self) -> Option<String> {
        self.existing.sites.iter().find(|s| s.ended_at.is_none()).map(|s| s.currency().to_owned())
    }

    pub(in crate::exchange) fn zone(&self) -> Option<Tz> {
        let site = self.existing.sites.iter().find(|s| s.ended_at.is_none())?;
        time_zone(site.time_zone.as_deref()?)
    }
}
