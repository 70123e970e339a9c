//! Faults: the log, one fault with its record, what to try by symptom.

pub(crate) mod detail;
pub(crate) mod guide;
pub(crate) mod page;
pub(crate) mod symptoms;

pub use detail::fault_detail;
pub use page::faults_page;
