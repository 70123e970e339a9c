//! Faults: the log, the bench, one fault with its record.
//!
//! Not here: symptoms and what to try (`symptoms`), statistics (`record`), deeds.

pub(crate) mod bench;
pub(crate) mod detail;
pub(crate) mod page;

pub use bench::{BenchJob, BenchRow, bench};
pub use detail::fault_detail;
pub use page::faults_page;
