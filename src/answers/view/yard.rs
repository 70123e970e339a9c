//! The Yard screen: a drawn map of the places.

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct YardMap {
    pub places: Vec<YardPlace>,
    /// Positions were laid out from the tree, not told.
    pub laid_out: bool,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct YardPlace {
    pub code: String,
    pub name: String,
    /// Millimetres east and south of the top left corner of the map.
    pub x_mm: i64,
    pub y_mm: i64,
    pub access: &'static str,
    pub done: usize,
    pub total: usize,
    pub ready: usize,
    pub faults: usize,
    /// Watts of what stands there at the show's level; nothing where not known.
    pub load_w: Option<i64>,
    pub placements: Vec<String>,
}
