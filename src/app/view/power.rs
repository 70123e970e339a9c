//! The Power screen: circuit → supply → port → prop, with loads.

use super::Level;

/// The severity of a finding.
pub type Severity = Level;

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Power {
    /// The tree, flattened in order, each with its depth.
    pub nodes: Vec<PowerNode>,
    pub findings: Vec<Finding>,
    pub not_told: Vec<String>,
    pub strings: Vec<StringVoltage>,
    /// "level 40 %, set in software only".
    pub level: String,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PowerNode {
    pub depth: usize,
    pub code: String,
    pub name: String,
    /// "circuit", "outlet", "box", "supply", "port", "prop".
    pub kind: &'static str,
    /// "6.2 A of 12 A".
    pub load: String,
    /// Load in thousandths of its limit; nothing where not known.
    pub share: Option<u32>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    pub level: Level,
    pub code: String,
    pub place: String,
    pub what: String,
    pub value: String,
    pub limit: String,
    pub remedy: String,
    pub caution: Option<String>,
}

/// The voltage along one string, in millivolts, from its data end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StringVoltage {
    pub name: String,
    pub millivolts: Vec<i64>,
    pub limit_mv: Option<i64>,
    /// Pixels where feeds enter.
    pub feeds: Vec<usize>,
}
