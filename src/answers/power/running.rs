//! The season as it runs: energy and cost, leakage that adds up.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::power::mains::outlet_watts;
use crate::answers::power::study;
use crate::answers::power::words::outside;
use crate::answers::view::{Finding, Level, SeasonEnergy};
use crate::calc::electrical::energy::{Item, energy};
use crate::calc::electrical::leakage::leakage;
use crate::calc::electrical::{energy, leakage};
use crate::calc::refusal::Refusal;
use crate::domain::{LinkKind, Outlet, PieceId, Season, Terms};
use crate::steps::Facts;
use crate::units::Money;
use crate::units::si::{Amps, Watts};

/// Leakage of one small supply (common practice, no published source); an owner's meter knows better.
const LEAK_A: f64 = 0.000_5;

pub(crate) fn look(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    not_told: &mut Vec<String>,
) -> (Option<SeasonEnergy>, Vec<Finding>) {
    let (energy, said) = season_energy(outlook, facts, season, not_told);
    let mut found: Vec<Finding> = said.into_iter().collect();
    found.extend(leaks(facts, season, outlook.yard.terms(), not_told));
    (energy, found)
}

fn note(code: &str, place: &str, what: String, value: String, limit: String, remedy: String) -> Finding {
    Finding {
        level: Level::Note,
        code: code.to_owned(),
        place: place.to_owned(),
        what,
        value,
        limit,
        remedy,
        caution: None,
    }
}

/// From nightly hours and the average level; nothing, and said so, where one of them is not told.
fn season_energy(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    not_told: &mut Vec<String>,
) -> (Option<SeasonEnergy>, Option<Finding>) {
    if !facts.links_in(season.id).iter().any(|l| l.kind == LinkKind::Mains) {
        return (None, None);
    }
    let told = (season.nightly_minutes(), season.lights_on.zip(season.lights_off), season.average_level_pct);
    let (Some(minutes), Some((first, last)), Some(level)) = told else {
        not_told.push("nightly hours, nights or average level not told: energy not computed".to_owned());
        return (None, None);
    };
    let days = (last - first.date()).num_days() + 1;
    let study = study(outlook, facts, season, Some(level));
    let watts: f64 = outlet_watts(facts, season, &study).values().sum();
    let cents = outlook.yard.sites.first().and_then(|s| s.energy_cents_per_kwh);
    let hours = minutes as f64 / 60.0;
    let compute = || {
        let items = vec![Item { watts: Watts::new(watts)?, hours_a_day: hours, days: days as f64 }];
        energy(&energy::Input { items, price_per_kwh: cents.unwrap_or(0) as f64 / 100.0 })
    };
    let answer = match compute() {
        Ok(answer) => answer,
        Err(refusal) => return (None, Some(outside(&season.name, &refusal, outlook.yard.terms()))),
    };
    let cost = cents.map_or_else(
        || "cost not known: price not told".to_owned(),
        |_| Money::from_cents((answer.cost * 100.0).round() as i64).show(&outlook.currency()),
    );
    let finding = note(
        "season_energy",
        &season.name,
        format!("energy of the season: {watts:.0} W on average over {days} nights"),
        format!("{:.0} kWh, {cost}", answer.kwh),
        "none".to_owned(),
        "a lower average level or shorter nights take less".to_owned(),
    );
    let nights = u32::try_from(days).unwrap_or_default();
    let cost = cents.map(|_| answer.cost);
    (Some(SeasonEnergy { watts, hours_a_night: hours, nights, kwh: answer.kwh, cost }), Some(finding))
}

/// The supplies and other things behind each outlet.
pub(crate) fn behind(facts: &Facts, season: &Season) -> Vec<(Outlet, PieceId, BTreeSet<PieceId>)> {
    let links = facts.links_in(season.id);
    links
        .iter()
        .filter(|l| l.kind == LinkKind::Mains)
        .filter_map(|l| {
            let outlet = facts.yard.outlets.iter().find(|o| Some(o.id) == l.from_outlet_id)?;
            let piece = l.to_piece_id?;
            let supplies: BTreeSet<PieceId> = links
                .iter()
                .filter(|d| d.kind == LinkKind::Dc && d.to_piece_id == Some(piece))
                .filter_map(|d| d.from_piece_id)
                .collect();
            Some((outlet.clone(), piece, supplies))
        })
        .collect()
}

/// Standing leakage of all that hangs on one residual-current device, assumed for each supply.
fn leaks(facts: &Facts, season: &Season, words: Terms, not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut by: BTreeMap<String, (Option<f64>, usize)> = BTreeMap::new();
    for (outlet, _, supplies) in behind(facts, season) {
        let Some(group) = outlet.residual_group else { continue };
        let entry = by.entry(group).or_default();
        entry.0 = entry.0.or(outlet.trip_ma.map(crate::units::Current::amps));
        entry.1 += supplies.len().max(1);
    }
    let word = words.residual();
    let untold = by.values().filter(|(trip, _)| trip.is_none()).count();
    if untold > 0 {
        not_told.push(format!("trip current not told for {untold} {word}s: leakage not checked"));
    }
    by.into_iter()
        .filter_map(|(group, (trip, count))| {
            let leaks = vec![Amps::new(LEAK_A).ok()?; count];
            let trip = Amps::new(trip?).map_err(Refusal::from);
            let answer = match trip.and_then(|trip| leakage(&leakage::Input { trip, leaks })) {
                Ok(answer) => answer,
                Err(refusal) => return Some(outside(&group, &refusal, words)),
            };
            (!answer.within_plan).then(|| {
                note(
                    "leakage",
                    &group,
                    format!(
                        "leakage of {count} supplies may trip this {word} in the wet (0.5 mA each assumed)"
                    ),
                    format!("{:.1} mA", answer.leak_a * 1000.0),
                    format!("{:.1} mA", answer.planned_a * 1000.0),
                    format!("spread boxes over another {word}; meter the leakage to know"),
                )
            })
        })
        .collect()
}
