//! The Totes screen: what is where.

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Totes {
    pub rows: Vec<ToteRow>,
    /// Pieces with no home told.
    pub homeless: Vec<String>,
    /// What contradicts itself: one label twice, a piece in another tote than its own.
    pub findings: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToteRow {
    pub code: String,
    pub name: String,
    pub kind: String,
    /// "shelf 2, garage".
    pub stands: String,
    /// What the time of the year asks of it: "count", "6 go out".
    pub due: Option<String>,
    /// How many labelled pieces lie in it now, and how many live in it.
    pub is_in: usize,
    pub of: usize,
    /// Names of the props and places its pieces go to: found by, not shown.
    pub goes_to: String,
    /// Code, name and where it is now ("in", "up at drive edge", "on the bench", "lost").
    pub contents: Vec<(String, String, String)>,
    pub notes: Vec<String>,
}
