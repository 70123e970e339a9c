//! What to leave out: the least worthy for its hours, no more than needed, and verified.

use std::collections::BTreeSet;

use ladderday::domain::{Access, Phase, PlacementId};
use ladderday::planner::{Chances, DropList, OddsRequest, drop_list, odds};

use super::odds::{certain, with};
use super::yard::{Build, breaches, plan, utc};

const NOW: &str = "2026-11-22T08:00:00-05:00";

/// Three props, time for two: a worthy tree, a worthless long one, and one between.
fn crowded() -> (Build, [PlacementId; 3]) {
    let mut b = Build::new();
    let lawn = b.place("lawn", Access::Ground);
    let ids = ["worthy", "long", "between"].map(|name| b.prop(name, lawn, "mast"));
    for (id, worth) in ids.into_iter().zip([5, 1, 3]) {
        b.placement(id).worth = worth;
    }
    let who = ["Ann", "Bo", "Cy"].map(|n| b.person(n, ""));
    b.session("2026-11-22T09:00", "2026-11-22T13:00", &who);
    b.session("2026-11-23T07:00", "2026-11-23T22:00", &who);
    (b, ids)
}

fn list(b: &Build, wanted: f64, chances: &Chances) -> DropList {
    let made = plan(&b.yard, b.winter(), Phase::Up, utc(NOW), 1);
    assert_eq!(breaches(&b.yard, b.winter(), &made), Vec::<String>::new());
    with(&b.yard, b.winter(), &made, 1, |request| {
        let list = drop_list(request, &made, chances, 200, wanted).unwrap();
        // What it says of the odds is what the odds say.
        let without: BTreeSet<PlacementId> =
            list.drops.iter().flat_map(|d| d.with.iter().copied().chain([d.placement])).collect();
        let again = odds(&OddsRequest {
            request,
            plan: &made,
            followed: &made,
            chances,
            runs: 200,
            without: &without,
        })
        .unwrap();
        assert!(!list.reached || (again.in_time - list.after).abs() < f64::EPSILON);
        list
    })
}

#[test]
fn the_least_worthy_goes_and_no_more() {
    let (b, [_, long, _]) = crowded();
    let got = list(&b, 0.9, &certain());
    assert!(got.before < 0.5, "{got:?}");
    assert!(got.reached && got.after >= 0.9, "{got:?}");
    assert_eq!(got.drops.iter().map(|d| d.placement).collect::<Vec<_>>(), [long], "{got:?}");
    assert_eq!(got.drops[0].worth, 1);
}

#[test]
fn nothing_goes_where_the_level_is_met() {
    let (mut b, _) = crowded();
    b.yard.placements.truncate(1);
    let got = list(&b, 0.9, &certain());
    assert!(got.reached && got.drops.is_empty() && (got.before - got.after).abs() < f64::EPSILON);
}

/// Where the weather alone is in the way, leaving out does not help, and the list says so instead of emptying the yard.
#[test]
fn what_dropping_cannot_better_is_said() {
    let (b, _) = crowded();
    let got = list(&b, 0.99, &Chances { lost: [0.5; 12], ..certain() });
    assert!(!got.reached && got.drops.is_empty() && got.after < 0.99, "{got:?}");
}

/// A prop goes with what carries it, and the worth of both counts.
#[test]
fn what_is_carried_goes_with_its_carrier() {
    let (mut b, [worthy, long, _]) = crowded();
    b.placement(worthy).carried_by_id = Some(long);
    let got = list(&b, 0.9, &certain());
    assert!(got.drops.iter().all(|d| d.placement != long || d.with.contains(&worthy)), "{got:?}");
    assert!(got.reached);
}
