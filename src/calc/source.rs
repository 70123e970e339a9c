//! Where a formula comes from, so that every figure on screen can name it.

/// What standing a source has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// A published standard, handbook, paper or table.
    Published,
    /// A maker's data sheet for a kind of part.
    MakersData,
    /// Common practice of the trade with no published source.
    CommonPractice,
    /// Written down from memory, not checked against the document.
    FromMemory,
}

/// The source of one formula or table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// Title of the document, or what practice it is.
    pub title: &'static str,
    /// Edition or year; empty where there is none.
    pub edition: &'static str,
    /// Clause, table, page or equation; empty where there is none.
    pub clause: &'static str,
    pub standing: Standing,
}
