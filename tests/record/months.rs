//! Each month its own Today, on the demo yard: what is due by the day of the year, and nothing of what is over.

use ladderday::answers::view::{Aim, ScreenId, Today};
use ladderday::app::{Ask, NewFault, Page, PageWant, Tonight};
use ladderday::domain::Placement;

use super::Yard;

fn today(yard: &Yard, now: &str) -> Today {
    match yard.at(now).page(ScreenId::Today, &PageWant::default()).unwrap() {
        Page::Today(today) => today,
        other => panic!("{:?}", other.screen()),
    }
}

#[test]
fn every_month_asks_for_its_own() {
    let yard = Yard::demo();
    for (now, due, days) in [
        ("2026-10-15T10:00", "Lantern Tide 2026 is lit until", true),
        ("2026-12-14T12:00", "Midwinter Harbor 2026 is lit until", true),
        ("2027-01-09T10:00", "takedown of Midwinter Harbor 2026: ", false),
        ("2027-04-10T10:00", "takedown of Midwinter Harbor 2026: ", false),
        ("2027-04-10T10:00", "totes are not counted since Midwinter Harbor 2026 went off", false),
        ("2027-07-03T10:00", "jobs on the bench, first ", false),
    ] {
        let page = today(&yard, now);
        let said: Vec<&str> = page.alarms.iter().map(|a| a.what.as_str()).collect();
        assert!(said.iter().any(|a| a.contains(due)), "{now}: {due} in {said:#?}");
        assert_eq!(page.days_to_lights_on.is_some(), days, "{now}");
    }
    for now in ["2027-04-10T10:00", "2027-07-03T10:00"] {
        let page = today(&yard, now);
        let old = |a: &str| a.contains("have no place") || a.contains("overdue");
        assert!(
            !page.alarms.iter().any(|a| old(&a.what)),
            "{now}: what led up to a show that is over: {page:#?}"
        );
        // What was never ticked may still be up: the takedown is the work, and no other.
        assert!(page.phase == "down" && page.rehearsal.is_none(), "{now}");
    }
}

#[test]
fn of_a_show_that_is_over_the_takedown_is_the_work_on_every_screen() {
    let yard = Yard::demo();
    let page = |screen| yard.at("2027-07-10T10:00").page(screen, &PageWant::default()).unwrap();
    let day = today(&yard, "2027-07-10T10:00");
    assert_eq!(day.phase, "down");
    assert!(day.steps_total > 0 && day.alarms.iter().any(|a| a.what.starts_with("takedown of Midwinter")));
    let Page::Walk(walk) = page(ScreenId::Walk) else { panic!() };
    assert!(!walk.places.is_empty());
    let Page::Plan(plan) = page(ScreenId::Plan) else { panic!() };
    assert_eq!(plan.phase, "down");
    let Page::Yard(map) = page(ScreenId::Yard) else { panic!() };
    assert!(map.places.iter().any(|p| p.total > 0));
}

#[test]
fn what_is_over_and_not_closed_is_named_by_its_own_season() {
    let page = today(&Yard::demo(), "2026-12-10T10:00");
    let close = page.alarms.iter().find(|a| a.what.contains("is over and not closed")).unwrap();
    assert!(close.what.starts_with("Lantern Tide 2026"), "{}", close.what);
    assert_eq!(close.aim, Aim::Row("tide-2026".to_owned()));
}

#[test]
fn a_prop_that_was_patched_is_mended_before_its_own_show() {
    let yard = Yard::demo();
    let mut app = yard.at("2026-11-05T18:02");
    let season = app.yard().seasons.iter().find(|s| s.code == "harbor-2026").unwrap().id;
    let named = |p: &&Placement| p.season_id == season && p.name == "Bridge arches 1 to 3";
    let prop = app.yard().placements.iter().find(named).unwrap().code.clone();
    app.perform(&Ask::LogFault(NewFault {
        target: prop,
        symptom: "whole_dark".to_owned(),
        at: None,
        tonight: Tonight::Patched,
        note: String::new(),
    }))
    .unwrap();
    let Page::Faults(faults) = app.page(ScreenId::Faults, &PageWant::default()).unwrap() else { panic!() };
    let row = faults.rows.iter().find(|r| r.target.starts_with("Bridge arches 1 to 3") && !r.ended).unwrap();
    assert_eq!(row.state, "patched");
    assert!(!row.bench, "it stands outdoors, nothing of it lies on the bench");
    assert!(row.next.contains("before lights on, Fri 27 Nov 2026"), "{}", row.next);
}

#[test]
fn totes_say_what_the_time_of_the_year_asks() {
    let yard = Yard::demo();
    for (now, word) in
        [("2026-09-10T10:00", "go out"), ("2027-01-25T10:00", "to come"), ("2027-02-20T10:00", "count")]
    {
        let Page::Totes(totes) = yard.at(now).page(ScreenId::Totes, &PageWant::default()).unwrap() else {
            panic!()
        };
        let due: Vec<&str> = totes.rows.iter().filter_map(|r| r.due.as_deref()).collect();
        // What was lit hangs until it is told to be down, whether or not anybody ticked it up.
        assert!(due.iter().any(|d| d.contains(word)), "{now}: {due:?}");
    }
}
