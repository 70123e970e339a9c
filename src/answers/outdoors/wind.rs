//! `check wind`: each thing that stands on its own, against the gust of the site and the owner's own limit.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::calc::refusal::Refusal;
use crate::calc::structural::{FASTEST_MS, ballast, guyed};
use crate::domain::{
    HoldingBy, Night, Placement, PlacementId, Season, SeasonId, Stand, StandKind, WindMethod,
};
use crate::steps::{Facts, Held, WindLook, pulls, wind_at, wind_look, wind_looks};
use crate::units::si::MetresPerSecond;
use crate::units::{Length, Speed, System, figure};

pub(crate) fn wind_findings(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
) -> (Vec<Finding>, Vec<String>) {
    let mut found = Vec::new();
    let mut untold: BTreeMap<&str, usize> = BTreeMap::new();
    let looks = wind_looks(facts, season.id);
    for look in &looks {
        for what in &look.missing {
            *untold.entry(what).or_default() += 1;
        }
        let outcome = match (&look.refused, &look.held) {
            (Some(refusal), _) => Err(*refusal),
            (None, Some(held)) => judge(outlook, look, held),
            (None, None) => continue,
        };
        match outcome {
            Ok(list) => found.extend(list),
            Err(refusal) => found.push(not_computed(look, &refusal, outlook.units())),
        }
    }
    found.extend(looks.iter().flat_map(|look| nights(outlook, facts, look)));
    let fixed = pulls(facts, season.id);
    let (more, lines) = super::fixed::look(outlook, &fixed);
    found.extend(more);
    let mut not_told: Vec<String> = untold
        .iter()
        .map(|(what, n)| {
            format!("{what} not told for {placements}: wind not checked", placements = n_of(*n, "placement"))
        })
        .collect();
    not_told.extend(lines);
    // The braces of a line stand for how many of a thing.
    let mut say = |n: usize, of: &str, line: &str| {
        if n > 0 {
            not_told.push(line.replacen("{}", &n_of(n, of), 1));
        }
    };
    let count = |is: &dyn Fn(&WindLook) -> bool| looks.iter().filter(|l| l.held.is_some() && is(l)).count();
    say(count(&|l| guesses_friction(l)), "placement", "friction not told for {}: 0.3 assumed, as wet grass");
    let strapless = |l: &WindLook| matches!(&l.held, Some(Held::Guys(input)) if input.strap_limit.is_none());
    say(count(&strapless), "guyed stand", "strap limit not told for {}: straps not checked");
    let unlowered = |l: &WindLook| l.stand.is_none_or(|s| s.lower_gust_mms.is_none());
    say(
        count(&unlowered),
        "placement",
        "gust to lower at not told for {}: taken as the one to which it still holds",
    );
    let by_size = |s: &Stand| s.kind != StandKind::Arch && s.area_cm2.is_none();
    let sized = count(&|l| l.stand.is_some_and(by_size));
    say(sized, "stand", "area not told for {}: reckoned from the sizes of what stands there");
    let mut assumed: BTreeMap<&str, usize> = BTreeMap::new();
    for what in looks.iter().filter(|l| l.held.is_some()).flat_map(|l| l.assumed.iter().copied()) {
        *assumed.entry(what).or_default() += 1;
    }
    for (what, n) in assumed {
        let (what, taken) = what.split_once(": ").unwrap_or((what, ""));
        say(n, "stand", &format!("{what} not told on {{}}: {taken}"));
    }
    let guys = looks.iter().filter(|l| l.held.is_some()).flat_map(|l| &l.guys);
    let level = guys.filter(|g| g.rise_mm.is_none()).count();
    say(level, "guy", "rise of the anchor not told for {}: taken as level with the mast's foot");
    let grounded = "height of the top not told on {}: what has none is taken as standing on the ground";
    say(count(&|l| l.on_ground), "stand", grounded);
    let loose: Vec<&Stand> = facts.yard.stands.iter().filter(|s| holds_nothing(facts, s)).collect();
    let codes = some(loose.iter().map(|s| s.code.clone()));
    say(loose.len(), "stand", &format!("what stands there not told for {{}} ({codes}): wind not checked"));
    let calm = coming(outlook, facts).filter(|n| n.gust_mms.is_none()).count();
    let calm = if looks.iter().any(|l| l.held.is_some()) { calm } else { 0 };
    say(calm, "night", "gust not told in the forecast of {}: what to lay down is not known");
    let site = facts.yard.sites.first();
    if !looks.is_empty() || !fixed.is_empty() {
        if site.is_none_or(|s| s.design_gust_mms.is_none()) {
            not_told.push("design gust not told: only the gust at which each is lowered is given".to_owned());
        }
        if site.is_none_or(|s| s.wind_method.is_none()) {
            not_told
                .push("wind method not told: stagnation pressure of the gust at the thing itself".to_owned());
        }
        if site.is_some_and(|s| s.wind_method == Some(WindMethod::Asce716) && s.wind_exposure.is_none()) {
            not_told.push(
                "exposure not told: C (open country) taken for the ASCE method; by open water it is more"
                    .to_owned(),
            );
        }
    }
    (found, not_told)
}

