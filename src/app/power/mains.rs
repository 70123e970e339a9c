//! Circuits, cords, and what goes dark together when a protective device trips.

use std::collections::{BTreeMap, BTreeSet};

use super::feeds::rating;
use super::study::Study;
use crate::app::owner::App;
use crate::app::view::{Finding, Level};
use crate::calc::electrical::branch_load::{self, Load, branch_load};
use crate::calc::electrical::cord_amps::{self, cord_amps};
use crate::domain::{CircuitId, LinkKind, OutletId, PieceId, Season, Terms};
use crate::steps::Facts;
use crate::units::si::{Amps, Fraction, Metres, Volts, Watts};

/// Power factor of a supply without correction (common practice; the formula's notes give 0.55 to 0.65).
const POWER_FACTOR: f64 = 0.6;
/// Efficiency assumed where none is told.
const EFFICIENCY: f64 = 0.85;
const CONTINUOUS: f64 = 0.8;

const MAINS: &str = "Unplug before opening anything. What lies behind a terminal cover, and any new outlet, is work for a licensed electrician under local code.";

/// Watts drawn from the mains by what hangs on each outlet, at the level.
pub(in crate::app) fn outlet_watts(facts: &Facts, season: &Season, study: &Study) -> BTreeMap<OutletId, f64> {
    let links = facts.links_in(season.id);
    let supplies = study.supplies();
    let mut watts: BTreeMap<OutletId, f64> = BTreeMap::new();
    for link in links.iter().filter(|l| l.kind == LinkKind::Mains) {
        let (Some(outlet), Some(piece)) = (link.from_outlet_id, link.to_piece_id) else { continue };
        *watts.entry(outlet).or_default() += piece_watts(facts, &links, piece, &supplies);
    }
    watts
}

/// A box's supplies at their load, or a thing's own watts.
fn piece_watts(
    facts: &Facts,
    links: &[&crate::domain::Link],
    piece: PieceId,
    supplies: &BTreeMap<PieceId, (f64, f64)>,
) -> f64 {
    let product = facts.piece(piece).and_then(|p| facts.product(p.product_id));
    let own = product.and_then(|p| p.load_mw).map_or(0.0, crate::units::Power::watts);
    let inside: BTreeSet<PieceId> = links
        .iter()
        .filter(|l| l.kind == LinkKind::Dc && l.to_piece_id == Some(piece))
        .filter_map(|l| l.from_piece_id)
        .collect();
    let fed: f64 = inside
        .iter()
        .filter_map(|s| {
            let p = facts.piece(*s).and_then(|p| facts.product(p.product_id))?;
            let amps = supplies.get(s).map_or(0.0, |a| a.0.max(0.0));
            let efficiency = p.efficiency_pct.map_or(EFFICIENCY, crate::units::Percent::fraction).max(0.1);
            Some(amps * p.output_mv?.volts() / efficiency)
        })
        .sum();
    own + fed
}

pub(super) fn look(app: &App, facts: &Facts, season: &Season, study: &Study) -> Vec<Finding> {
    let us = app.yard().sites.first().is_none_or(|s| s.terms == Terms::Us);
    let mut found = Vec::new();
    let watts = outlet_watts(facts, season, study);
    found.extend(circuits(facts, &watts, us));
    found.extend(cords(facts, season, &watts, us));
    found.extend(groups(facts, season, us));
    found.extend(unrated(facts, study));
    found
}

fn circuits(facts: &Facts, watts: &BTreeMap<OutletId, f64>, us: bool) -> Vec<Finding> {
    let mut by: BTreeMap<CircuitId, f64> = BTreeMap::new();
    for outlet in &facts.yard.outlets {
        if let (Some(circuit), Some(w)) = (outlet.circuit_id, watts.get(&outlet.id)) {
            *by.entry(circuit).or_default() += w;
        }
    }
    let mut found = Vec::new();
    for circuit in &facts.yard.circuits {
        let Some(load) = by.get(&circuit.id) else { continue };
        let Some(answer) = circuit_load(circuit, *load) else { continue };
        if !answer.within_limit {
            let breaker = if us { "breaker" } else { "MCB" };
            found.push(Finding {
                level: if answer.over_breaker { Level::Stop } else { Level::Mend },
                code: "circuit_over".to_owned(),
                place: format!("{} {}", circuit.code, circuit.name),
                what: format!("more than its {breaker} carries without end"),
                value: format!("{:.1} A", answer.amps),
                limit: format!("{:.1} A", answer.limit_a),
                remedy: "move a box to another circuit, or lower the level".to_owned(),
                caution: Some(MAINS.to_owned()),
            });
        }
    }
    found
}

