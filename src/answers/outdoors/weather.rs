//! `check weather`: what the forecast of each coming session does to the steps that are still open.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::dates::marks_untold;
use crate::answers::start::{reach_assumed, reach_untold_of};
use crate::answers::view::{Amount, Figure, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::calc::weather::go::{Decision, Input, Task};
use crate::calc::weather::wind_chill;
use crate::calc::weather::wind_chill::Form;
use crate::domain::{Access, Phase, Placement, Product, Season, StepDeed};
use crate::planner::{Broken, Calendar, Forecast, SessionSpan};
use crate::steps::{Derived, Facts, Light, Role, Scope, State, Step, StepKey, derive, handles, leads_bent};
use crate::units::si::{Celsius, MetresPerSecond};
use crate::units::{Speed, System, Temperature};

/// Titles named in one finding; the rest is counted.
const NAMED: usize = 3;
/// Felt temperature from which it is said: bare hands stop being nimble; common practice, no published source.
const CHILL_SAID_C: f64 = 0.0;
/// Below this a gale feels colder than that (wind chill index of 2001: 7 °C at 23 m/s feel like 0 °C).
const CHILL_FROM_C: f64 = 7.0;

pub(crate) fn weather_findings(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
) -> (Vec<Finding>, Vec<String>) {
    let (mut found, mut not_told) = (Vec::new(), Vec::new());
    let scope = Scope { season: season.id, phase: Phase::Up, day: outlook.tonight() };
    let Ok(derived) = derive(facts, scope) else {
        return (found, vec!["steps contradict each other: weather not checked; see plan".to_owned()]);
    };
    let open = open_steps(&derived);
    let calendar = Calendar::new(facts.yard, outlook.now(), None);
    let kept: BTreeMap<String, Option<String>> =
        outlook.kept_plan(Phase::Up).iter().map(|k| (k.step_key.clone(), k.session_code.clone())).collect();
    let mut dark = 0;
    let mut left_out: BTreeMap<&str, usize> = BTreeMap::new();
    let mut brittle = BTreeSet::new();
    let mut slow: BTreeMap<Vec<StepKey>, (i64, Finding)> = BTreeMap::new();
    for session in &calendar.sessions {
        let Some(forecast) = session.forecast else {
            dark += 1;
            continue;
        };
        // Kept in another session: this forecast is none of its business.
        let here: Vec<&Step> = open
            .iter()
            .copied()
            .filter(|s| {
                kept.get(s.key.as_str())
                    .is_none_or(|code| code.as_ref().is_none_or(|code| code == &session.code))
            })
            .collect();
        let at = format!("session {}, {}", session.code, outlook.say_moment(session.from));
        let units = outlook.units();
        for what in untold_parts(&here, &forecast) {
            *left_out.entry(what).or_default() += 1;
        }
        if forecast.low.is_some_and(|low| low < Temperature::from_mc(0)) {
            brittle.extend(here.iter().flat_map(|s| bends_untold(facts, s)));
        }
        let meant = |s: &Step| kept.contains_key(s.key.as_str());
        found.extend(broken(&at, &here, &forecast, units, &meant));
        found.extend(aloft(&at, &here, &forecast, units, &meant));
        // The plan counts the longer wait: the longest of all sessions is said, once.
        for (steps, wait, said) in super::cures::look(&at, &here, &forecast, units) {
            if slow.get(&steps).is_none_or(|(longest, _)| wait > *longest) {
                slow.insert(steps, (wait, said));
            }
        }
        found.extend(chill(&at, &forecast, units));
    }
    found.extend(slow.into_values().map(|(_, said)| said));
    if dark > 0 {
        not_told.push(format!(
            "forecast not told for {}: weather not checked there",
            n_of(dark, "coming session")
        ));
    }
    not_told.extend(left_out.into_iter().map(|(what, n)| {
        format!("{what} not told in the forecast of {}: limits of its steps not checked", n_of(n, "session"))
    }));
    if !brittle.is_empty() {
        let codes = some(brittle);
        not_told.push(format!(
            "coldest handling not told for {codes}: frost in the forecast not compared with it"
        ));
    }
    unplaced(facts, season, &mut not_told);
    let driven = open.iter().any(|s| s.deed == StepDeed::Drive);
    not_told.extend(marks_untold(outlook, season).into_iter().filter(|_| driven));
    found.extend(nights(outlook, facts));
    found.extend(super::ladder::ladder_findings(outlook, facts, &open, &mut not_told));
    (found, not_told)
}

/// The codes of what a step bends or ties outdoors, where it is not told how cold that may be.
fn bends_untold(facts: &Facts, step: &Step) -> Vec<String> {
    let placement = step.placement.and_then(|id| facts.placement(id));
    let Some(placement) = placement.filter(|_| handles(step.deed) && step.light != Light::Indoors) else {
        return Vec::new();
    };
    let bendy = |p: &&Product| p.pixels.is_some_and(|n| n > 0) || p.wire.is_some();
    let own = facts.product_of(placement).filter(bendy);
    let all = own.into_iter().chain(leads_bent(facts, placement, step.deed));
    all.filter(|p| p.min_handling_mc.is_none()).map(|p| p.code.clone()).collect()
}

/// Placements of which it is not told where they are, how high that is, or how they are mounted.
fn unplaced(facts: &Facts, season: &Season, not_told: &mut Vec<String>) {
    let placements = facts.placements_in(season.id);
    let mut say = |n: usize, what: &str, taken: &str| {
        if n > 0 {
            not_told.push(format!("{what} not told for {}: {taken}", n_of(n, "placement")));
        }
    };
    let n = |is: &dyn Fn(&Placement) -> bool| placements.iter().filter(|p| is(p)).count();
    let high = |p: &Placement| {
        p.place_id.and_then(|id| facts.place(id)).is_some_and(|x| reach_untold_of(facts, p, x))
    };
    say(n(&|p| p.method_id.is_none()), "how mounted", "taken as set out");
    say(n(&|p| p.place_id.is_none()), "place", "taken as on the ground outdoors");
    say(n(&high), "how reached", "taken as from the ground, though the place seems high");
    let near =
        |p: &Placement| p.place_id.and_then(|id| facts.place(id)).is_some_and(|x| reach_assumed(facts, p, x));
    say(
        n(&near),
        "how reached",
        "taken as from the ground, though it is above eye level: ladders not checked",
    );
    // A place that no name and no height tells of may be a roof as well.
    let unknown = |p: &Placement| {
        let place = p.place_id.and_then(|id| facts.place(id));
        p.height_mm.is_none()
            && place.is_some_and(|x| x.height_mm.is_none() && facts.access_told(x).is_none())
            && !high(p)
    };
    say(n(&unknown), "how high and how reached", "taken as from the ground, ladders not checked");
}

/// What a forecast does not tell of what steps ask of the weather.
fn untold_parts(steps: &[&Step], f: &Forecast) -> Vec<&'static str> {
    let any = |asks: &dyn Fn(&Step) -> bool| steps.iter().any(|s| asks(s));
    let aloft = |s: &Step| s.access != Access::Ground;
    let wet = [f.rain, f.snow, f.ice];
    let fell = wet.contains(&Some(true));
    // In such air a wind is felt as frost.
    let chilly = f.low.is_some_and(|low| low.celsius() < CHILL_FROM_C);
    [
        ("gust", f.gust.is_none() && (chilly || any(&|s| s.limits.max_gust.is_some() || aloft(s)))),
        (
            "lowest temperature",
            f.low.is_none() && any(&|s| s.limits.min.is_some() || s.after.iter().any(|e| e.cure.is_some())),
        ),
        ("rain, snow or ice", !fell && wet.contains(&None) && any(&|s| s.limits.dry || aloft(s))),
        ("frozen ground", f.frozen.is_none() && any(&|s| s.limits.unfrozen)),
    ]
    .into_iter()
    .filter_map(|(what, missing)| missing.then_some(what))
    .collect()
}

