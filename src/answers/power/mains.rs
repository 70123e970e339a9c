//! Circuits, cords, and what goes dark together when a protective device trips.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::power::feeds::rating;
use crate::answers::power::study::Study;
use crate::answers::power::words;
use crate::answers::power::words::{amps, some};
use crate::answers::view::{Finding, Level};
use crate::calc::electrical::branch_load::{Load, branch_load};
use crate::calc::electrical::cord_amps::cord_amps;
use crate::calc::electrical::cord_choice::{Sizes, cord_choice};
use crate::calc::electrical::mains_resistance::mains_resistance;
use crate::calc::electrical::voltage_drop::voltage_drop;
use crate::calc::electrical::{branch_load, cord_amps, cord_choice, voltage_drop};
use crate::calc::refusal::Refusal;
use crate::domain::{CircuitId, LinkKind, OutletId, PieceId, Season, Terms};
use crate::steps::Facts;
use crate::units::Gauge;
use crate::units::si::{Amps, Fraction, Metres, Volts, Watts};

/// Power factor of a supply without correction (common practice; the formula's notes give 0.55 to 0.65).
pub(crate) const POWER_FACTOR: f64 = 0.6;
/// Efficiency assumed where none is told.
const EFFICIENCY: f64 = 0.85;
/// Advice on drop over a cord (NEC 210.19 informational note).
const DROP: f64 = 0.03;

const MAINS: &str = "Unplug before opening anything. What lies behind a terminal cover, and any new outlet, is work for a licensed electrician under local code.";

