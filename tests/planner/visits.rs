//! Visitors, and what begun work holds.

use ladderday::domain::{Access, Phase, Role, TickKind};
use ladderday::steps::State;

use super::yard::{Build, breaches, plan, utc};

/// Somebody who comes as a visitor is asked for what needs their skill, and for nothing else.
#[test]
fn a_visitor_is_not_handed_ordinary_work() {
    let mut b = Build::new();
    let lawn = b.place("lawn", Access::Ground);
    b.prop("star", lawn, "stake");
    let visitor = b.person("Vi", "roof");
    b.session("2026-10-24T09:00", "2026-10-24T16:30", &[visitor]);
    b.yard.sessions[0].visitor = "Vi".to_owned();
    let placed = |b: &Build| {
        let made = plan(&b.yard, b.winter(), Phase::Up, utc("2026-10-23T08:00:00-04:00"), 1);
        assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
        made.steps.iter().filter(|p| p.from.is_some() && p.people.iter().any(|n| n == "Vi")).count()
    };
    assert_eq!(placed(&b), 0);
    // The same person, not as a visitor, does it.
    b.yard.sessions[0].visitor.clear();
    assert!(placed(&b) > 0);
}

/// Work that is begun on the only ladder keeps it: it says so, and nothing else stands on it meanwhile.
#[test]
fn begun_work_holds_its_ladder() {
    let mut b = Build::new();
    let (eaves, porch) = (b.place("eaves", Access::StepLadder), b.place("porch", Access::StepLadder));
    b.prop("icicles", eaves, "hooks");
    b.prop("garland", porch, "hooks");
    b.person("Ada", "");
    b.person("Ben", "");
    b.own("LD-1", Role::Ladder, "step_ladder");
    b.weekends(&[]);
    let key = b.steps(Phase::Up).into_iter().find(|s| s.ladder().is_some() && s.minutes() > 5).unwrap().key;
    b.tick(&key, TickKind::Start, Some("2026-10-24T09:01:00-04:00"));
    let now = "2026-10-24T09:02:00-04:00";
    let made = b.plan(Phase::Up, now);
    let begun = made.steps.iter().find(|p| p.state == State::Doing).unwrap();
    assert!(begun.equipment.iter().any(|(n, _)| n.starts_with("LD-1")), "{:?}", begun.equipment);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    let until = begun.to.unwrap();
    assert!(made.steps.iter().all(|p| {
        let other = p.state == State::Open && p.equipment.iter().any(|(n, _)| n.starts_with("LD-1"));
        !other || p.from.is_none_or(|f| f >= until)
    }));
}

/// New hooks under the eaves and a star on them in one session: it is lit on the ground, then one climb fits the hooks and
/// hangs it.
#[test]
fn hooks_are_fitted_in_the_climb_that_hangs_what_was_lit_before() {
    let mut b = Build::new();
    let gable = b.place("gable", Access::ExtensionLadder);
    b.prop("stars", gable, "hooks");
    b.person("Ada", "");
    b.person("Ben", "");
    b.session("2026-10-24T09:00", "2026-10-24T16:00", &[]);
    let made = b.plan(Phase::Up, "2026-10-23T08:00:00-04:00");
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    let begins = |code: &str| {
        let step = made.steps.iter().find(|p| p.step.recipe_step == code).unwrap();
        step.from.unwrap_or_else(|| panic!("{code} has no place: {:?}", made.unplaced))
    };
    assert!(begins("hooks.light") < begins("hooks.fix") && begins("hooks.fix") < begins("hooks.hang"));
}

/// A rehearsal after the lights are on is none: it is late where it stands.
#[test]
fn a_rehearsal_after_lights_on_is_late() {
    let mut b = Build::new();
    let lawn = b.place("lawn", Access::Ground);
    b.prop("star", lawn, "stake");
    b.person("Ada", "");
    b.person("Ben", "");
    for season in &mut b.yard.seasons {
        (season.rehearsal, season.rehearsal_dark) = (None, None);
    }
    let lit = b.yard.seasons.iter().find(|s| s.id == b.winter()).and_then(|s| s.lights_on).unwrap();
    let day = (lit.date() + chrono::Duration::days(1)).to_string();
    b.session(&format!("{day}T09:00"), &format!("{day}T16:00"), &[]);
    let made = b.plan(Phase::Up, "2026-10-23T08:00:00-04:00");
    let rehearsals: Vec<_> = made
        .steps
        .iter()
        .filter(|p| p.step.role == ladderday::steps::Role::Rehearsal && p.from.is_some())
        .collect();
    assert!(!rehearsals.is_empty() && rehearsals.iter().all(|p| p.late), "{rehearsals:#?}");
}
