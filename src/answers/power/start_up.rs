//! Switching on: which boxes in which phase, with the peak and what runs after it, circuit by circuit.

use crate::answers::power::load::Mains;
use crate::answers::power::study::Study;
use crate::answers::power::words::{amps, outside, place};
use crate::answers::view::{Amount, Finding, Level, StartPhase};
use crate::answers::words::{n_of, some};
use crate::calc::electrical::startup_phases::{Curve, Input, startup_phases};
use crate::domain::{Circuit, Link, Season, Terms, TripCurve};
use crate::steps::Facts;
use crate::units::si::Amps;

/// What one cord from an outlet of a circuit starts, with its peak and what it draws once it runs.
struct OneBox {
    codes: String,
    /// How many of what starts there are.
    things: usize,
    /// Of what is told.
    peak: f64,
    /// Whether that is all.
    whole: bool,
    runs: Option<f64>,
}

fn by_circuit<'a>(facts: &Facts<'a>, mains: &Mains) -> Vec<(&'a Circuit, Vec<OneBox>)> {
    let one = |circuit: &Circuit, cord: &Link| {
        let volts = circuit.volts_mv.map(crate::units::Voltage::volts).filter(|v| *v > 0.0);
        let behind = mains.behind(std::iter::once(cord));
        let codes: Vec<String> = mains.ends(cord).into_iter().map(|t| mains.code(t)).collect();
        let (peak, whole) = mains.peak(&behind);
        OneBox {
            codes: codes.join(" and "),
            things: behind.iter().filter(|t| mains.draws(**t)).map(|t| mains.count(*t)).sum(),
            peak,
            whole,
            runs: volts.map(|v| mains.drawn(&behind).va / v),
        }
    };
    let of = |c: &'a Circuit| {
        let boxes: Vec<OneBox> = mains.of_circuit(c.id).into_iter().map(|cord| one(c, cord)).collect();
        (!boxes.is_empty()).then_some((c, boxes))
    };
    facts.yard.circuits.iter().filter_map(of).collect()
}

/// The phases of every circuit whose start-up currents are told, and what keeps the others from being computed.
pub(crate) fn look(
    facts: &Facts,
    season: &Season,
    study: &Study,
    words: Terms,
    not_told: &mut Vec<String>,
) -> (Vec<StartPhase>, Vec<Finding>) {
    let (mut phases, mut found) = (Vec::new(), Vec::new());
    let (mut unknown, mut unrated) = (Vec::new(), 0);
    for (circuit, boxes) in by_circuit(facts, &Mains::of(facts, season, study)) {
        let open: Vec<String> = boxes.iter().filter(|b| !b.whole).map(|b| b.codes.clone()).collect();
        let untold = open.len();
        unknown.extend(open);
        let Some(breaker) = circuit.breaker_ma.and_then(|b| Amps::new(b.amps()).ok()) else {
            unrated += 1;
            continue;
        };
        let peaks: Vec<Amps> = boxes.iter().filter_map(|b| Amps::new(b.peak).ok()).collect();
        let curve = match circuit.trip_curve {
            Some(TripCurve::C) => Curve::C,
            Some(TripCurve::D) => Curve::D,
            // The safe side where no letter is told.
            Some(TripCurve::B) | None => Curve::B,
        };
        let answer = match startup_phases(&Input { peaks, breaker, curve }) {
            Ok(answer) => answer,
            Err(refusal) => {
                found.push(outside(&place(circuit), &refusal, words));
                continue;
            }
        };
        let all: f64 = boxes.iter().map(|b| b.peak).sum();
        // What passes the limit does so whatever is not told; else nothing is known.
        if untold > 0 && all <= answer.limit_a {
            continue;
        }
        let name = |b: &OneBox| b.codes.clone();
        let mut running = 0.0;
        let mut order = Vec::new();
        for (n, members) in answer.phases.iter().enumerate() {
            let members: Vec<&OneBox> = members.iter().filter_map(|at| boxes.get(*at)).collect();
            let peak: f64 = members.iter().map(|b| b.peak).sum();
            running += members.iter().filter_map(|b| b.runs).sum::<f64>();
            let codes: Vec<String> = members.iter().map(|b| name(b)).collect();
            order.push(format!("{} ({})", codes.join(" with "), amps(peak)));
            if untold > 0 {
                continue;
            }
            phases.push(StartPhase {
                circuit: place(circuit),
                phase: n + 1,
                boxes: codes,
                peak: Amount::amps(peak),
                limit: Amount::amps(answer.limit_a),
                share: (peak / answer.limit_a * 1000.0).round() as u32,
                runs: boxes.iter().all(|b| b.runs.is_some()).then(|| Amount::amps(running)),
                over: peak > answer.limit_a,
            });
        }
        if all > answer.limit_a {
            let letter = if circuit.trip_curve.is_some() { "" } else { "; letter not told, B assumed" };
            let one_thing = boxes.iter().map(|b| b.things).sum::<usize>() == 1;
            let alone = answer.over_alone.iter().filter_map(|at| boxes.get(*at)).map(name);
            let alone: Vec<String> = alone.collect();
            let more = if alone.is_empty() {
                String::new()
            } else {
                format!("; {} passes it alone: switch its supplies on one by one", alone.join(", "))
            };
            let starts = match boxes.as_slice() {
                [one] => one.codes.clone(),
                _ => "all at once".to_owned(),
            };
            let remedy = if one_thing {
                format!(
                    "a breaker of a slower letter, put in by a licensed electrician, or a soft starter before {starts}"
                )
            } else {
                format!("switch on some seconds apart: {}{more}", order.join(", then "))
            };
            found.push(Finding::new(
                Level::Note,
                "start_up",
                place(circuit),
                format!("{starts} may trip this {}{letter}", words.breaker()),
                Amount::amps(all),
                Amount::amps(answer.limit_a),
                &remedy,
            ));
        }
    }
    if !unknown.is_empty() {
        not_told.push(format!(
            "start-up current not told for {things} ({codes}): phases of switching on not computed",
            things = n_of(unknown.len(), "thing"),
            codes = some(unknown)
        ));
    }
    if unrated > 0 {
        not_told.push(format!(
            "{} rating not told for {circuits}: phases of switching on not computed",
            words.breaker(),
            circuits = n_of(unrated, "circuit")
        ));
    }
    (phases, found)
}
