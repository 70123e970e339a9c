//! Each month its own Today, on the demo yard: what is due by the day of the year, and nothing of what is over.

use ladderday::answers::view::{ScreenId, Today};
use ladderday::app::{Page, PageWant};

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
        assert!(page.ready.is_empty() && page.rehearsal.is_none() && page.work_left_min == 0, "{now}");
    }
}
