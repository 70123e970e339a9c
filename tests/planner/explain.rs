//! Why a step is where it is: each kind of bound in a yard made for it, and the chain that decides the finish.

use chrono::{DateTime, Utc};
use ladderday::domain::{Access, Phase, Role, TickKind};
use ladderday::planner::{Explainer, Plan, PlannedStep, Why};
use ladderday::steps::{Facts, State};
use ladderday::units::Temperature;

use super::odds::small;
use super::yard::{Build, breaches, utc};

const NOW: &str = "2026-10-23T08:00:00-04:00";

fn step<'a>(plan: &'a Plan, part: &str) -> &'a PlannedStep {
    plan.steps.iter().find(|p| p.step.key.as_str().contains(part)).unwrap()
}

fn planned(b: &Build, now: &str) -> Plan {
    let made = b.plan(Phase::Up, now);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    made
}

fn why(b: &Build, plan: &Plan, part: &str) -> Why {
    let facts = Facts::new(&b.yard);
    Explainer::new(plan, &facts).why(&step(plan, part).step.key).unwrap()
}

fn codes(why: &Why) -> Vec<&'static str> {
    why.bounds.iter().map(|b| b.code).collect()
}

/// One tree on the lawn, two sessions of everyone.
fn one(method: &str, access: Access) -> Build {
    let mut b = Build::new();
    let place = b.place("here", access);
    b.prop("thing", place, method);
    b.session("2026-10-24T09:00", "2026-10-24T16:30", &[]);
    b.session("2026-10-25T09:00", "2026-10-25T16:30", &[]);
    b
}

#[test]
fn the_step_before_binds() {
    let b = one("stake", Access::Ground);
    let made = planned(&b, NOW);
    let w = why(&b, &made, "stake.drive");
    let edge = w.bounds.iter().find(|x| x.code == "edge").unwrap();
    assert_eq!(edge.by.as_ref(), Some(&step(&made, "stake.mark").step.key), "{w:?}");
    assert!(edge.remedy.contains("earlier"));
}

#[test]
fn the_session_binds_the_first_step() {
    let b = one("stake", Access::Ground);
    let made = planned(&b, NOW);
    assert!(codes(&why(&b, &made, "stake.bench")).contains(&"session"));
    // Begun in the middle of a session, it is now that binds.
    let made = planned(&b, "2026-10-24T10:00:00-04:00");
    assert!(codes(&why(&b, &made, "stake.bench")).contains(&"now"));
}

#[test]
fn the_one_person_binds() {
    let mut b = one("stake", Access::Ground);
    let place = b.place("there", Access::Ground);
    b.prop("other", place, "stake");
    b.person("Ann", "");
    let made = planned(&b, NOW);
    let second = made
        .steps
        .iter()
        .filter(|p| p.step.key.as_str().contains("stake.bench"))
        .max_by_key(|p| p.from)
        .unwrap();
    let facts = Facts::new(&b.yard);
    let w = Explainer::new(&made, &facts).why(&second.step.key).unwrap();
    let bound = w.bounds.iter().find(|x| x.code == "person").unwrap();
    assert!(bound.text.starts_with("Ann is at") && bound.remedy.contains("helper"), "{w:?}");
    // With a second pair of hands nobody waits for Ann.
    b.person("Bo", "");
    let made = planned(&b, NOW);
    let begin =
        made.steps.iter().filter(|p| p.step.key.as_str().contains("stake.bench")).filter_map(|p| p.from);
    assert_eq!(begin.max(), Some(utc("2026-10-24T09:00:00-04:00")));
}

#[test]
fn the_one_ladder_binds() {
    let mut b = Build::new();
    let (left, right) = (b.place("left", Access::StepLadder), b.place("right", Access::StepLadder));
    b.prop("bulbs-1", left, "hooks");
    b.prop("bulbs-2", right, "hooks");
    b.own("LD-1", Role::Ladder, "step_ladder");
    for name in ["Ann", "Bo", "Cy", "Di"] {
        b.person(name, "");
    }
    b.weekends(&[]);
    let made = planned(&b, NOW);
    let facts = Facts::new(&b.yard);
    let explainer = Explainer::new(&made, &facts);
    let mut bound = Vec::new();
    for p in made.steps.iter().filter(|p| !p.equipment.is_empty()) {
        bound.extend(explainer.why(&p.step.key).unwrap().bounds.into_iter().filter(|x| x.code == "ladder"));
    }
    assert!(!bound.is_empty() && bound.iter().all(|x| x.remedy == "one more step ladder"), "{bound:?}");
}

#[test]
fn the_light_binds_and_dark_sessions_are_named() {
    let mut b = Build::new();
    let roof = b.place("roof", Access::Roof);
    b.prop("star", roof, "roof_strap");
    // Thursday evening is dark; Saturday begins before the sun is up.
    b.session("2026-10-29T18:00", "2026-10-29T22:00", &[]);
    b.session("2026-10-31T06:00", "2026-10-31T16:30", &[]);
    b.session("2026-11-07T06:00", "2026-11-07T16:30", &[]);
    let made = planned(&b, NOW);
    let w = why(&b, &made, "roof_strap.seal");
    assert!(codes(&w).contains(&"light"), "{:?} {w:?}", step(&made, "roof_strap.seal").from);
    assert!(w.earlier.iter().any(|l| l.contains("S2026-10-29T18:00") && l.contains("of day light")), "{w:?}");
}