fn guesses_friction(look: &WindLook) -> bool {
    matches!(look.held, Some(Held::Weight(_))) && look.stand.is_some_and(|s| s.friction_pct.is_none())
}

/// Told for no placement, nor for a mount that any placement of any season stands on.
fn holds_nothing(facts: &Facts, stand: &Stand) -> bool {
    let mounted = |mount| facts.yard.placements.iter().any(|p| p.mount_id == Some(mount));
    stand.placement_id.is_none() && !stand.mount_id.is_some_and(mounted)
}

/// Nights from this one on that have a forecast of their own.
fn coming<'a>(outlook: &Outlook, facts: &Facts<'a>) -> impl Iterator<Item = &'a Night> {
    let tonight = outlook.tonight();
    facts.yard.nights.iter().filter(move |n| n.night_on >= tonight)
}

/// Coming nights whose gust reaches the one at which it is lowered.
fn nights(outlook: &Outlook, facts: &Facts, look: &WindLook) -> Vec<Finding> {
    let units = outlook.units();
    let gust = |speed: Speed| Amount::figure(speed.show(units), "ms", speed.metres_per_second());
    let Some(limit) = look.lower_at() else { return Vec::new() };
    coming(outlook, facts)
        .filter_map(|n| Some((n.night_on, n.gust_mms.filter(|g| *g >= limit)?)))
        .map(|(night, forecast)| {
            finding(
                look,
                Level::Mend,
                "wind_night",
                format!(
                    "the gust forecast for the night of {} is too much for it",
                    night.format("%-d %b %Y")
                ),
                gust(forecast),
                gust(limit),
                "lay it down or take it in before: it is on that night's list",
            )
        })
        .collect()
}

/// Newtons in a pound of force.
const LBF: f64 = 4.448_221_615_260_5;

/// What is said of what no gust is weak enough for.
const CALM: &str = "it does not hold even in calm air: don't leave it standing";

/// How far a placement that stands in the wind holds, and from when it is lowered.
pub(crate) fn wind_line(outlook: &Outlook, facts: &Facts, placement: &Placement) -> Option<String> {
    let units = outlook.units();
    let look = wind_look(facts, placement)?;
    Some(match (&look.refused, &look.held) {
        (Some(r), _) => format!("not computed: {r}"),
        (None, None) => format!("not checked: {} not told", look.missing.join(", ")),
        (None, Some(held)) => match (held.holds_to(), look.lower_at()) {
            (Err(r), _) => format!("not computed: {r}"),
            (Ok(None), _) => CALM.to_owned(),
            (Ok(to), lower) => format!(
                "holds to {}; lower it from a gust of {} ({}, factor {})",
                speed(to).show(units),
                lower.unwrap_or(speed(to)).show(units),
                method(facts),
                held.asked()
            ),
        },
    })
}