fn open_steps(derived: &Derived) -> Vec<&Step> {
    let over = |s: &Step| {
        derived
            .progress
            .get(&s.key)
            .is_some_and(|p| matches!(p.state_for(s.of), State::Done | State::Skipped))
    };
    derived
        .steps
        .iter()
        .map(|s| &**s)
        .filter(|s| s.role == Role::Work && s.held.is_none() && !over(s))
        .collect()
}

/// Steps whose own limits the forecast breaks, one finding a limit; it stops only what a kept plan has here.
fn broken(
    at: &str,
    steps: &[&Step],
    forecast: &Forecast,
    units: System,
    meant: &dyn Fn(&Step) -> bool,
) -> Vec<Finding> {
    let mut by_limit: BTreeMap<Broken, Vec<&Step>> = BTreeMap::new();
    for step in steps {
        if let Some(broken) = forecast.breaks(&step.limits) {
            by_limit.entry(broken).or_default().push(step);
        }
    }
    by_limit
        .into_iter()
        .map(|(broken, steps)| {
            let word = broken.word();
            let figures = match broken {
                Broken::TooCold { low, limit } => (degrees("low", low, units), degrees("", limit, units)),
                Broken::TooWindy { gust, limit } => (wind("gust", gust, units), wind("", limit, units)),
                Broken::Wet => ("rain, snow or ice".into(), "dry".into()),
                Broken::Frozen => ("ground frozen".into(), "unfrozen ground".into()),
            };
            finding(
                at,
                if steps.iter().any(|s| meant(s)) { Level::Stop } else { Level::Note },
                &format!("weather_{}", word.replace(' ', "_")),
                format!("{word} for {}", named(&steps)),
                figures,
                "the plan keeps them out of it: do them in another session, or correct the forecast: session forecast CODE \"…\"",
            )
        })
        .collect()
}

