//! Failure rates by product, batch, kind, IP class, method and place, each with its exact interval.

use std::collections::BTreeMap;

use crate::answers::record::CONFIDENCE;
use crate::answers::record::units::UnitSeason;
use crate::stats::{BetaPrior, Interval, Posterior, proportion, rate};
use crate::steps::Facts;

/// What unit-seasons are grouped by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum By {
    Kind,
    Product,
    Batch,
    IpClass,
    Method,
    Place,
}

impl By {
    pub(crate) const ALL: [Self; 6] =
        [Self::Kind, Self::Product, Self::Batch, Self::IpClass, Self::Method, Self::Place];

    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Kind => "kind",
            Self::Product => "product",
            Self::Batch => "batch",
            Self::IpClass => "IP class",
            Self::Method => "method",
            Self::Place => "place",
        }
    }
}

/// Unit-seasons the usual share is worth when a small sample is drawn towards it. Common practice, no published
/// source.
const USUAL_WEIGHT: f64 = 4.0;

/// One group with what it came to.
#[derive(Debug, Clone)]
pub(crate) struct Group {
    pub by: By,
    pub name: String,
    /// Places in the list of unit-seasons.
    pub members: Vec<usize>,
    /// Unit-seasons with at least one failure.
    pub failed: u64,
    pub faults: u64,
    pub share: Interval,
    /// Thousand pixel-hours, and failures in one of them; nothing where not told for all.
    pub pixel_hours: Option<(f64, Interval)>,
    /// The share drawn towards that of everything.
    pub drawn: Posterior,
}

impl Group {
    pub(crate) fn units(&self) -> u64 {
        self.members.len() as u64
    }
}

/// The name of a unit in a grouping; nothing where it was not told, or where the grouping makes no sense of it.
pub(crate) fn name_in(facts: &Facts, unit: &UnitSeason, by: By) -> Option<String> {
    let told = |t: &str| (!t.is_empty()).then(|| t.to_owned());
    match by {
        By::Kind => told(&unit.product.kind).or_else(|| told(unit.product.role.as_str())),
        By::Product => told(&unit.product.name),
        By::Batch => told(&unit.piece?.batch),
        // Boxes and supplies lie elsewhere and are made otherwise: props are compared with props.
        _ if !unit.is_prop() => None,
        By::IpClass => told(unit.product.ip_class.as_deref()?),
        By::Method => facts.method_of(unit.placement).map(|m| m.name.clone()),
        By::Place => unit.placement.place_id.and_then(|p| facts.place(p)).map(|p| p.name.clone()),
    }
}

/// Every group of every grouping, the worst share first.
pub(crate) fn groups(facts: &Facts, units: &[UnitSeason]) -> Vec<Group> {
    let usual = usual(units);
    let mut out = Vec::new();
    for by in By::ALL {
        let mut members: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (at, unit) in units.iter().enumerate() {
            if let Some(name) = name_in(facts, unit, by) {
                members.entry(name).or_default().push(at);
            }
        }
        let mut list: Vec<Group> =
            members.into_iter().filter_map(|(name, m)| group(units, by, name, m, usual)).collect();
        list.sort_by(|a, b| b.drawn.mean.total_cmp(&a.drawn.mean).then_with(|| a.name.cmp(&b.name)));
        out.extend(list);
    }
    out
}

/// The share of all unit-seasons that failed, as the belief about a group not seen yet.
pub(crate) fn usual(units: &[UnitSeason]) -> BetaPrior {
    let failed = units.iter().filter(|u| u.faults > 0).count() as f64;
    // Half a failure and half a sound one more: never quite 0 or 1.
    let share = (failed + 0.5) / (units.len() as f64 + 1.0);
    BetaPrior { a: share * USUAL_WEIGHT, b: (1.0 - share) * USUAL_WEIGHT }
}

pub(crate) fn group(
    units: &[UnitSeason],
    by: By,
    name: String,
    members: Vec<usize>,
    usual: BetaPrior,
) -> Option<Group> {
    let of: Vec<&UnitSeason> = members.iter().filter_map(|m| units.get(*m)).collect();
    let n = of.len() as u64;
    let failed = of.iter().filter(|u| u.faults > 0).count() as u64;
    let faults: u64 = of.iter().map(|u| u.faults).sum();
    let thousands = of.iter().map(|u| u.pixel_hours).sum::<Option<f64>>().map(|h| h / 1000.0);
    let pixel_hours =
        thousands.filter(|t| *t > 0.0).and_then(|t| Some((t, rate(faults, t, CONFIDENCE).ok()?)));
    Some(Group {
        by,
        name,
        failed,
        faults,
        share: proportion(failed, n, CONFIDENCE).ok()?,
        pixel_hours,
        drawn: usual.after(failed, n, CONFIDENCE).ok()?,
        members,
    })
}