/// The same in a few words, for whoever stands before it.
pub(crate) fn wind_short(
    outlook: &Outlook,
    facts: &Facts,
    season: SeasonId,
) -> BTreeMap<PlacementId, String> {
    let words = |look: &WindLook| match (&look.refused, &look.held) {
        (Some(r), _) => format!("not known: {r}"),
        (None, None) => format!("not known: {} not told", look.missing.join(", ")),
        (None, Some(held)) => match held.holds_to() {
            Err(r) => format!("not known: {r}"),
            Ok(None) => CALM.to_owned(),
            Ok(to) => {
                let lower = look.lower_at().unwrap_or(speed(to));
                format!("lower it from a gust of {}", lower.show(outlook.units()))
            }
        },
    };
    let placements = facts.placements_in(season);
    placements.into_iter().filter_map(|p| Some((p.id, words(&wind_look(facts, p)?)))).collect()
}

fn speed(v: Option<MetresPerSecond>) -> Speed {
    Speed::from_metres_per_second(v.map_or(0.0, MetresPerSecond::get)).unwrap_or_default()
}

/// The method with its edition.
fn method(facts: &Facts) -> String {
    let source = wind_at(facts.yard.sites.first(), MetresPerSecond::default()).method.source();
    let edition = source.edition.split(" (").next().unwrap_or_default();
    format!("{} {edition}", source.title).trim().to_owned()
}

fn judge(outlook: &Outlook, look: &WindLook, held: &Held) -> Result<Vec<Finding>, Refusal> {
    let facts = outlook.facts();
    let (units, by) = (outlook.units(), format!("{}, factor {}", method(&facts), held.asked()));
    // At the gust of the site first: what lies outside the formulas there is said.
    match held {
        Held::Guys(input) => guyed::solve(input).map(|_| ())?,
        Held::Weight(input) => ballast::check(input).map(|_| ())?,
    }
    let holds = speed(held.holds_to()?);
    let told = look.stand.and_then(|s| s.lower_gust_mms);
    let design = facts.yard.sites.first().and_then(|s| s.design_gust_mms);
    let mut found = Vec::new();
    let gust = |speed: Speed| Amount::figure(speed.show(units), "ms", speed.metres_per_second());
    let say = |level, code: &str, what: String, value: Amount, limit: Amount, remedy: &str| {
        finding(look, level, code, what, value, limit, remedy)
    };
    if let Some(told) = told.filter(|t| *t > holds) {
        found.push(say(
            Level::Stop,
            "lowered_too_late",
            format!("it is to be lowered only after it stops to hold ({by})"),
            gust(told),
            gust(holds),
            "lower it earlier, or mend what holds it: more ballast, pull-tested anchors, wider base",
        ));
    }
    let lower = told.map_or(holds, |t| t.min(holds));
    match design {
        Some(design) if holds >= design => found.push(say(
            Level::Note,
            "wind_holds",
            format!("stands the design gust ({by})"),
            gust(design),
            gust(holds),
            "nothing to do but the round after each windy night",
        )),
        _ => found.push(say(
            if told.is_some() { Level::Note } else { Level::Mend },
            "wind_lower_at",
            if told.is_some_and(|t| t < holds) {
                format!("is to be lowered or taken in before gusts of {}, as told; what it holds is the limit ({by})", lower.show(units))
            } else {
                format!("is to be lowered or taken in before gusts of {} ({by})", lower.show(units))
            },
            design.map_or_else(|| "design gust not told".into(), gust),
            gust(holds),
            &match (told, super::fixed::more_ballast(held, units)) {
                (Some(_), _) => "tell the forecast of the night: it comes on the watch list".to_owned(),
                (None, more) => format!(
                    "tell the gust at which you lower it, and how; or mend what holds it{}",
                    more.unwrap_or_default()
                ),
            },
        )),
    }
    if let Held::Guys(input) = held {
        guys(look, input, (lower, units), &mut found)?;
    }
    Ok(found)
}

