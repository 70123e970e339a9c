//! The history pop-up: deeds newest first, and how far back each lies.

/// One deed of the past.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PastRow {
    /// "Thu 15 Oct 2026 18:05".
    pub at: String,
    /// The laptop it was done on: A is the owner's own.
    pub device: String,
    pub what: String,
    /// "taken back", or nothing.
    pub mark: &'static str,
    /// How many undos take everything back to before it; nothing where it can't be reached by undo.
    pub undos: Option<usize>,
}
