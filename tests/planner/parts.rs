//! Steps too long for any session, planned in parts of whole pieces; and mounts made this year.

use ladderday::domain::{Access, Phase, TickKind};
use ladderday::planner::Plan;
use ladderday::steps::State;

use super::yard::{Build, breaches, found};

const NOW: &str = "2026-10-23T08:00:00-04:00";

/// Four hundred stakes to set: 801 minutes, where the longest session has 600.
fn field() -> Build {
    let mut b = Build::new();
    let lawn = b.place("lawn", Access::Ground);
    let id = b.prop("field", lawn, "stake");
    b.placement(id).count = 400;
    b.person("Ada", "");
    b.person("Ben", "");
    b.weekends(&[]);
    b
}

fn made(b: &Build) -> Plan {
    let made = b.plan(Phase::Up, NOW);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    made
}

#[test]
fn a_step_too_long_for_any_session_is_planned_in_part() {
    let mut b = field();
    let plan = made(&b);
    let set = plan.steps.iter().find(|p| p.step.recipe_step == "stake.set").unwrap();
    // 595 of 600 minutes are left after the way there: 297 of 400 pieces at 801 / 400 minutes each.
    assert_eq!((set.part, set.minutes, set.minutes_left()), (Some(297), 595, 801));
    assert_eq!((set.to.unwrap() - set.from.unwrap()).num_minutes(), 595);
    assert!(plan.unplaced.iter().all(|u| u.key != set.step.key));
    let tie = plan.steps.iter().find(|p| p.step.recipe_step == "stake.tie").unwrap();
    assert_eq!(tie.from, None);
    let why = plan.unplaced.iter().find(|u| u.key == tie.step.key).unwrap();
    assert_eq!(why.code, "waits_for_unplaced");
    assert!(why.why.starts_with("the rest of \"field") && why.why.contains("297 of the 400"), "{why:?}");
    assert!(plan.assumed.iter().any(|l| l.contains("297 of the 400 left are planned")), "{:?}", plan.assumed);
    let worth = plan.goals.iter().find(|g| g.name == "worth_ready").unwrap();
    assert_eq!(worth.value, 0, "a placement with a rest is not ready");
    // Counted: what is left fits, and what follows has its place.
    let key = set.step.key.clone();
    let count = b.tick(&key, TickKind::Count, Some("2026-10-23T07:00:00-04:00"));
    (count.done_count, count.of_count) = (Some(297), Some(400));
    let plan = made(&b);
    let set = plan.step(&key).unwrap();
    assert_eq!((set.part, set.done, set.minutes), (None, 297, 207));
    assert!(plan.steps.iter().any(|p| p.step.recipe_step == "stake.tie" && p.from.is_some()));
}

#[test]
fn the_checker_finds_parts_that_are_none() {
    let b = field();
    let plan = made(&b);
    let spoil = |change: &dyn Fn(&mut Plan)| {
        let mut plan = plan.clone();
        change(&mut plan);
        found(&b.yard, b.winter(), &plan).into_iter().map(|x| x.code).collect::<Vec<_>>()
    };
    fn step<'a>(plan: &'a mut Plan, code: &str) -> &'a mut ladderday::planner::PlannedStep {
        plan.steps.iter_mut().find(|p| p.step.recipe_step == code).unwrap()
    }
    assert!(spoil(&|p| step(p, "stake.set").part = Some(400)).contains(&"part_wrong"));
    assert!(spoil(&|p| step(p, "stake.set").part = Some(200)).contains(&"count_wrong"));
    assert!(spoil(&|p| step(p, "stake.drive").part = Some(1)).contains(&"part_wrong"));
    let early = spoil(&|p| {
        let at = step(p, "stake.set").to;
        let tie = step(p, "stake.tie");
        (tie.from, tie.to) = (at, at.map(|t| t + chrono::Duration::minutes(tie.minutes)));
    });
    assert!(early.contains(&"before_the_rest"), "{early:?}");
}

/// One piece alone longer than any session stays refused: there is nothing to divide.
#[test]
fn a_single_piece_too_long_is_refused() {
    let mut b = field();
    for r in b.yard.recipe_steps.iter_mut().filter(|r| r.code == "stake.set") {
        r.piece_s = ladderday::units::Span::from_minutes(700);
    }
    let plan = made(&b);
    let set = plan.steps.iter().find(|p| p.step.recipe_step == "stake.set").unwrap();
    assert_eq!((set.part, set.from), (None, None));
    assert!(plan.unplaced.iter().any(|u| u.key == set.step.key && u.code == "too_long"));
}

/// A mount made this year was seen this year; one made the year before is looked over.
#[test]
fn a_mount_made_this_year_is_not_looked_over_again() {
    for (year, asked) in [("2026", false), ("2025", true)] {
        let mut b = Build::new();
        let wall = b.place("wall", Access::StepLadder);
        b.prop("icicles", wall, "hooks");
        b.weekends(&[]);
        let once: Vec<_> = b.steps(Phase::Up).into_iter().filter(|s| s.phase == Phase::Once).collect();
        assert!(!once.is_empty());
        for step in &once {
            b.tick(&step.key, TickKind::Done, Some(&format!("{year}-06-01T12:00:00-04:00"))).of_count =
                step.of;
        }
        let looks = |b: &Build| b.steps(Phase::Up).iter().any(|s| s.recipe_step == "hooks.look");
        assert_eq!(looks(&b), asked, "made in {year}");
        let plan = made(&b);
        let hang =
            plan.steps.iter().find(|p| p.step.recipe_step.starts_with("hooks.") && p.state == State::Open);
        assert!(hang.is_some_and(|p| p.from.is_some()), "{:?}", plan.unplaced);
    }
}
