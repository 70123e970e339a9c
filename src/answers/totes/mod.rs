//! Totes: what is where, from ticks, scans and counts; what to pack where; finding a thing's tote.
//!
//! Not here: the search for the fewest totes (`packing`), labels (`exchange`).

pub(crate) mod drying;
pub(crate) mod find;
pub(crate) mod labels;
mod map;
mod meant;
mod naming;
pub(crate) mod pack;
pub(crate) mod page;
mod size;
pub(crate) mod whereabouts;

pub use find::Found;
pub use labels::{Label, LabelKind};
pub use pack::{PackProposal, PackedTote, proposal};
