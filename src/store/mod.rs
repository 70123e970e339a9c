//! The yard file: one SQLite file with the facts, the journal that is the one door to them, and its backups.
//!
//! Every change is a [`crate::domain::Deed`] given to [`Store::apply`]; an authorizer on the connection refuses any
//! other write to a fact's table, so that the journal always tells the whole story. What was acknowledged is on
//! disk (`synchronous=FULL`).
//!
//! Not here: what a deed means (`app`), file formats for people (`exchange`), any file but the yard and its backups.

mod attachment;
mod backup;
mod change;
mod conflict;
mod connection;
mod door;
mod error;
mod file;
mod foreign;
mod history;
mod image;
mod kept_plan;
mod load;
mod merge;
mod merged;
mod meta;
mod migration;
mod open;
mod replay;
mod rotation;
mod row;
mod schema;
mod swapped;
mod undo;
mod verify;

pub use attachment::{MOST_BYTES, decode, encode, sha256_hex};
pub use backup::BackupReport;
pub use conflict::{Conflict, Rival};
pub use door::{Applied, EntryId};
pub use error::{StoreError, io_words};
pub use history::{LastDeed, PastDeed};

pub use merge::MergeReport;
pub use meta::{HOME, mark_of};
pub use migration::{MIGRATIONS, Migration, SCHEMA_VERSION};
pub use open::{Mode, NewYard, Store};
pub use undo::Undone;
pub use verify::Finding;
