//! Residual-current devices: what goes dark together when one trips, and whether it protects people.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::load::{Mains, Thing};
use crate::answers::power::mains::MAINS;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::domain::{Outlet, Season, Terms};
use crate::steps::Facts;
use crate::units::Current;

/// Which boxes, and which props on them, go dark together.
pub(super) fn groups(
    facts: &Facts,
    season: &Season,
    mains: &Mains,
    terms: Terms,
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let mut by: BTreeMap<&str, BTreeSet<Thing>> = BTreeMap::new();
    let mut untold = BTreeSet::new();
    for cord in mains.cords() {
        let outlet = mains.outlet(cord).and_then(|o| facts.yard.outlets.iter().find(|x| x.id == o));
        match outlet.map(|o| (o, o.residual_group.as_deref())) {
            Some((_, Some(group))) => by.entry(group).or_default().extend(mains.ends(cord)),
            Some((outlet, None)) => {
                untold.insert(outlet.code.as_str());
            }
            None => {}
        }
    }
    if !untold.is_empty() {
        let outlets = n_of(untold.len(), terms.outlet());
        not_told.push(format!("{} not told for {outlets} in use ({})", terms.residual(), some(untold)));
    }
    let fed = facts.fed_by(season.id);
    by.into_iter()
        .filter_map(|(group, things)| {
            let mut props: Vec<&str> = fed
                .iter()
                .filter(|(_, piece)| things.contains(&Thing::Piece(**piece)))
                .filter_map(|(prop, _)| facts.placement(*prop).map(|p| p.name.as_str()))
                .collect();
            props.sort_unstable();
            props.dedup();
            let mut codes: Vec<String> = things.iter().map(|t| mains.code(*t)).collect();
            codes.sort_unstable();
            let what = match props.as_slice() {
                [] => codes.join(", "),
                some => format!("{}: {}", codes.join(", "), some.join(", ")),
            };
            (codes.len() > 1 || props.len() > 1).then(|| {
                Finding::new(
                    Level::Note,
                    "dark_together",
                    group.to_owned(),
                    format!("go dark together when this {} trips", terms.residual()),
                    what,
                    "",
                    "spread what matters most over two of them",
                )
            })
        })
        .collect()
}

/// The most at which a residual-current device protects people: where clauses of the United States hold one of class A,
/// which trips at 4 to 6 mA (UL 943, from memory); elsewhere 30 mA (IEC 60364-4-41, 415.1, from memory).
const fn protective_ma(terms: Terms) -> i64 {
    match terms {
        Terms::Us => 6,
        Terms::Elsewhere => 30,
    }
}

/// The outlets in use against what protects people: one that trips later only protects what it feeds.
pub(super) fn protects(
    facts: &Facts,
    mains: &Mains,
    terms: Terms,
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    // Outlets of one group hang on one device.
    let trip = |o: &Outlet| {
        let same = |x: &&Outlet| x.residual_group.is_some() && x.residual_group == o.residual_group;
        o.trip_ma.or_else(|| facts.yard.outlets.iter().filter(same).filter_map(|x| x.trip_ma).max())
    };
    let outlets = mains.outlets_used().into_iter().map(|o| (o, trip(o)));
    let (told, untold): (Vec<_>, Vec<_>) = outlets.partition(|(_, trip)| trip.is_some());
    let word = terms.residual();
    let untold: Vec<&str> = untold.iter().map(|(o, _)| o.code.as_str()).collect();
    if !untold.is_empty() {
        not_told.push(format!(
            "trip current not told for {} in use ({}): leakage, and whether its {word} protects people, not checked",
            n_of(untold.len(), terms.outlet()),
            some(untold)
        ));
    }
    let most = Current::from_ma(protective_ma(terms));
    let late = told.into_iter().filter_map(|(o, trip)| Some((o, trip.filter(|trip| *trip > most)?)));
    late.map(|(outlet, trip)| {
        let amount = |c: Current| Amount::figure(format!("{} mA", c.ma()), "a", c.amps());
        Finding::new(
            Level::Mend,
            "residual_trip",
            outlet.code.clone(),
            format!("this {word} trips too late to protect people outdoors: it only protects what it feeds"),
            amount(trip),
            amount(most),
            match terms {
                Terms::Us => "have a GFCI of class A (4 to 6 mA) put in by a licensed electrician",
                Terms::Elsewhere => "have an RCD of 30 mA or less put in by a licensed electrician",
            },
        )
        .caution(MAINS)
    })
    .collect()
}
