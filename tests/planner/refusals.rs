//! Facts that contradict each other: told a step, with a code and a remedy; the rest is planned.

use ladderday::domain::{Access, Phase, Role, TickKind};
use ladderday::planner::{Plan, Refusal};

use super::yard::{Build, breaches};

const NOW: &str = "2026-10-23T08:00:00-04:00";

/// A stake prop and one other at `access`, with two people who come to every weekend.
fn with(access: Access, method: &str) -> Build {
    let mut b = Build::new();
    let lawn = b.place("lawn", Access::Ground);
    let there = b.place("there", access);
    b.prop("trees", lawn, "stake");
    b.prop("other", there, method);
    b.person("Ada", "roof");
    b.person("Ben", "");
    b.weekends(&[]);
    b
}

fn planned(b: &Build) -> Plan {
    let made = b.plan(Phase::Up, NOW);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    let rest = made.steps.iter().filter(|p| p.step.subject == "trees").all(|p| p.from.is_some());
    assert!(rest, "the rest is planned: {:?}", made.unplaced);
    made
}

fn refusal<'a>(made: &'a Plan, step: &str) -> &'a Refusal {
    made.unplaced
        .iter()
        .find(|u| u.key.as_str().contains(step))
        .unwrap_or_else(|| panic!("{step} is refused: {:?}", made.unplaced))
}

/// `step` is refused with `code`, what follows it with `waits_for_unplaced`, and `cured` places them all.
fn refused(b: &Build, step: &str, code: &str, says: &str, cured: impl Fn(&mut Build)) {
    let made = planned(b);
    let r = refusal(&made, step);
    assert_eq!(r.code, code, "{r:?}");
    assert!(format!("{} {}", r.why, r.remedy).contains(says), "{r:?}");
    assert!(!r.remedy.is_empty());
    assert!(
        made.unplaced.iter().all(|u| u.code == code || u.code == "waits_for_unplaced"),
        "{:?}",
        made.unplaced
    );
    let mut b = b.clone();
    cured(&mut b);
    assert_eq!(planned(&b).unplaced, vec![], "the remedy helps");
}

#[test]
fn three_people_needed_when_two_come() {
    let b = with(Access::Ground, "mast");
    refused(&b, "mast.raise", "too_few_people", "takes 3 people, at most 2", |b| {
        b.person("Cal", "");
    });
}

#[test]
fn a_skill_that_nobody_has() {
    let mut b = with(Access::Roof, "roof_strap");
    b.yard.people[0].skills = ladderday::domain::Words::default();
    refused(&b, "roof_strap.seal", "no_skill", "roof", |b| {
        b.yard.people[1].skills = ladderday::domain::Words::of("roof");
    });
}

#[test]
fn not_to_be_done_alone() {
    let mut b = with(Access::StepLadder, "hooks");
    b.yard.people.pop();
    refused(&b, "hooks.fix", "alone", "second person", |b| {
        b.person("Ben", "");
    });
}

#[test]
fn a_ladder_that_nobody_owns() {
    let mut b = with(Access::ExtensionLadder, "hooks");
    b.own("LD-1", Role::Ladder, "step_ladder");
    refused(&b, "hooks.fix", "no_equipment", "extension ladder", |b| {
        b.own("LD-2", Role::Ladder, "extension_ladder");
    });
}

#[test]
fn longer_than_any_session() {
    let mut b = with(Access::Ground, "stake");
    b.desk("songs", 15 * 60, None);
    let made = planned(&b);
    assert_eq!(refusal(&made, "desk:").code, "too_long");
    assert!(refusal(&made, "desk:").why.contains("900 minutes"));
}

#[test]
fn a_cure_longer_than_the_time_left() {
    let mut b = with(Access::Roof, "roof_strap");
    for r in b.yard.recipe_steps.iter_mut().filter(|r| r.code == "roof_strap.seal") {
        r.wait_s = ladderday::units::Span::from_minutes(60 * 24 * 60);
    }
    let made = planned(&b);
    let r = refusal(&made, "roof_strap.light");
    assert_eq!(r.code, "no_time_left", "{r:?}");
    assert!(made.step(&r.key).is_some_and(|p| p.from.is_none()));
    assert!(made.steps.iter().any(|p| p.step.recipe_step == "roof_strap.seal" && p.from.is_some()));
}

#[test]
fn weather_that_breaks_a_limit_in_every_session() {
    let mut b = with(Access::Ground, "stake");
    for s in &mut b.yard.sessions {
        s.frozen = Some(true);
    }
    let made = b.plan(Phase::Up, NOW);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    let r = refusal(&made, "stake.drive");
    assert_eq!(r.code, "no_session");
    assert!(r.why.contains("frozen"), "{r:?}");
}

#[test]
fn held_by_the_owner_with_the_reason() {
    let mut b = with(Access::Ground, "cable");
    let other = b.yard.placements[1].id;
    b.placement(other).held_why = Some("the ramp is not here".to_owned());
    refused(&b, "cable.lay", "held", "the ramp is not here", |b| b.yard.placements[1].held_why = None);
}

#[test]
fn a_wait_after_something_done_at_no_known_time() {
    let mut b = with(Access::Ground, "stake");
    b.buried_lines();
    let key = b.steps(Phase::Up).iter().find(|s| s.key.as_str().starts_with("duty:")).unwrap().key.clone();
    b.tick(&key, TickKind::Done, None);
    let made = b.plan(Phase::Up, NOW);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    let r = refusal(&made, "stake.drive");
    assert_eq!(r.code, "time_unknown");
    assert!(r.why.contains("buried lines") && r.remedy.contains("with its time"), "{r:?}");
}
