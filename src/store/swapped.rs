//! The file under an open program: whether its name still belongs to it, and what is done once it does not.

use std::path::PathBuf;

use super::backup;
use super::error::StoreError;
use super::file::{self, Identity};
use super::open::Store;

/// The name of an open yard file belongs to another file now, or to none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Swapped {
    now: &'static str,
    /// Where what this program had is kept, or why it could not be.
    kept: Result<PathBuf, String>,
}

impl Store {
    /// Whether the file that was opened still has its name.
    pub(super) fn is_in_place(&self) -> bool {
        self.swapped.get().is_none() && self.identity == Identity::of(&self.path)
    }

    /// Refuses where the file was swapped: what is written now would go where nobody looks for it. What this program
    /// had is kept beside the file at the first time.
    pub(super) fn refuse_swapped(&self) -> Result<(), StoreError> {
        if self.is_in_place() {
            return Ok(());
        }
        let seen = self.swapped.get_or_init(|| {
            let now = match Self::open_to_read(&self.path) {
                Ok(other) if other.yard_id == self.yard_id => "another copy of this yard has its name now",
                Ok(_) => "another yard has its name now",
                Err(StoreError::NoYard(_)) => "it is gone from its folder",
                Err(_) => "another file has its name now",
            };
            let kept = backup::copy_to(&self.conn, &file::free_name(&self.path, "kept"), None);
            Swapped { now, kept: kept.map(|k| k.path).map_err(|e| e.to_string()) }
        });
        Err(StoreError::Swapped { path: self.path.clone(), now: seen.now, kept: seen.kept.clone() })
    }
}
