//! The Power screen: circuit → supply → port → prop, with loads.

use crate::answers::view::{Amount, Finding};
use crate::domain::Numbering;

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Power {
    /// The tree, flattened in order, each with its depth.
    pub nodes: Vec<PowerNode>,
    pub findings: Vec<Finding>,
    pub not_told: Vec<String>,
    pub strings: Vec<StringVoltage>,
    /// "level 40 %, set in software only".
    pub level: String,
    /// Universes and slots of every data lead, set or proposed.
    pub numbers: Vec<NumberRow>,
    /// The way in which the open ones are proposed.
    pub numbering: Option<Numbering>,
    /// How boxes are switched on, circuit by circuit.
    pub start_up: Vec<StartPhase>,
    /// What is tried without touching facts; loads and voltages are then as they would be.
    pub tried: Option<Tried>,
}

/// A trial: what changes from the facts as they are.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tried {
    /// "level 60 %, a feed into HM26-24 at pixel 150".
    pub what: String,
    /// Lowest pixel of each string that changes.
    pub strings: Vec<TriedChange>,
    /// Load of each supply that changes.
    pub supplies: Vec<TriedChange>,
    pub gone: Vec<Finding>,
    pub come: Vec<Finding>,
}

/// Before and after; empty where it is not known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TriedChange {
    pub name: String,
    pub before: Amount,
    pub after: Amount,
    /// What it may carry.
    pub limit: Amount,
}

impl TriedChange {
    /// "20.0 A of 56.0 A", "not known".
    pub fn shown(&self, amount: &Amount) -> String {
        match (amount.is_empty(), self.limit.is_empty()) {
            (true, _) => "not known".to_owned(),
            (_, true) => amount.to_string(),
            _ => format!("{amount} of {}", self.limit),
        }
    }
}

/// Universes and slots of one data lead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NumberRow {
    /// The lead's code.
    pub lead: String,
    pub name: String,
    /// "universe 6 slot 1".
    pub first: String,
    pub last: String,
    /// "239.255.0.6 to 239.255.0.8": the multicast groups.
    pub groups: String,
    /// Not written yet.
    pub proposed: bool,
}

/// One phase of switching on at one circuit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StartPhase {
    pub circuit: String,
    pub phase: usize,
    pub boxes: Vec<String>,
    pub peak: Amount,
    pub limit: Amount,
    /// The peak in thousandths of the limit.
    pub share: u32,
    /// What runs on the circuit once the phase has started.
    pub runs: Option<Amount>,
    /// The peak passes what the circuit surely holds.
    pub over: bool,
}

/// What a season takes from the mains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeasonEnergy {
    /// At the average level.
    pub watts: f64,
    pub hours_a_night: f64,
    pub nights: u32,
    pub kwh: f64,
    /// In the site's currency; nothing where no price is told.
    pub cost: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PowerNode {
    /// Of a port: the lead's code.
    pub lead: Option<String>,
    pub depth: usize,
    pub code: String,
    pub name: String,
    /// "circuit", "start-up", "outlet", "box", "supply", "port", "prop".
    pub kind: &'static str,
    /// "6.2 A of 12 A".
    pub load: String,
    /// Load in thousandths of its limit; nothing where not known.
    pub share: Option<u32>,
    /// Of a prop: its lowest pixel.
    pub lowest_mv: Option<i64>,
    /// Of a prop: what its lowest pixel may have.
    pub limit_mv: Option<i64>,
}

/// The voltage along one string, in millivolts, from its data end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StringVoltage {
    pub name: String,
    /// The placement's code.
    pub code: String,
    pub millivolts: Vec<i64>,
    pub limit_mv: Option<i64>,
    /// Pixels where feeds enter.
    pub feeds: Vec<usize>,
}
