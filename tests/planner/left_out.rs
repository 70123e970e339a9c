//! A prop that can't be ready in time does not keep the rest of the show from being built.

use std::collections::BTreeSet;

use ladderday::app::{App, Choices};
use ladderday::domain::{Phase, PlacementId, Yard};
use ladderday::planner::Plan;
use ladderday::steps::{Facts, State};

use super::yard::{breaches, plan, utc};

fn demo() -> (tempfile::TempDir, App) {
    let folder = tempfile::tempdir().unwrap();
    let choices = Choices { now: Some("2026-10-25T12:00".to_owned()), ..Choices::default() };
    let app = App::demo(&folder.path().join("demo.ladderday"), true, &choices).unwrap();
    (folder, app)
}

fn up(yard: &Yard, now: &str) -> Plan {
    let season = yard.seasons.iter().find(|s| s.code == "harbor-2026").unwrap().id;
    let plan = plan(yard, season, Phase::Up, utc(now), 1);
    assert_eq!(breaches(yard, season, &plan), Vec::<String>::new(), "{now}");
    plan
}

/// The strap of roof star 6 is bonded in November and cures for twenty days: the star is late whatever is done. What
/// hangs below it, the round of its box and the rehearsal need not be.
#[test]
fn what_cures_too_long_is_left_out_and_all_else_is_built() {
    let (_folder, app) = demo();
    let yard = app.yard();
    let made = up(yard, "2026-11-02T08:00:00-05:00");
    let facts = Facts::new(yard);
    let names: Vec<_> = made.left_out.iter().map(|id| facts.placement(*id).unwrap().name.as_str()).collect();
    assert_eq!(names, ["Roof star 6"]);
    let open = made.steps.iter().filter(|p| p.state == State::Open && p.from.is_none());
    let of: BTreeSet<Option<PlacementId>> = open.map(|p| p.step.placement).collect();
    assert_eq!(of, made.left_out.iter().map(|id| Some(*id)).collect());
    assert!(made.unplaced.iter().any(|u| u.code == "no_time_left"), "{:?}", made.unplaced);
    let in_time = up(yard, "2026-10-15T08:00:00-04:00");
    assert_eq!((in_time.left_out.len(), in_time.unplaced.len()), (0, 0));
}

/// What is fed by it or stands on it is not planned without it.
#[test]
fn a_box_that_nobody_can_hang_keeps_what_it_feeds_waiting() {
    let (_folder, app) = demo();
    let mut yard = app.yard().clone();
    for person in &mut yard.people {
        person.skills = ladderday::domain::Words::default();
    }
    let made = up(&yard, "2026-10-15T08:00:00-04:00");
    let fed = Facts::new(&yard).fed_by(yard.seasons.iter().find(|s| s.code == "harbor-2026").unwrap().id);
    let boxes: BTreeSet<_> = fed.values().collect();
    for id in &made.left_out {
        let own: BTreeSet<_> = Facts::new(&yard).pieces_of(*id).iter().copied().collect();
        assert!(boxes.iter().all(|b| !own.contains(*b)), "{id:?} feeds others");
    }
}