/// "gust 18 mph".
fn wind(what: &str, gust: Speed, units: System) -> Amount {
    let shown = format!("{what} {}", gust.show(units));
    Amount::figure(shown.trim_start().to_owned(), "ms", gust.metres_per_second())
}

/// "low 41 °F".
fn degrees(what: &str, t: Temperature, units: System) -> Amount {
    let shown = format!("{what} {}", t.show(units));
    Amount::figure(shown.trim_start().to_owned(), "c", t.celsius())
}

/// Ladder and roof work by gust and slippery surface, for what has no limit of its own that is broken.
fn aloft(
    at: &str,
    steps: &[&Step],
    forecast: &Forecast,
    units: System,
    meant: &dyn Fn(&Step) -> bool,
) -> Vec<Finding> {
    let slippery = [forecast.rain, forecast.snow, forecast.ice].contains(&Some(true));
    let gust = forecast.gust.unwrap_or_default();
    let ms = MetresPerSecond::new(gust.metres_per_second()).unwrap_or_default();
    let input = |mean| Input { mean, gust: ms, slippery };
    let mut found = Vec::new();
    for (task, word, is) in [
        (Task::Roof, "roof", (|a| a == Access::Roof) as fn(Access) -> bool),
        (Task::Ladder, "ladder", |a| matches!(a, Access::StepLadder | Access::ExtensionLadder)),
    ] {
        let mine: Vec<&Step> =
            steps.iter().copied().filter(|s| is(s.access) && forecast.breaks(&s.limits).is_none()).collect();
        // Only the gust is forecast; the mean is at most that, and its own rows are not looked at.
        let decision = task.decide(input(MetresPerSecond::default()));
        if mine.is_empty() || decision == Decision::Go {
            continue;
        }
        let (level, mph) = match decision {
            Decision::Stop if mine.iter().any(|s| meant(s)) => (Level::Stop, 35.0),
            Decision::Stop => (Level::Mend, 35.0),
            _ => (Level::Mend, 26.0),
        };
        let limit =
            Speed::from_metres_per_second(mph * crate::calc::weather::go::MS_PER_MPH).unwrap_or_default();
        let figures = if slippery {
            ("rain, snow or ice".into(), "dry".into())
        } else {
            (wind("gust", gust, units), wind("gust", limit, units))
        };
        let mut f = finding(
            at,
            level,
            &format!("weather_{word}_{}", decision.name()),
            format!("{} on {word}: {}", decision.name(), named(&mine)),
            figures,
            "work on the ground instead, or wait: any person may call it off",
        );
        f.caution = Some(
            "Limits by a national regulator's advice on roof work and by common practice; local rules go first."
                .to_owned(),
        );
        found.push(f);
    }
    found
}

