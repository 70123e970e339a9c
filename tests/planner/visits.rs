//! Moves against a plain order, visitors, and what begun work holds.

use ladderday::app::{App, Choices, THOROUGH};
use ladderday::domain::{Access, Phase, Role, TickKind};
use ladderday::planner::{Effort, Moves, Plan, Request, make_plan, plan_by_plain_order};
use ladderday::steps::{Facts, State};

use super::yard::{Build, breaches, derived, plan, utc};

/// Plain order and best plan of a demo season, up.
fn plain_and_best(season: &str) -> (Plan, Plan) {
    let dir = tempfile::tempdir().unwrap();
    let now = Some("2026-09-01T08:00".to_owned());
    let choices = Choices { now, season: Some(season.to_owned()), ..Choices::default() };
    let app = App::demo(&dir.path().join("demo.ladderday"), false, &choices).unwrap();
    let yard = app.yard();
    let facts = Facts::new(yard);
    let season = yard.seasons.iter().find(|s| s.code == season).unwrap();
    let derived = derived(yard, season.id, Phase::Up);
    let request = Request {
        facts: &facts,
        derived: &derived,
        season,
        phase: Phase::Up,
        now: app.now(),
        seed: 1,
        kept: &[],
    };
    let best = make_plan(&request, Effort::of(THOROUGH));
    let plain = plan_by_plain_order(&request);
    for p in [&plain, &best] {
        assert_eq!(breaches(yard, season.id, p), Vec::<String>::new());
        assert!(p.unplaced.is_empty());
    }
    (plain, best)
}

#[test]
fn the_demo_plan_takes_at_most_half_the_ladder_moves_of_a_plain_order() {
    let (mut before, mut after) = (Moves::default(), Moves::default());
    for season in ["harbor-2026", "tide-2026"] {
        let (plain, best) = plain_and_best(season);
        println!("{season}: plain order {:?}, planned {:?}", plain.moves, best.moves);
        assert!(2 * best.moves.ladder <= plain.moves.ladder, "{season}");
        before.ladder += plain.moves.ladder;
        after.ladder += best.moves.ladder;
    }
    println!("ladder moves {} of {}", after.ladder, before.ladder);
}

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
