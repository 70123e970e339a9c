//! The Totes screen: what is where.

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Totes {
    pub rows: Vec<ToteRow>,
    /// Pieces with no home told.
    pub homeless: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToteRow {
    pub code: String,
    pub name: String,
    pub kind: String,
    /// "shelf 2, garage".
    pub stands: String,
    /// Code, name and where it is now ("in", "up at drive edge", "on the bench", "lost").
    pub contents: Vec<(String, String, String)>,
    pub notes: Vec<String>,
}