#[test]
fn the_forecast_is_named() {
    let mut b = one("mast", Access::Ground);
    b.yard.sessions[0].rain = Some(true);
    let made = planned(&b, NOW);
    let w = why(&b, &made, "mast.raise");
    let day = step(&made, "mast.raise").from.unwrap();
    assert!(day >= utc("2026-10-25T09:00:00-04:00"));
    // It follows the head's work; that, by its latest time, is what had to wait for the dry day.
    let head = why(&b, &made, "mast.head");
    let both: Vec<&String> = w.earlier.iter().chain(&head.earlier).collect();
    assert!(!both.is_empty() || codes(&w) == ["edge"], "{w:?} {head:?}");
}

#[test]
fn a_release_binds() {
    let mut b = one("stake", Access::Ground);
    let id = b.winter();
    let season = b.yard.seasons.iter_mut().find(|s| s.id == id).unwrap();
    season.work_from = Some(super::yard::day("2026-10-25"));
    b.yard.sessions[1].starts = super::yard::local("2026-10-25T00:00");
    let made = planned(&b, NOW);
    // The light is in the way before the date is: nothing of the dark hours is said to be the date's fault.
    let w = why(&b, &made, "stake.mark");
    assert!(codes(&w).contains(&"light"), "{:?} {w:?}", step(&made, "stake.mark"));
    b.yard.sites[0].latitude_udeg = None;
    b.yard.sites[0].place_minutes = Some(0);
    let made = planned(&b, NOW);
    assert!(codes(&why(&b, &made, "stake.mark")).contains(&"release"));
}

#[test]
fn what_is_not_placed_says_its_remedy() {
    let mut b = one("mast", Access::Ground);
    b.person("Ann", "");
    let made = planned(&b, NOW);
    let w = why(&b, &made, "mast.raise");
    assert_eq!(codes(&w), ["unplaced"]);
    assert!(!w.bounds[0].remedy.is_empty());
}

/// A cure begun in the cold waits longer: the step after it says so, and the checker agrees.
#[test]
fn a_cold_cure_waits_longer() {
    let mut b = Build::new();
    let roof = b.place("roof", Access::Roof);
    b.prop("star", roof, "roof_strap");
    b.weekends(&[]);
    let gap = |b: &Build| {
        let made = planned(b, NOW);
        let (seal, fit) = (step(&made, "roof_strap.seal"), step(&made, "roof_strap.fit"));
        let edge =
            made.steps.iter().flat_map(|p| &p.after).find(|e| e.key == seal.step.key && e.wait_min > 0);
        let between: DateTime<Utc> = fit.from.unwrap();
        (edge.unwrap().wait_min, (between - seal.to.unwrap()).num_minutes(), made.assumed.clone())
    };
    // No forecast: the usual nights of the month are counted with, and that is said.
    let (wait, took, assumed) = gap(&b);
    assert!(wait > 2880 && took >= wait, "{wait} {took}");
    assert!(assumed.iter().any(|a| a.contains("lowest temperature not told")));
    for s in &mut b.yard.sessions {
        s.low_mc = Some(Temperature::from_mc(20_000));
    }
    assert_eq!(gap(&b).0, 2880);
    for s in &mut b.yard.sessions {
        s.low_mc = Some(Temperature::from_mc(10_000));
    }
    let (wait, took, assumed) = gap(&b);
    assert_eq!(wait, 7 * 1440, "48 h at 20 °C are a week at 10 °C");
    assert!(took >= wait && !assumed.iter().any(|a| a.contains("lowest temperature not told")));
}

/// From the finish back: each step of the chain but the first is bound by another of it, and the last one ends it all.
#[test]
fn the_critical_chain_ends_at_the_finish() {
    let b = small();
    let made = planned(&b, NOW);
    let chain: Vec<&PlannedStep> = made.steps.iter().filter(|p| p.critical).collect();
    assert!(chain.len() >= 2);
    assert!(chain.iter().any(|p| p.to == made.finish));
    let begin = chain.iter().filter_map(|p| p.from).min().unwrap();
    let first = made.steps.iter().filter_map(|p| p.from).min().unwrap();
    assert!((begin - first).num_hours() < 24, "it goes back to the first day: {begin} {first}");
    // What is not on the chain may take a minute longer without moving the finish, or it shares people with it.
    assert!(made.steps.iter().any(|p| !p.critical && p.state == State::Open));
}

#[test]
fn done_work_is_said_to_be_done() {
    let mut b = small();
    let bench = b.steps(Phase::Up).into_iter().find(|s| s.key.as_str().contains("stake.bench")).unwrap();
    b.tick(&bench.key, TickKind::Done, Some("2026-10-22T12:00:00-04:00"));
    let made = planned(&b, NOW);
    let facts = Facts::new(&b.yard);
    assert_eq!(codes(&Explainer::new(&made, &facts).why(&bench.key).unwrap()), ["done"]);
}
