//! A finding: what it is in words, and its figures by name.

use serde::Serialize;

/// One finding of a check or of verify.
#[derive(Debug, Clone, Serialize)]
pub struct FindingDoc {
    pub severity: String,
    pub code: String,
    pub place: String,
    pub what: String,
    /// In words where it is no figure.
    pub value: Option<String>,
    pub limit: Option<String>,
    /// Flat in the finding: `value_a`, `limit_a`, `load_w` …
    #[serde(flatten)]
    pub figures: Figures,
    /// How figures follow from others, in their names.
    pub formula: Option<String>,
    pub remedy: String,
    pub caution: Option<String>,
}

/// Numbers by name, in SI with the unit in the name.
pub type Figures = std::collections::BTreeMap<String, f64>;
