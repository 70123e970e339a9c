//! A lead that is named for a way, against what was told of the way: it must reach, and have the wire that was reckoned
//! with.

use crate::answers::view::{Amount, Finding, Level};
use crate::domain::{LinkKind, Season};
use crate::steps::Facts;
use crate::units::System;

/// What a tape measure and a lead's own curl may differ by (common practice, no published source).
const MEASURED: f64 = 0.99;

/// The leads of some kinds that are shorter than their way, or of thinner wire than is told for it.
pub(crate) fn look(facts: &Facts, season: &Season, units: System, kinds: &[LinkKind]) -> Vec<Finding> {
    let mut found = Vec::new();
    for link in facts.links_in(season.id).into_iter().filter(|l| kinds.contains(&l.kind)) {
        let Some(lead) = link.lead_id.and_then(|l| facts.piece(l)) else { continue };
        let product = facts.product(lead.product_id);
        let place = format!("{}, lead {}", link.code, lead.code);
        let long = lead.length_mm.or(product.and_then(|p| p.length_mm));
        if let Some((long, way)) = long.zip(link.length_mm)
            && long.metres() < way.metres() * MEASURED
        {
            found.push(Finding::new(
                Level::Mend,
                "lead_short",
                place.clone(),
                "this lead is shorter than its way".to_owned(),
                Amount::length(long, units),
                Amount::length(way, units),
                "take a longer lead, or measure the way again",
            ));
        }
        let wire = product.and_then(|p| p.wire);
        if let Some((has, told)) = wire.zip(link.wire)
            && has.area_mm2() < told.area_mm2() * MEASURED
        {
            found.push(Finding::new(
                Level::Mend,
                "lead_wire",
                place,
                "this lead has thinner wire than is told for its way: its load and its fuse are reckoned too kindly"
                    .to_owned(),
                Amount::figure(has.show(), "m2", has.area_mm2() * 1e-6),
                Amount::figure(told.show(), "m2", told.area_mm2() * 1e-6),
                "correct the wire of the way, or take another lead",
            ));
        }
    }
    found
}
