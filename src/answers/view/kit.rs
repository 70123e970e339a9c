//! The Kit screen: what is owned; find anything.

use crate::domain::says_the_name;

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Kit {
    pub rows: Vec<KitRow>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum KitKind {
    Piece,
    Stock,
    Product,
    Placement,
    Place,
    Container,
    Person,
}

impl KitKind {
    /// The name of its table.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Piece => "piece",
            Self::Stock => "stock",
            Self::Product => "product",
            Self::Placement => "placement",
            Self::Place => "place",
            Self::Container => "container",
            Self::Person => "person",
        }
    }

    /// One of it, and many, in people's words.
    pub const fn said(self) -> (&'static str, &'static str) {
        match self {
            Self::Piece => ("piece", "pieces"),
            Self::Stock => ("stock", "stock"),
            Self::Product => ("product", "products"),
            Self::Placement => ("prop", "props"),
            Self::Place => ("place", "places"),
            Self::Container => ("tote", "totes and shelves"),
            Self::Person => ("person", "people"),
        }
    }
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitRow {
    pub kind: KitKind,
    pub id: uuid::Uuid,
    pub code: String,
    pub name: String,
    /// The owner's word for what it is.
    pub sort: String,
    /// Where it is or lives.
    pub home: String,
    /// "good", "faulty", "12 on hand" …
    pub state: String,
}

impl KitRow {
    /// The code, where it says more than the name.
    pub fn own_code(&self) -> &str {
        if says_the_name(&self.code, &self.name) { "" } else { &self.code }
    }
}

/// All about one row: asked for when it is marked.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct KitDetail {
    /// Label and text.
    pub lines: Vec<(String, String)>,
}
