//! Documents about totes, shelves and packing, and about the dates of the shows.

use serde::Serialize;

/// A tote or shelf, with how many of the pieces that live there are in.
#[derive(Debug, Clone, Serialize)]
pub struct ToteDoc {
    pub code: String,
    pub name: String,
    pub stands: String,
    pub r#in: usize,
    pub of: usize,
}

/// A thing and where it is.
#[derive(Debug, Clone, Serialize)]
pub struct FoundDoc {
    pub code: String,
    pub name: String,
    pub tote: Option<String>,
    pub stands: String,
    pub now: String,
}

/// A shelf, rack or room of the map.
#[derive(Debug, Clone, Serialize)]
pub struct ShelfDoc {
    /// Empty for what stands nowhere that is told.
    pub code: String,
    pub name: String,
    /// How many others it stands in.
    pub depth: usize,
    pub totes: Vec<String>,
}

/// Totes for what comes down.
#[derive(Debug, Clone, Serialize)]
pub struct PackDoc {
    pub totes: Vec<PackedToteDoc>,
    pub too_long: Vec<String>,
    pub oversize: Vec<String>,
    pub bench: Vec<String>,
    pub not_told: Vec<String>,
    /// What is assumed, and what is not checked.
    pub notes: Vec<String>,
    pub proven: bool,
    pub at_least: usize,
}

#[derive(Debug, Clone, Serialize)]
pub struct PackedToteDoc {
    pub code: String,
    pub pieces: Vec<String>,
    pub mass_g: i64,
    pub litres: f64,
}

/// Every date of the shows to come in one list, and what contradicts itself.
#[derive(Debug, Clone, Serialize)]
pub struct DatesDoc {
    pub dates: Vec<DateDoc>,
    pub conflicts: Vec<DateConflictDoc>,
    /// What keeps something from being compared.
    pub not_told: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct DateDoc {
    /// `2026-11-27` or `2026-11-27T17:00`, local.
    pub at: String,
    pub season: String,
    /// `work_from`, `rehearsal`, `rehearsal_dark`, `lights_on`, `lights_off`, `down_from`, or a duty's code.
    pub what: String,
    pub title: String,
}

/// Dates of one show, or of two, or pieces that both want.
#[derive(Debug, Clone, Serialize)]
pub struct DateConflictDoc {
    pub code: String,
    pub seasons: Vec<String>,
    pub what: String,
    pub remedy: String,
    /// Codes of the pieces that it is about.
    pub pieces: Vec<String>,
}
