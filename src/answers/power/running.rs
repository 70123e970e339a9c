//! The season as it runs: energy and cost, leakage that adds up.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::power::levels::Levels;
use crate::answers::power::load::{Mains, Thing};
use crate::answers::power::study::{self, Study};
use crate::answers::power::words::outside;
use crate::answers::view::{Amount, Finding, Level, SeasonEnergy};
use crate::answers::words::n_of;
use crate::calc::electrical::energy::{Item, energy};
use crate::calc::electrical::leakage::leakage;
use crate::calc::electrical::{energy, leakage};
use crate::calc::refusal::Refusal;
use crate::domain::{LinkKind, Season, Terms};
use crate::steps::Facts;
use crate::units::si::{Amps, Watts};
use crate::units::{Money, figure};

/// Leakage of one small supply (common practice, no published source); an owner's meter knows better.
const LEAK_A: f64 = 0.000_5;

pub(crate) fn look(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    study: &Study,
    not_told: &mut Vec<String>,
) -> (Option<SeasonEnergy>, Vec<Finding>) {
    let (energy, said) = season_energy(outlook, facts, season, study, not_told);
    let mut found: Vec<Finding> = said.into_iter().collect();
    found.extend(leaks(facts, season, study, outlook.yard.terms()));
    (energy, found)
}

fn note(
    code: &str,
    place: &str,
    what: String,
    value: impl Into<Amount>,
    limit: impl Into<Amount>,
    remedy: String,
) -> Finding {
    Finding::new(Level::Note, code, place.to_owned(), what, value, limit, &remedy)
}

/// From nightly hours and the average level; nothing, and said so, where one of them is not told.
fn season_energy(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    study: &Study,
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
    // How far what runs at a level of its own goes down with the show's average nobody told.
    let own = study.levels.own_ones(facts);
    not_told.extend(own.map(|own| {
        format!("average level of what runs at its own ({own}) not told: the show's taken for the energy")
    }));
    let study = study::study(facts, season, Levels::all(level), true);
    let mains = Mains::of(facts, season, &study);
    let watts = mains.drawn(&mains.behind(mains.cords())).watts;
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
        format!(
            "energy of the season: {} W on average over {nights}",
            figure(watts, 0),
            nights = n_of(days, "night")
        ),
        Amount::figure(format!("{} kWh, {cost}", figure(answer.kwh, 0)), "kwh", answer.kwh),
        "",
        "a lower average level or shorter nights take less".to_owned(),
    )
    .by(
        "value_kwh = load_w * hours_a_night * nights / 1000",
        &[("load_w", watts), ("hours_a_night", hours), ("nights", days as f64)],
    );
    let nights = u32::try_from(days).unwrap_or_default();
    let cost = cents.map(|_| answer.cost);
    (Some(SeasonEnergy { watts, hours_a_night: hours, nights, kwh: answer.kwh, cost }), Some(finding))
}

/// "0.5 mA".
fn milliamps(a: f64) -> Amount {
    Amount::figure(format!("{} mA", figure(a * 1000.0, 1)), "a", a)
}

/// Standing leakage of all that hangs on one residual-current device, assumed for each supply.
fn leaks(facts: &Facts, season: &Season, study: &Study, words: Terms) -> Vec<Finding> {
    let mut by: BTreeMap<String, (Option<f64>, BTreeSet<Thing>)> = BTreeMap::new();
    let mains = Mains::of(facts, season, study);
    for outlet in &facts.yard.outlets {
        let things = mains.behind(mains.cords().filter(|c| c.from_outlet_id == Some(outlet.id)));
        let Some(group) = outlet.residual_group.clone().filter(|_| !things.is_empty()) else { continue };
        let entry = by.entry(group).or_default();
        // Of several told, the one that trips first.
        let told = outlet.trip_ma.map(crate::units::Current::amps);
        entry.0 = entry.0.into_iter().chain(told).reduce(f64::min);
        entry.1.extend(things.into_iter().filter(|t| mains.draws(*t)));
    }
    let word = words.residual();
    by.into_iter()
        .filter_map(|(group, (trip, things))| {
            let count = things.iter().map(|t| mains.count(*t)).sum::<usize>().max(1);
            let leaks = vec![Amps::new(LEAK_A).ok()?; count];
            let trip_a = trip?;
            let trip = Amps::new(trip_a).map_err(Refusal::from);
            let answer = match trip.and_then(|trip| leakage(&leakage::Input { trip, leaks })) {
                Ok(answer) => answer,
                Err(refusal) => return Some(outside(&group, &refusal, words)),
            };
            (!answer.within_plan).then(|| {
                note(
                    "leakage",
                    &group,
                    format!(
                        "leakage of {things} may trip this {word} in the wet (0.5 mA each assumed)",
                        things = n_of(count, "thing")
                    ),
                    milliamps(answer.leak_a),
                    milliamps(answer.planned_a),
                    format!("spread boxes over another {word}; meter the leakage to know"),
                )
                .by(
                    "value_a = each_a * things; limit_a = 0.3 * trip_a",
                    &[("each_a", LEAK_A), ("things", count as f64), ("trip_a", trip_a)],
                )
            })
        })
        .collect()
}