/// What a circuit carries against what it may; nothing where its breaker or voltage was not told.
pub(in crate::app) fn circuit_load(circuit: &crate::domain::Circuit, watts: f64) -> Option<branch_load::Output> {
    branch_load(&branch_load::Input {
        volts: Volts::new(circuit.volts_mv?.volts()).ok()?,
        breaker: Amps::new(circuit.breaker_ma?.amps()).ok()?,
        continuous: Fraction::new(CONTINUOUS).ok()?,
        loads: vec![Load { watts: Watts::new(watts).ok()?, power_factor: Fraction::new(POWER_FACTOR).ok()? }],
    })
    .ok()
}

/// Cords by gauge and length.
fn cords(facts: &Facts, season: &Season, watts: &BTreeMap<OutletId, f64>, us: bool) -> Vec<Finding> {
    let word = if us { "cord" } else { "lead" };
    let mut found = Vec::new();
    for link in facts.links_in(season.id).iter().filter(|l| l.kind == LinkKind::Mains) {
        let (Some(gauge), Some(length), Some(outlet)) = (link.wire, link.length_mm, link.from_outlet_id) else { continue };
        let Ok(length) = Metres::new(length.metres()) else { continue };
        let volts = facts
            .yard
            .outlets
            .iter()
            .find(|o| o.id == outlet)
            .and_then(|o| o.circuit_id)
            .and_then(|c| facts.yard.circuits.iter().find(|x| x.id == c))
            .and_then(|c| c.volts_mv)
            .map_or(120.0, crate::units::Voltage::volts);
        let amps = watts.get(&outlet).copied().unwrap_or(0.0) / volts / POWER_FACTOR;
        let Ok(allowed) = cord_amps(cord_amps::Input { gauge, length }) else { continue };
        if amps > allowed.get() {
            found.push(Finding {
                level: Level::Stop,
                code: "cord_over".to_owned(),
                place: link.code.clone(),
                what: format!("more than this {word} may carry at its length"),
                value: format!("{amps:.1} A"),
                limit: format!("{:.1} A", allowed.get()),
                remedy: format!("a heavier or shorter {word}"),
                caution: Some(MAINS.to_owned()),
            });
        }
    }
    found
}

/// Which boxes go dark together.
fn groups(facts: &Facts, season: &Season, us: bool) -> Vec<Finding> {
    let mut by: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for link in facts.links_in(season.id).iter().filter(|l| l.kind == LinkKind::Mains) {
        let outlet = link.from_outlet_id.and_then(|o| facts.yard.outlets.iter().find(|x| x.id == o));
        let (Some(group), Some(piece)) = (outlet.and_then(|o| o.residual_group.as_deref()), link.to_piece_id) else { continue };
        if let Some(piece) = facts.piece(piece) {
            by.entry(group).or_default().insert(piece.code.clone());
        }
    }
    by.into_iter()
        .filter(|(_, boxes)| boxes.len() > 1)
        .map(|(group, boxes)| Finding {
            level: Level::Note,
            code: "dark_together".to_owned(),
            place: group.to_owned(),
            what: format!("go dark together when this {} trips", if us { "GFCI" } else { "RCD" }),
            value: boxes.into_iter().collect::<Vec<_>>().join(", "),
            limit: "none".to_owned(),
            remedy: "spread what matters most over two of them".to_owned(),
            caution: None,
        })
        .collect()
}

/// Supplies whose rating was not told: never taken as fine.
fn unrated(facts: &Facts, study: &Study) -> Vec<Finding> {
    study
        .supplies()
        .keys()
        .filter(|id| rating(facts, **id).is_none())
        .filter_map(|id| facts.piece(*id))
        .map(|p| Finding {
            level: Level::Note,
            code: "rating_not_known".to_owned(),
            place: p.code.clone(),
            what: "its rating was not told: load not checked".to_owned(),
            value: "not known".to_owned(),
            limit: "not known".to_owned(),
            remedy: "read the watts off its label".to_owned(),
            caution: None,
        })
        .collect()
}