/// How cold it feels at the low and the gust; a gust is no mean wind, so this is the worst of it.
fn chill(at: &str, forecast: &Forecast, units: System) -> Option<Finding> {
    let (low, gust) = forecast.low.zip(forecast.gust)?;
    let felt = felt(low, gust)?;
    (felt < CHILL_SAID_C).then(|| {
        let felt = Temperature::from_mc((felt * 1000.0).round() as i64);
        let mut found = finding(
            at,
            Level::Note,
            "wind_chill",
            format!("feels as cold as {} in the gusts (wind chill index of 2001)", felt.show(units)),
            (
                Amount::figure(format!("low {}, gust {}", low.show(units), gust.show(units)), "c", felt.celsius()),
                Amount::figure(format!("{} felt", Temperature::from_mc((CHILL_SAID_C * 1000.0) as i64).show(units)), "c", CHILL_SAID_C),
            ),
            "gloves that still grip, turns of work, a warm place to go to; fine work on connectors last or indoors",
        );
        found.from.push(Figure { name: "low_c".to_owned(), value: low.celsius() });
        found.from.push(Figure { name: "gust_ms".to_owned(), value: gust.metres_per_second() });
        found
    })
}

fn felt(low: Temperature, gust: Speed) -> Option<f64> {
    let air = Celsius::new(low.celsius()).ok()?;
    let wind = MetresPerSecond::new(gust.metres_per_second()).ok()?;
    // In calm or warm air there is nothing to tell.
    wind_chill::wind_chill(wind_chill::Input { air, wind, form: Form::Us }).ok()
}

/// Nights that have a forecast of their own: how cold the round is.
fn nights(outlook: &Outlook, facts: &Facts) -> Vec<Finding> {
    let mut nights: Vec<_> = facts.yard.nights.iter().filter(|n| n.night_on >= outlook.tonight()).collect();
    nights.sort_by_key(|n| n.night_on);
    nights
        .into_iter()
        .filter_map(|n| {
            let forecast = Forecast { gust: n.gust_mms, low: n.low_mc, ..Forecast::default() };
            chill(&format!("night of {}", n.night_on.format("%-d %b %Y")), &forecast, outlook.units())
        })
        .collect()
}

/// At which temperature the cure of a step is counted, where no forecast tells it.
pub(crate) fn cure_line(
    outlook: &Outlook,
    facts: &Facts,
    session: Option<&SessionSpan>,
    step: &Step,
) -> Option<String> {
    let recipe = step.method.into_iter().flat_map(|m| facts.recipe(m));
    let cures = recipe.into_iter().any(|r| r.code == step.recipe_step && r.cure_rule.is_some());
    if !cures
        || step.light == Light::Indoors
        || session.is_some_and(|s| s.forecast.is_some_and(|f| f.low.is_some()))
    {
        return None;
    }
    Some(match session {
        None => "cure: the lowest temperature is not told: at 20 °C its sheet's time, longer in the cold"
            .to_owned(),
        Some(s) => format!(
            "cure counted as at {}, assumed for the nights of {}: tell the forecast of {}",
            s.usual_low.show(outlook.units()),
            s.from.with_timezone(&outlook.zone()).format("%B"),
            s.code
        ),
    })
}

pub(super) fn named(steps: &[&Step]) -> String {
    let one = |s: &&Step| {
        if s.subject.is_empty() { s.title.clone() } else { format!("{} ({})", s.title, s.subject) }
    };
    let first: Vec<String> = steps.iter().take(NAMED).map(one).collect();
    match steps.len().saturating_sub(NAMED) {
        0 => first.join("; "),
        more => format!("{}; and {more} more", first.join("; ")),
    }
}

pub(super) fn finding(
    at: &str,
    level: Level,
    code: &str,
    what: String,
    (value, limit): (Amount, Amount),
    remedy: &str,
) -> Finding {
    Finding::new(level, code, at.to_owned(), what, value, limit, remedy)
}