/// Watts drawn from the mains by what hangs on each outlet, at the level.
pub(crate) fn outlet_watts(facts: &Facts, season: &Season, study: &Study) -> BTreeMap<OutletId, f64> {
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
pub(crate) fn piece_watts(
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

pub(crate) fn look(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    study: &Study,
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let terms = outlook.yard.terms();
    let mut found = Vec::new();
    let watts = outlet_watts(facts, season, study);
    found.extend(circuits(facts, &watts, terms, not_told));
    found.extend(cords(facts, season, study, terms, not_told));
    found.extend(groups(facts, season, terms));
    found.extend(unrated(facts, study));
    found
}

fn circuits(
    facts: &Facts,
    watts: &BTreeMap<OutletId, f64>,
    terms: Terms,
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let mut by: BTreeMap<CircuitId, f64> = BTreeMap::new();
    for outlet in &facts.yard.outlets {
        if let (Some(circuit), Some(w)) = (outlet.circuit_id, watts.get(&outlet.id)) {
            *by.entry(circuit).or_default() += w;
        }
    }
    let mut found = Vec::new();
    let mut unknown = 0;
    for circuit in &facts.yard.circuits {
        let Some(load) = by.get(&circuit.id) else { continue };
        let answer = match circuit_answer(circuit, *load) {
            Some(Ok(answer)) => answer,
            Some(Err(refusal)) => {
                found.push(words::outside(&words::place(circuit), &refusal, terms));
                continue;
            }
            None => {
                unknown += 1;
                continue;
            }
        };
        if !answer.within_limit {
            let breaker = terms.breaker();
            found.push(Finding {
                level: if answer.over_breaker { Level::Stop } else { Level::Mend },
                code: "circuit_over".to_owned(),
                place: words::place(circuit),
                what: format!("more than its {breaker} carries without end"),
                value: amps(answer.amps),
                limit: amps(answer.limit_a),
                remedy: "move a box to another circuit, or lower the level".to_owned(),
                caution: Some(MAINS.to_owned()),
            });
        }
    }
    if unknown > 0 {
        let breaker = terms.breaker();
        not_told.push(format!(
            "{breaker} rating or voltage not told for {unknown} circuits in use: load not checked"
        ));
    }
    found
}

fn circuit_answer(
    circuit: &crate::domain::Circuit,
    watts: f64,
) -> Option<Result<branch_load::Output, Refusal>> {
    let (volts, breaker) = (circuit.volts_mv?.volts(), circuit.breaker_ma?.amps());
    let compute = || {
        let power_factor = Fraction::new(POWER_FACTOR)?;
        branch_load(&branch_load::Input {
            volts: Volts::new(volts)?,
            breaker: Amps::new(breaker)?,
            continuous: Fraction::new(branch_load::CONTINUOUS)?,
            loads: vec![Load { watts: Watts::new(watts)?, power_factor }],
        })
    };
    Some(compute())
}

/// What a circuit carries against what it may; nothing where its breaker or voltage was not told, or is refused.
pub(crate) fn circuit_load(circuit: &crate::domain::Circuit, watts: f64) -> Option<branch_load::Output> {
    circuit_answer(circuit, watts)?.ok()
}

/// Cords by gauge and length: what they may carry, and what they lose.
fn cords(
    facts: &Facts,
    season: &Season,
    study: &Study,
    terms: Terms,
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let (word, sizes) = (terms.cord(), if terms == Terms::Us { Sizes::Awg } else { Sizes::Mm2 });
    let links = facts.links_in(season.id);
    let supplies = study.supplies();
    let mut found = Vec::new();
    let mut unknown = 0;
    for link in links.iter().filter(|l| l.kind == LinkKind::Mains) {
        let Some(piece) = link.to_piece_id else { continue };
        let volts = link
            .from_outlet_id
            .and_then(|id| facts.yard.outlets.iter().find(|o| o.id == id))
            .and_then(|o| o.circuit_id)
            .and_then(|c| facts.yard.circuits.iter().find(|x| x.id == c))
            .and_then(|c| c.volts_mv)
            .and_then(|v| Volts::new(v.volts()).ok());
        let length = link.length_mm.and_then(|l| Metres::new(l.metres()).ok());
        let (Some(gauge), Some(length), Some(volts)) = (link.wire, length, volts) else {
            unknown += 1;
            continue;
        };
        let drawn = piece_watts(facts, &links, piece, &supplies) / volts.get() / POWER_FACTOR;
        let (Ok(amps), Ok(limit)) = (Amps::new(drawn), Fraction::new(DROP)) else { continue };
        let choice = cord_choice(cord_choice::Input { sizes, volts, amps, length, limit });
        let remedy = choice.map_or_else(
            |_| format!("a shorter {word}, less load, or another outlet"),
            |c| format!("a {word} of {} at least, or a shorter one", Gauge::show(c.gauge)),
        );
        let mut say = |level, code: &str, what: String, value: String, limit: String| {
            found.push(Finding {
                level,
                code: code.to_owned(),
                place: link.code.clone(),
                what,
                value,
                limit,
                remedy: remedy.clone(),
                caution: Some(MAINS.to_owned()),
            });
        };
        let allowed = cord_amps(cord_amps::Input { gauge, length });
        if let Ok(allowed) = allowed
            && amps > allowed
        {
            let what = format!("more than this {word} may carry at its length");
            say(Level::Stop, "cord_over", what, words::amps(drawn), words::amps(allowed.get()));
        }
        let drop = mains_resistance(gauge).and_then(|ohm_per_m| {
            voltage_drop(voltage_drop::Input { volts, ohm_per_m, length, amps, limit })
        });
        if let Ok(d) = drop
            && !d.within_limit
        {
            let what = format!("this {word} loses more than {:.0} % on the way", DROP * 100.0);
            say(
                Level::Mend,
                "cord_drop",
                what,
                format!("{:.1} V", d.drop_v),
                format!("{:.1} V", volts.get() * DROP),
            );
        }
        // A length that neither formula takes is said once.
        let refused = [allowed.err(), drop.err()].into_iter().flatten().next();
        found.extend(refused.map(|refusal| words::outside(&link.code, &refusal, terms)));
    }
    if unknown > 0 {
        not_told.push(format!("wire, length or voltage not told for {unknown} mains {word}s: not checked"));
    }
    found
}

/// Which boxes, and which props on them, go dark together.
fn groups(facts: &Facts, season: &Season, terms: Terms) -> Vec<Finding> {
    let mut by: BTreeMap<&str, BTreeSet<PieceId>> = BTreeMap::new();
    for link in facts.links_in(season.id).iter().filter(|l| l.kind == LinkKind::Mains) {
        let outlet = link.from_outlet_id.and_then(|o| facts.yard.outlets.iter().find(|x| x.id == o));
        let (Some(group), Some(piece)) = (outlet.and_then(|o| o.residual_group.as_deref()), link.to_piece_id)
        else {
            continue;
        };
        by.entry(group).or_default().insert(piece);
    }
    let fed = facts.fed_by(season.id);
    by.into_iter()
        .filter_map(|(group, boxes)| {
            let mut props: Vec<&str> = fed
                .iter()
                .filter(|(_, piece)| boxes.contains(piece))
                .filter_map(|(prop, _)| facts.placement(*prop).map(|p| p.name.as_str()))
                .collect();
            props.sort_unstable();
            props.dedup();
            let mut boxes: Vec<&str> =
                boxes.iter().filter_map(|p| facts.piece(*p)).map(|p| p.code.as_str()).collect();
            boxes.sort_unstable();
            let what = match props.as_slice() {
                [] => boxes.join(", "),
                some => format!("{}: {}", boxes.join(", "), some.join(", ")),
            };
            (boxes.len() > 1 || props.len() > 1).then(|| Finding {
                level: Level::Note,
                code: "dark_together".to_owned(),
                place: group.to_owned(),
                what: format!("go dark together when this {} trips", terms.residual()),
                value: what,
                limit: "none".to_owned(),
                remedy: "spread what matters most over two of them".to_owned(),
                caution: None,
            })
        })
        .collect()
}

/// Supplies whose rating was not told: never taken as fine, one line for all.
fn unrated(facts: &Facts, study: &Study) -> Option<Finding> {
    let mut names: Vec<String> = study
        .supplies()
        .keys()
        .filter(|id| rating(facts, **id).is_none())
        .filter_map(|id| facts.piece(*id))
        .map(|p| p.code.clone())
        .collect();
    names.sort();
    (!names.is_empty()).then(|| Finding {
        level: Level::Note,
        code: "rating_not_known".to_owned(),
        place: some(names.into_iter()),
        what: "rating not told: load not checked".to_owned(),
        value: "not known".to_owned(),
        limit: "not known".to_owned(),
        remedy: "read the watts off its label".to_owned(),
        caution: None,
    })
}
