//! Circuits: what they carry, and what is not known of it.

use std::collections::BTreeSet;

use crate::answers::Outlook;
use crate::answers::power::cords;
use crate::answers::power::feeds::{KEEP_LEVEL, limit_untold, rating, white_level};
use crate::answers::power::generators;
use crate::answers::power::load::{Drawn, Mains, Thing};
use crate::answers::power::residual;
use crate::answers::power::rings;
use crate::answers::power::study::Study;
use crate::answers::power::taps;
use crate::answers::power::words;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, say_date, some};
use crate::calc::electrical::branch_load;
use crate::calc::electrical::branch_load::{Load, branch_load};
use crate::calc::refusal::Refusal;
use crate::domain::{Circuit, LinkKind, OutletId, PieceId, Placement, Product, Role, Season, Terms};
use crate::steps::Facts;
use crate::units::si::{Amps, Fraction, Volts, Watts};

const FOUR_FIFTHS: &str = "value_a = load_va / volts_v; limit_a = 0.8 * breaker_a";
pub(super) const MAINS: &str = "Unplug before opening anything. What lies behind a terminal cover, and any new outlet, is work for a licensed electrician under local code.";

pub(crate) fn look(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    study: &Study,
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let terms = outlook.yard.terms();
    let mains = Mains::of(facts, season, study);
    let mut found = loads(facts, &mains, terms, not_told);
    found.extend(at_white(facts, season, study, &found, not_told));
    found.extend(rings::mains(&mains, terms));
    found.extend(residual::groups(facts, season, &mains, terms, not_told));
    found.extend(residual::protects(facts, &mains, terms, not_told));
    if terms == Terms::Us && mains.cords().next().is_some() {
        found.extend(temporary(season, not_told));
    }
    found.extend(not_there_yet(season, &mains, terms, not_told));
    assumed(&mains, not_told);
    unplugged(facts, season, &mains, terms, not_told);
    not_told.extend(lit_beside(outlook, facts, season, &mains));
    not_told.extend(unrated(facts, study));
    not_told.extend(unmade(facts, study));
    found
}

/// All that hangs on what hangs on it.
fn loads(facts: &Facts, mains: &Mains, terms: Terms, not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut found = circuits(facts, mains, terms, not_told);
    found.extend(generators::look(facts, mains, terms, not_told));
    found.extend(cords::look(facts, mains, terms, not_told));
    found.extend(taps::look(mains, terms, not_told));
    found
}

/// What full white would overload and the level does not.
fn at_white(
    facts: &Facts,
    season: &Season,
    study: &Study,
    at_level: &[Finding],
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    if study.levels.are_full() {
        return Vec::new();
    }
    let white = Mains::at_white(facts, season, study);
    let held = white_level(facts);
    let mut found = loads(facts, &white, facts.yard.terms(), &mut Vec::new());
    found.retain(|f| {
        let same = |l: &Finding| l.code == f.code && l.place == f.place && l.level != Level::Note;
        f.level != Level::Note && !at_level.iter().any(same)
    });
    for f in &mut found {
        f.code = format!("{}_at_white", f.code);
        f.level = held;
        f.what = format!("at full white: {}", f.what);
        KEEP_LEVEL.clone_into(&mut f.remedy);
    }
    not_told.extend(limit_untold(facts).filter(|_| !found.is_empty()));
    found
}

/// "load not known for 3 things (AMP-1, P-2 and P-3)".
fn load_unknown(drawn: &Drawn) -> Option<String> {
    let n = drawn.unknown.len();
    (n > 0)
        .then(|| format!("load not known for {} ({})", n_of(n, "thing"), some(drawn.unknown.iter().cloned())))
}

