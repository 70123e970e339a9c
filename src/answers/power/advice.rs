//! Where to feed a string that runs low: the fewest added feeds, and the cable for them.

use std::collections::BTreeSet;

use crate::answers::power::leads;
use crate::answers::power::study::Study;
use crate::answers::power::wiring::resistance;
use crate::answers::words::n_of;
use crate::calc::electrical::added_feeds;
use crate::calc::electrical::added_feeds::added_feeds;
use crate::calc::electrical::conductor_size;
use crate::calc::electrical::conductor_size::conductor_size;
use crate::calc::electrical::network::{Network, Point};
use crate::domain::{LinkKind, PlacementId, Season};
use crate::steps::Facts;
use crate::units::figure;
use crate::units::si::{Amps, Fraction, Metres, Ohms, Volts};

/// More feeds than this are no advice: the string wants splitting.
const MOST: u32 = 4;
/// Every place that is tried is one solution of the network; so many pixels together are searched in a second.
const MOST_SEARCHED: u32 = 1_500;

/// In words; nothing where the string hangs on no lead whose wire, length and pitch are told.
pub(crate) fn feeds(
    facts: &Facts,
    season: &Season,
    study: &Study,
    prop: PlacementId,
    limit: f64,
) -> Option<String> {
    let placement = facts.placement(prop)?;
    let whole = &study.wiring.network;
    let (lead, cable) = facts
        .links_in(season.id)
        .into_iter()
        .filter(|l| l.kind == LinkKind::Dc && l.to_placement_id == Some(prop) && l.from_piece_id.is_some())
        .find_map(|l| whole.cables.iter().find(|c| c.name == l.code).map(|c| (l, c)))?;
    let gauge = lead.wire?;
    let network = together(whole, &placement.code);
    let pixels: u32 = network.chains.iter().map(|c| c.pixels).sum();
    if pixels > MOST_SEARCHED {
        return Some(format!(
            "more feeds, nearer supplies or a lower level; where is not searched for {pixels} pixels that hang together, \
             {MOST_SEARCHED} at most"
        ));
    }
    let answer = added_feeds(&added_feeds::Input {
        network: &network,
        chain: &placement.code,
        from: cable.from.clone(),
        base: Metres::new(lead.length_mm?.metres()).ok()?,
        pitch: Metres::new(facts.product_of(placement)?.pitch_mm?.metres()).ok()?,
        wire: resistance(gauge).ok()?,
        series: Ohms::new(0.0).ok()?,
        limit: Volts::new(limit).ok()?,
        most_added: MOST,
    })
    .ok()?;
    let Some(plan) = answer.plan else {
        return Some(format!(
            "not even {MOST} more feeds are enough: thicker lead-in, a nearer supply, or a lower level"
        ));
    };
    let at: Vec<String> = plan.added.iter().map(u32::to_string).collect();
    Some(format!(
        "{}, at pixel {} ({} m of {} in all), give {} V at the lowest; or a lower level",
        n_of(plan.added.len(), "more feed"),
        at.join(", "),
        figure(plan.cable_m, 1),
        gauge.show(),
        figure(plan.lowest_v, 2)
    ))
}

/// Ohm circular mils a foot of copper that is warm from its load.
const COPPER_K: f64 = 12.9;

/// The wire of the lead with which a thing without pixels gets its lowest volts; nothing where that is not known.
pub(crate) fn thicker(
    facts: &Facts,
    season: &Season,
    study: &Study,
    prop: PlacementId,
    limit: f64,
) -> Option<String> {
    let product = facts.placement(prop).and_then(|p| facts.product_of(p))?;
    let volts = product.volts_mv.filter(|_| product.pixels.is_none_or(|n| n <= 1))?.volts();
    let links = facts.links_in(season.id);
    let mut into = links.iter().filter(|l| l.kind == LinkKind::Dc && l.to_placement_id == Some(prop));
    let lead = into.next().filter(|l| l.from_piece_id.is_some() && into.next().is_none())?;
    let needed = conductor_size(conductor_size::Input {
        volts: Volts::new(volts).ok()?,
        limit: Fraction::new(1.0 - limit / volts).ok()?,
        amps: Amps::new(study.lead_amps(&lead.code)?).ok()?,
        round_trip: Metres::new(2.0 * leads::length(facts, lead)?.metres()).ok()?,
        k: COPPER_K,
    });
    let gauge = needed.ok()?.gauge?;
    Some(format!("a lead-in of {} or thicker, or a shorter one", gauge.show()))
}

fn name(point: &Point) -> (u8, &str) {
    match point {
        Point::Supply(n) => (0, n),
        Point::Junction(n) => (1, n),
        Point::Pixel(n, _) => (2, n),
    }
}

/// The part of the yard that hangs together with a string.
fn together(whole: &Network, chain: &str) -> Network {
    let mut reached: BTreeSet<(u8, &str)> = BTreeSet::from([(2, chain)]);
    loop {
        let before = reached.len();
        for cable in &whole.cables {
            let ends = [name(&cable.from), name(&cable.to)];
            if ends.iter().any(|e| reached.contains(e)) {
                reached.extend(ends);
            }
        }
        if reached.len() == before {
            break;
        }
    }
    let mut part = whole.clone();
    part.supplies.retain(|s| reached.contains(&(0, s.name.as_str())));
    part.junctions.retain(|j| reached.contains(&(1, j.as_str())));
    part.chains.retain(|c| reached.contains(&(2, c.name.as_str())));
    part.cables.retain(|c| reached.contains(&name(&c.from)));
    part
}
