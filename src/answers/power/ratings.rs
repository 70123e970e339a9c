//! Plugs of mains cords against what goes through them.

use std::collections::BTreeSet;

use crate::answers::power::load::Mains;
use crate::answers::power::mains::MAINS;
use crate::answers::power::plugs;
use crate::answers::power::words::over;
use crate::answers::view::{Amount, Finding, Level};
use crate::domain::plug::rated_amps;
use crate::domain::{Link, Terms};

/// What the plug of a home is made for: NEMA 5-15, CEE 7/7.
const fn usual(us: bool) -> f64 {
    if us { 15.0 } else { 16.0 }
}

/// Whether the plug that goes into the outlet, or into the cord before, is told and known.
pub(super) fn plug_told(mains: &Mains, cord: &Link) -> bool {
    let us = mains.facts().yard.terms() == Terms::Us;
    let first = plugs::of_way(mains.facts(), cord).into_iter().next().and_then(|(_, family)| family);
    first.is_some_and(|family| rated_amps(&family, us).is_some())
}

/// The plugs of a cord that are made for less than goes through them; `plugless`: cords that carry more than a usual plug
/// may, of whose plug nothing is told.
pub(super) fn plugs(mains: &Mains, cord: &Link, volts: f64, plugless: &mut BTreeSet<String>) -> Vec<Finding> {
    let facts = mains.facts();
    let us = facts.yard.terms() == Terms::Us;
    let va = mains.on_cord(cord).va;
    let amps = va / volts;
    let families = plugs::of_way(facts, cord);
    let rated = |family: &Option<String>| family.as_deref().and_then(|f| rated_amps(f, us));
    if !plug_told(mains, cord) && over(amps, usual(us)) {
        plugless.insert(cord.code.clone());
    }
    let mut said = BTreeSet::new();
    let small = families.into_iter().filter_map(|(name, family)| Some((name, rated(&family)?, family?)));
    small
        .filter(|(_, may, family)| over(amps, *may) && said.insert(family.clone()))
        .map(|(name, may, family)| {
            Finding::new(
                Level::Stop,
                "plug_over",
                cord.code.clone(),
                format!("more than the plug of {name} is made for, {family}"),
                Amount::amps(amps),
                Amount::amps(may),
                "spread the load over two outlets, or take a cord whose plugs are made for it",
            )
            .by("value_a = load_va / volts_v", &[("load_va", va), ("volts_v", volts)])
            .caution(MAINS)
        })
        .collect()
}
