//! What is to be packed, by which rules, and the answer.

use std::fmt;

use crate::units::{Length, Mass, Percent, Volume};

/// The kind of tote, of which there are as many as needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tote {
    pub volume: Volume,
    /// How full it may be, 1 to 100.
    pub fill: Percent,
    pub tare: Mass,
    /// With its own weight.
    pub max_gross: Mass,
    /// Longest thing that lies inside.
    pub longest: Length,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rules {
    pub tote: Tote,
    /// Things of several places may share a tote.
    pub mix_places: bool,
    /// Classes that may not share a tote.
    pub keep_apart: Vec<(String, String)>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    pub id: String,
    /// Where it is used.
    pub place: String,
    pub volume: Volume,
    pub weight: Mass,
    /// Longest dimension, where told.
    pub longest: Option<Length>,
    pub class: Option<String>,
    /// Items with the same word lie in one tote.
    pub keep_with: Option<String>,
}

/// Whether fewer totes are impossible.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proof {
    Proven,
    /// The search was cut short; fewer than `at_least` are impossible.
    BestFound {
        at_least: usize,
    },
}

/// Who lies where, by place in the list of items.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Packing {
    pub totes: Vec<Vec<usize>>,
    /// Longer than any tote: packed apart.
    pub too_long: Vec<usize>,
    /// Keep-together groups, or single items, that fit no tote; the rest is packed.
    pub oversize: Vec<Vec<usize>>,
    pub proof: Proof,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PackError {
    /// A volume, weight or length below zero.
    Negative { item: String },
    /// The tote holds nothing: no volume, a fill outside 1 to 100, or a tare at or above the gross weight.
    Tote { usable_ml: i64, payload_g: i64 },
}

impl PackError {
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Negative { .. } => "packing.negative",
            Self::Tote { .. } => "packing.tote",
        }
    }
}

impl fmt::Display for PackError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Negative { item } => {
                write!(f, "{item}: volume, weight and length are zero or more; correct it")
            }
            Self::Tote { usable_ml, payload_g } => write!(
                f,
                "the tote takes {usable_ml} mL and {payload_g} g; both must be more than zero: correct volume, \
                 fill, own weight or greatest weight"
            ),
        }
    }
}

impl std::error::Error for PackError {}
