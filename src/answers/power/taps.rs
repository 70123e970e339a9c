//! Cords and splitters one after another, and plugs for which a splitter has no outlet.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::load::{Mains, Thing};
use crate::answers::power::mains::MAINS;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::domain::{Link, Role, Terms};
use crate::units::figure;

pub(super) fn look(mains: &Mains, terms: Terms, not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut found = cords_in_a_row(mains, terms);
    found.extend(splitters_in_a_row(mains));
    found.extend(outlets(mains, terms, not_told));
    found.extend(rated(mains));
    found
}

/// What goes through a splitter against the watts that it is rated for, where they are told.
fn rated(mains: &Mains) -> Vec<Finding> {
    let splitters: BTreeSet<Thing> =
        mains.cords().flat_map(|c| mains.starts(c)).filter(|t| is(mains, *t, Role::Adaptor)).collect();
    let over = |thing: Thing| {
        let rated = mains.product_of(thing)?.rated_mw?.watts() * mains.count(thing) as f64;
        let watts = mains.drawn(&mains.behind(mains.cords().filter(|c| mains.begins(c, thing)))).watts;
        (watts > rated).then(|| {
            Finding::new(
                Level::Stop,
                "splitter_over",
                mains.code(thing),
                "more goes through it than it is rated for".to_owned(),
                Amount::figure(format!("{} W", figure(watts, 0)), "w", watts),
                Amount::figure(format!("{} W", figure(rated, 0)), "w", rated),
                "plug the others in elsewhere",
            )
            .caution(MAINS)
        })
    };
    splitters.into_iter().filter_map(over).collect()
}

fn is(mains: &Mains, thing: Thing, role: Role) -> bool {
    mains.product_of(thing).is_some_and(|p| p.role == role)
}

/// Whether a cord leads back to where it begins; rings are said by themselves.
fn in_a_ring(mains: &Mains, cord: &Link) -> bool {
    let behind = mains.behind(std::iter::once(cord));
    mains.starts(cord).iter().any(|t| behind.contains(t))
}

/// Extension leads that are plugged into one another, with nothing between them.
fn cords_in_a_row(mains: &Mains, terms: Terms) -> Vec<Finding> {
    let mut runs: BTreeSet<Vec<String>> = BTreeSet::new();
    for cord in mains.cords().filter(|c| !in_a_ring(mains, c)) {
        let mut run: Vec<String> = Vec::new();
        for (n, link) in mains.row(cord).into_iter().enumerate() {
            if n > 0 && !mains.starts(link).iter().any(|t| is(mains, *t, Role::Lead)) {
                run.clear();
            }
            let named = link.lead_id.map(|id| mains.code(Thing::Piece(id)));
            let laid =
                mains.ends(link).into_iter().filter(|t| is(mains, *t, Role::Lead)).map(|t| mains.code(t));
            for code in named.into_iter().chain(laid) {
                if !run.contains(&code) {
                    run.push(code);
                }
            }
        }
        if run.len() > 1 {
            runs.insert(run);
        }
    }
    let word = terms.cord();
    let part = |run: &Vec<String>| runs.iter().any(|o| o.len() > run.len() && o.starts_with(run));
    runs.iter()
        .filter(|run| !part(run))
        .map(|run| {
            Finding::new(
                Level::Mend,
                "cords_in_a_row",
                run.join(" + "),
                format!("{word}s plugged into one another (one for the whole way: common practice, no published source)"),
                Amount::count(run.len() as f64, "in a row"),
                Amount::count(1.0, word),
                &format!("one {word} that is long enough for the whole way"),
            )
            .caution(MAINS)
        })
        .collect()
}

/// What more than one plug goes into.
fn is_splitter(mains: &Mains, thing: Thing) -> bool {
    let many = || mains.cords().filter(|c| mains.begins(c, thing)).count() > 1;
    mains.product_of(thing).is_some_and(|p| p.role == Role::Adaptor && p.ports.map_or_else(many, |n| n > 1))
}

/// Splitters fed through another one.
fn splitters_in_a_row(mains: &Mains) -> Vec<Finding> {
    let splitters = |things: Vec<Thing>| things.into_iter().filter(|t| is_splitter(mains, *t));
    let mut rows: BTreeSet<(String, String)> = BTreeSet::new();
    for cord in mains.cords().filter(|c| !in_a_ring(mains, c)) {
        let before: Option<Thing> =
            mains.row(cord).into_iter().rev().find_map(|link| splitters(mains.starts(link)).next());
        let Some(before) = before else { continue };
        let after = splitters(mains.ends(cord)).filter(|t| *t != before);
        rows.extend(after.map(|t| (mains.code(before), mains.code(t))));
    }
    rows.into_iter()
        .map(|(first, second)| {
            Finding::new(
                Level::Mend,
                "splitters_in_a_row",
                format!("{first} + {second}"),
                "a splitter plugged into a splitter (each by itself: common practice, no published source)"
                    .to_owned(),
                Amount::count(2.0, "in a row"),
                Amount::count(1.0, "splitter"),
                "feed each by itself, or take one that has more outlets",
            )
            .caution(MAINS)
        })
        .collect()
}

/// Plugs against the outlets of the splitter that they go into.
fn outlets(mains: &Mains, terms: Terms, not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut plugs: BTreeMap<Thing, i64> = BTreeMap::new();
    let one = |cord: &Link| {
        let starts = mains.starts(cord);
        // Of several put out at one placement it is not told which one.
        starts.first().copied().filter(|_| starts.len() == 1)
    };
    for thing in mains.cords().filter_map(one).filter(|t| is(mains, *t, Role::Adaptor)) {
        *plugs.entry(thing).or_default() += 1;
    }
    let mut found = Vec::new();
    let mut untold = BTreeSet::new();
    for (thing, n) in plugs {
        let Some(each) = mains.product_of(thing).and_then(|p| p.ports) else {
            untold.extend((n > 1).then(|| mains.code(thing)));
            continue;
        };
        let has = each * mains.count(thing) as i64;
        if n > has {
            found.push(
                Finding::new(
                    Level::Mend,
                    "splitter_full",
                    mains.code(thing),
                    "more is plugged into it than it has outlets".to_owned(),
                    Amount::count(n as f64, if n == 1 { "plug" } else { "plugs" }),
                    Amount::count(has as f64, if has == 1 { "outlet" } else { "outlets" }),
                    "plug the others in elsewhere; never one splitter into another",
                )
                .caution(MAINS),
            );
        }
    }
    if !untold.is_empty() {
        not_told.push(format!(
            "{}s (ports) not told of {} ({}): whether all plugs find one not checked",
            terms.outlet(),
            n_of(untold.len(), "splitter"),
            some(untold)
        ));
    }
    found
}
