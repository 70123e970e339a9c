//! What was changed before, and what people expect: read beside the facts.

use super::cell::Value;

/// One column of one row as it was changed by a deed that still counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PastChange {
    /// UTC milliseconds of the entry's clock.
    pub at_ms: i64,
    /// The verb of the entry, as `import`.
    pub verb: String,
    pub column: String,
    pub before: Value,
    pub after: Value,
}

/// One step of the kept plan.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct KeptStep {
    pub step_key: String,
    pub season_code: String,
    pub phase: String,
    /// Its place in the order of walking.
    pub position: i64,
    pub session_code: Option<String>,
    /// With offset, as the plan prints it.
    pub from: Option<String>,
    pub to: Option<String>,
    /// Names of people, parted by commas.
    pub people: String,
}
