//! The Yard screen: a drawn map of the places.

use crate::answers::view::Next;

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct YardMap {
    pub places: Vec<YardPlace>,
    /// What stands there as an outline.
    pub buildings: Vec<Building>,
    /// Positions were laid out, not told.
    pub laid_out: bool,
    /// What is next of the whole plan, wherever that is.
    pub next: Option<Next>,
    /// The code of the place to which the plan comes first.
    pub soonest: Option<String>,
    /// Props that have no place, with their steps.
    pub no_place: Option<(usize, usize)>,
}

/// A building by what its places span, in millimetres.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Building {
    pub name: String,
    pub x_mm: (i64, i64),
    pub y_mm: (i64, i64),
    /// The drive ends here.
    pub drive: bool,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct YardPlace {
    pub code: String,
    pub name: String,
    /// Millimetres from the left as seen from the street.
    pub x_mm: i64,
    /// Millimetres from the street to the house.
    pub y_mm: i64,
    /// Whether it has a spot on the map: it is measured, and more than an area of others.
    pub on_map: bool,
    pub access: &'static str,
    pub done: usize,
    pub total: usize,
    pub ready: usize,
    /// What is to be done next here, with its day where something must come before it, and its step.
    pub next: Option<String>,
    pub next_key: Option<String>,
    /// What is next of the whole plan is here.
    pub first: bool,
    pub faults: usize,
    /// Watts of what stands there at the show's level; nothing where not known.
    pub load_w: Option<i64>,
    pub placements: Vec<String>,
}