/// The worst pull at the gust of lowering, anchors that were not pulled, one guy lost.
fn guys(
    look: &WindLook,
    input: &guyed::Input,
    (lower, units): (Speed, System),
    found: &mut Vec<Finding>,
) -> Result<(), Refusal> {
    let gust = lower.metres_per_second().min(FASTEST_MS);
    let gust = MetresPerSecond::new(gust).unwrap_or_default();
    let wind = wind_at_gust(input, gust);
    let at = guyed::Input { wind, ..input.clone() };
    let solved = guyed::solve(&at)?;
    let name = |i: usize| look.guys.get(i).map_or("guy", |g| g.code.as_str());
    let capacity = solved.anchors.get(solved.worst_guy).map_or(0.0, |a| a.capacity.get());
    found.push(finding(
        look,
        Level::Note,
        "guy_pull",
        format!(
            "largest pull in a gust of {}, in {} when the wind blows toward {}°",
            lower.show(units),
            name(solved.worst_guy),
            figure(solved.worst_toward.get(), 0)
        ),
        newtons(force(solved.worst.get(), units), solved.worst.get()),
        newtons(format!("{}, factor {}", force(capacity, units), input.required_factor), capacity),
        "look at ratchets and anchors after each windy night",
    ));
    for guy in look.guys.iter().filter(|g| g.holding_by != Some(HoldingBy::Tested)) {
        found.push(finding(
            look,
            Level::Mend,
            "anchor_untested",
            match guy.holding_by {
                Some(HoldingBy::Declared) => {
                    format!("the anchor of {} was not pull-tested: a factor of 2 is asked of it", guy.code)
                }
                _ => format!(
                    "the anchor of {} was not pull-tested: half of what is told is counted, and a factor of 2 asked",
                    guy.code
                ),
            },
            guy.holding_by.map_or("not told", HoldingBy::as_str).into(),
            "tested".into(),
            "pull-test it and tell what it held",
        ));
    }
    let lost = guyed::one_lost(&at).iter().filter(|r| r.is_err()).count();
    if lost > 0 {
        found.push(finding(
            look,
            Level::Note,
            "guy_lost",
            "does not stand every wind with one guy lost".to_owned(),
            Amount::figure(format!("{lost} of {}", n_of(look.guys.len(), "guy")), "count", lost as f64),
            Amount::figure("0".to_owned(), "count", 0.0),
            "keep the fall zone clear in wind; five guys or more stand the loss of one",
        ));
    }
    Ok(())
}

/// To the ten newtons or pounds that a spring balance shows.
pub(super) fn force(newtons: f64, units: System) -> String {
    match units {
        System::Us => format!("{} lbf", figure(newtons / LBF, 0)),
        System::Si => format!("{} N", figure(newtons, 0)),
    }
}

fn newtons(shown: String, newtons: f64) -> Amount {
    Amount::figure(shown, "n", newtons)
}

fn wind_at_gust(input: &guyed::Input, gust: MetresPerSecond) -> crate::calc::structural::force::Wind {
    crate::calc::structural::force::Wind { gust, ..input.wind }
}

/// What lies outside the formulas is said, not computed; an anchor or guy that can't hold stops the work.
fn not_computed(look: &WindLook, r: &Refusal, units: System) -> Finding {
    let stops = ["anchor_in_base", "anchor_near", "guy_slope", "anchor_level", "guys_do_not_hold"];
    let level = if stops.contains(&r.code) { Level::Stop } else { Level::Mend };
    let unit = |v: f64| match r.unit {
        "" => figure(v, 2),
        "m" => Length::from_metres(v).unwrap_or_default().show(units),
        "m/s" => Speed::from_metres_per_second(v).unwrap_or_default().show(units),
        "N" => force(v, units),
        other => format!("{} {other}", figure(v, 2)),
    };
    let name = match r.unit {
        "m" => "m",
        "m/s" => "ms",
        "N" => "n",
        _ => "count",
    };
    finding(
        look,
        level,
        r.code,
        format!("not computed: {} outside its range", r.what),
        Amount::figure(unit(r.value), name, r.value),
        format!("{} to {}", unit(r.range.0), unit(r.range.1)).into(),
        r.remedy,
    )
}

fn finding(
    look: &WindLook,
    level: Level,
    code: &str,
    what: String,
    value: Amount,
    limit: Amount,
    remedy: &str,
) -> Finding {
    let all = std::iter::once(look.placement).chain(look.with.iter().copied());
    let place = all.map(|p| format!("{} {}", p.code, p.name)).collect::<Vec<_>>().join(", ");
    Finding {
        caution: (level != Level::Note).then(|| {
            "A planning estimate, no structural design: an engineer decides where people or lines are near."
                .to_owned()
        }),
        ..Finding::new(level, code, place, what, value, limit, remedy)
    }
}