fn circuits(facts: &Facts, mains: &Mains, terms: Terms, not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut unknown = 0;
    let breaker = terms.breaker();
    for circuit in &facts.yard.circuits {
        let cords = mains.of_circuit(circuit.id);
        if cords.is_empty() {
            continue;
        }
        let drawn = mains.on_circuit(circuit.id);
        let code = &circuit.code;
        not_told.extend(load_unknown(&drawn).map(|said| format!("circuit {code}: {said}, not counted")));
        let answer = match circuit_answer(circuit, drawn.va) {
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
        if answer.within_limit {
            let worst = circuit_load(circuit, drawn.worst_va).filter(|a| !a.within_limit);
            not_told.extend(worst.map(|a| {
                format!(
                    "circuit {code}: power factor not told for {}; as LED lamps they would make it {}, limit {}: \
                     read A or VA off their labels",
                    some(drawn.factor_open.iter().cloned()),
                    words::amps(a.amps),
                    words::amps(a.limit_a)
                )
            }));
        } else {
            let figures = [
                ("load_va", drawn.va),
                ("load_w", drawn.watts),
                ("volts_v", circuit.volts_mv.map_or(0.0, crate::units::Voltage::volts)),
                ("breaker_a", circuit.breaker_ma.map_or(0.0, crate::units::Current::amps)),
            ];
            // Who asks for four fifths: a clause of the United States; elsewhere it is only planned so, and what the
            // device is made for is carried (IEC 60364-4-43, 433.1, from memory).
            let (level, limit, what, formula) = match terms {
                Terms::Us => (
                    if answer.over_breaker { Level::Stop } else { Level::Mend },
                    answer.limit_a,
                    format!("more than the continuous rating of its {breaker}"),
                    FOUR_FIFTHS,
                ),
                Terms::Elsewhere if answer.over_breaker => (
                    Level::Stop,
                    circuit.breaker_ma.map_or(0.0, crate::units::Current::amps),
                    format!("more than its {breaker} is made for"),
                    "value_a = load_va / volts_v; limit_a = breaker_a",
                ),
                Terms::Elsewhere => (
                    Level::Note,
                    answer.limit_a,
                    format!(
                        "more than four fifths of its {breaker}, the most to plan for hours (common practice)"
                    ),
                    FOUR_FIFTHS,
                ),
            };
            found.push(
                Finding::new(
                    level,
                    "circuit_over",
                    words::place(circuit),
                    what,
                    Amount::amps(answer.amps),
                    Amount::amps(limit),
                    "move a box to another circuit, or lower the level",
                )
                .by(formula, &figures)
                .caution(MAINS),
            );
        }
    }
    if unknown > 0 {
        not_told.push(format!(
            "{breaker} rating or voltage not told for {circuits} in use: load not checked",
            circuits = n_of(unknown, "circuit")
        ));
    }
    found
}

fn circuit_answer(circuit: &Circuit, va: f64) -> Option<Result<branch_load::Output, Refusal>> {
    let (volts, breaker) = (circuit.volts_mv?.volts(), circuit.breaker_ma?.amps());
    let compute = || {
        branch_load(&branch_load::Input {
            volts: Volts::new(volts)?,
            breaker: Amps::new(breaker)?,
            continuous: Fraction::new(branch_load::CONTINUOUS)?,
            // Volt-amperes have their power factor in them already.
            loads: vec![Load { watts: Watts::new(va)?, power_factor: Fraction::new(1.0)? }],
        })
    };
    Some(compute())
}

/// What a circuit carries against what it may; nothing where its breaker or voltage was not told, or is refused.
pub(crate) fn circuit_load(circuit: &Circuit, va: f64) -> Option<branch_load::Output> {
    circuit_answer(circuit, va)?.ok()
}

/// Power factors and efficiencies that were not told.
fn assumed(mains: &Mains, not_told: &mut Vec<String>) {
    let drawn = mains.drawn(&mains.behind(mains.cords()));
    let (factor, efficiency) = (drawn.factor_assumed.len(), drawn.efficiency_assumed.len());
    if factor > 0 {
        not_told.push(format!(
            "power factor not told for {things}: 0.6 assumed for supplies and electronics, 1 for lamps and heaters", things = n_of(factor, "thing")));
    }
    if !drawn.boxes_open.is_empty() {
        not_told.push(format!(
            "load not told of what {} ({}) take beside what they feed, as fans and controllers: none assumed",
            n_of(drawn.boxes_open.len(), "box"),
            some(drawn.boxes_open)
        ));
    }
    if efficiency > 0 {
        not_told.push(format!(
            "efficiency not told for {supplies}: 85 % assumed",
            supplies = n_of(efficiency, "supply")
        ));
    }
}

/// What draws from the mains and hangs on no circuit that is told.
fn unplugged(facts: &Facts, season: &Season, mains: &Mains, terms: Terms, not_told: &mut Vec<String>) {
    let circuit = |o: OutletId| {
        let outlet = facts.yard.outlets.iter().find(|x| x.id == o);
        outlet.and_then(|o| o.circuit_id).filter(|c| facts.yard.circuits.iter().any(|x| x.id == *c))
    };
    let (mut bare, mut loose) = (BTreeSet::new(), 0);
    for cord in mains.cords() {
        match mains.outlet(cord) {
            None if generators::behind(mains, cord).is_some() => {}
            None => loose += 1,
            Some(outlet) if circuit(outlet).is_none() => {
                bare.insert(outlet);
            }
            Some(_) => {}
        }
    }
    let (outlet, cord) = (terms.outlet(), terms.cord());
    if loose > 0 {
        not_told.push(format!(
            "{outlet} not told for {}: on no circuit's load",
            n_of(loose, &format!("mains {cord}"))
        ));
    }
    if !bare.is_empty() {
        not_told.push(format!("circuit not told for {} in use: load not checked", n_of(bare.len(), outlet)));
    }
    let plugged = mains.behind(mains.cords());
    let links = facts.links_in(season.id);
    let fed = links.iter().filter(|l| l.kind == LinkKind::Dc).filter_map(|l| l.from_piece_id);
    let supply = |id: &PieceId| {
        facts.piece(*id).and_then(|p| facts.product(p.product_id)).is_some_and(|p| p.role == Role::Supply)
    };
    let dry = fed.filter(supply).map(Thing::Piece).filter(|t| !plugged.contains(t));
    // A cord or a low-voltage lead that goes into it, or into a supply that feeds it.
    let led: BTreeSet<PieceId> =
        links.iter().filter(|l| l.kind == LinkKind::Dc).filter_map(|l| l.to_piece_id).collect();
    let has = |id: &PieceId| plugged.contains(&Thing::Piece(*id)) || led.contains(id);
    // Told by all its pieces, each with a cord, it has its cords.
    let by_pieces = |p: &Placement| {
        let own = facts.pieces_of(p.id);
        own.len() as i64 >= p.count.max(1) && own.iter().all(has)
    };
    let draws = |p: &Product| {
        let carries = matches!(p.role, Role::Lead | Role::Adaptor | Role::Mount | Role::Tool | Role::Ladder);
        !carries && p.volts_mv.is_some_and(|v| v.volts() >= cords::LOWEST_MAINS_V)
    };
    let placed = facts.placements_in(season.id).into_iter().filter(|p| !by_pieces(p));
    let lamps = placed
        .map(|p| Thing::Placement(p.id))
        .filter(|t| !plugged.contains(t) && mains.product_of(*t).is_some_and(draws));
    let missing: BTreeSet<String> = dry.chain(lamps).map(|t| mains.code(t)).collect();
    if !missing.is_empty() {
        not_told.push(format!(
            "which {outlet} feeds {} ({}) not told: on no circuit's load",
            n_of(missing.len(), "thing"),
            some(missing)
        ));
    }
}

/// Circuits on which another show hangs that is lit in some of the same nights: each is looked at by itself.
fn lit_beside(outlook: &Outlook, facts: &Facts, season: &Season, mains: &Mains) -> Option<String> {
    let nights = |s: &Season| s.lights_on.map(|t| t.date()).zip(s.lights_off);
    let (on, off) = nights(season)?;
    let circuits = |o: OutletId| facts.yard.outlets.iter().find(|x| x.id == o).and_then(|x| x.circuit_id);
    let mine: BTreeSet<_> = mains.outlets_used().into_iter().filter_map(|o| o.circuit_id).collect();
    let others = outlook.yard.seasons.iter().filter(|s| s.id != season.id && s.closed_on.is_none());
    let others = others.filter(|s| nights(s).is_some_and(|(from, to)| from <= off && on <= to));
    let beside = |s: &&Season| {
        let own = facts.yard.links.iter().filter(|l| l.kind == LinkKind::Mains && l.season_id == Some(s.id));
        own.filter_map(|l| circuits(l.from_outlet_id?)).any(|c| mine.contains(&c))
    };
    let names = some(others.filter(beside).map(|s| s.name.clone()));
    (!names.is_empty())
        .then(|| format!("lit in the same nights on the same circuits, and not counted here: {names}"))
}

/// Temporary wiring for holiday lighting is up for 90 days at most (NEC 590.3(B), from memory).
const TEMPORARY_DAYS: i64 = 90;

fn temporary(season: &Season, not_told: &mut Vec<String>) -> Option<Finding> {
    let Some((on, off)) = season.lights_on.map(|t| t.date()).zip(season.lights_off) else {
        not_told.push(format!(
            "first or last night not told: whether temporary wiring stays up more than {TEMPORARY_DAYS} days not checked"
        ));
        return None;
    };
    let days = (off - on).num_days();
    (days > TEMPORARY_DAYS).then(|| {
        Finding::new(
            Level::Mend,
            "temporary_wiring",
            season.name.clone(),
            format!("cords of a show are temporary wiring: up for {TEMPORARY_DAYS} days at most (NEC 590.3(B), from memory)"),
            Amount::count(days as f64, "days"),
            Amount::count(TEMPORARY_DAYS as f64, "days"),
            "take the cords down earlier, or ask an electrician about permanent wiring",
        )
    })
}

/// Outlets in use that are there only after the lights go on.
fn not_there_yet(season: &Season, mains: &Mains, terms: Terms, not_told: &mut Vec<String>) -> Vec<Finding> {
    let outlets = mains.outlets_used().into_iter();
    let dated: Vec<_> = outlets.filter_map(|o| Some((o.code.as_str(), o.ready_on?))).collect();
    let Some(lit) = season.lights_on.map(|t| t.date()) else {
        let codes = some(dated.iter().map(|(code, _)| *code));
        if !codes.is_empty() {
            let word = terms.outlet();
            not_told.push(format!("lights on not told: whether {word} {codes} is ready by then not checked"));
        }
        return Vec::new();
    };
    let late = dated.into_iter().filter(|(_, ready)| *ready > lit);
    late.map(|(code, ready)| {
        Finding::new(
            Level::Mend,
            "outlet_late",
            code.to_owned(),
            format!("this {} is ready only after the lights go on", terms.outlet()),
            say_date(ready),
            say_date(lit),
            "have it made earlier, or plug what hangs on it in elsewhere",
        )
    })
    .collect()
}

/// Supplies of which only the tag tells the volts: what they are made for may be more, and their amperes fewer.
fn unmade(facts: &Facts, study: &Study) -> Option<String> {
    let supplies = study.supplies();
    let open = supplies.keys().filter_map(|id| facts.piece(*id)).filter(|p| {
        facts.product(p.product_id).is_some_and(|x| x.output_mv.is_none() && x.rated_mw.is_some())
    });
    let mut names: Vec<String> = open.map(|p| p.code.clone()).collect();
    names.sort();
    (!names.is_empty()).then(|| {
        let n = n_of(names.len(), "supply");
        format!("volts they are made for not told for {n} ({}): rated amperes by the tag", some(names))
    })
}

/// Supplies whose rating was not told: never taken as fine, one line for all.
fn unrated(facts: &Facts, study: &Study) -> Option<String> {
    let mut names: Vec<String> = study
        .supplies()
        .keys()
        .filter(|id| rating(facts, **id).is_none())
        .filter_map(|id| facts.piece(*id))
        .map(|p| p.code.clone())
        .collect();
    names.sort();
    (!names.is_empty()).then(|| {
        let n = names.len();
        format!(
            "rating not told for {supplies} ({}): load not checked",
            some(names),
            supplies = n_of(n, "supply")
        )
    })
}
