//! The demo yard: what is planted in it is found, and nothing else stops the work.

use ladderday::answers::power::{CheckKind, WhatIf};
use ladderday::answers::view::{Level, ScreenId};
use ladderday::app::{Ask, Page, SheetForm};
use ladderday::domain::Phase;
use ladderday::units::Percent;

use super::yards::{checked, demo};

#[test]
fn the_planted_faults_and_no_other_stop() {
    let (_folder, app) = demo("harbor-2026");
    let all = checked(&app);
    let stops: Vec<(&str, &str)> = all
        .findings
        .iter()
        .filter(|f| f.level == Level::Stop)
        .map(|f| (f.code.as_str(), f.place.as_str()))
        .collect();
    assert_eq!(
        stops,
        [("plug_family", "Boats 3 and 4 (HM26-25)"), ("tag_voltage", "Cone minis 4 to 6 (HM26-33)")]
    );
    // The mast box: 2400 pixels of 55 mA on two supplies of 70 A; white needs more than 56 A of each.
    let over: Vec<&str> =
        all.findings.iter().filter(|f| f.code == "supply_over_at_white").map(|f| f.place.as_str()).collect();
    assert_eq!(over, ["SUP-01", "SUP-02"]);
    assert!(all.must_stop());
    assert!(!checked(&demo("tide-2026").1).must_stop());
}

#[test]
fn another_level_is_tried_without_a_change_of_facts() {
    let (_folder, mut app) = demo("harbor-2026");
    let before = app.yard().clone();
    let white = WhatIf { level: Percent::new(100), ..WhatIf::default() };
    let found = app.check(&[CheckKind::Power], &white).unwrap().findings;
    assert!(found.iter().any(|f| f.code == "supply_over" && f.place == "SUP-01"));
    let low = found.iter().find(|f| f.code == "low_voltage" && f.place.contains("HM26-24")).unwrap();
    assert!(low.remedy.contains("2 more feeds"), "{}", low.remedy);
    assert_eq!(&before, app.yard());
}

#[test]
fn numbers_are_proposed_then_written_and_what_is_set_stays() {
    let (_folder, mut app) = demo("harbor-2026");
    let numbers = |app: &ladderday::app::App| {
        app.yard()
            .links
            .iter()
            .map(|l| (l.code.clone(), (l.start_universe, l.start_slot)))
            .collect::<Vec<_>>()
    };
    let before = numbers(&app);
    let proposed = checked(&app).findings.iter().filter(|f| f.code == "numbers_proposed").count();
    assert_eq!(proposed, 4);
    app.perform(&Ask::WriteNumbers { way: None }).unwrap();
    let after = numbers(&app);
    let changed: Vec<_> = before.iter().zip(&after).filter(|(b, a)| b != a).collect();
    assert_eq!(changed.len(), 4);
    assert!(changed.iter().all(|(b, _)| b.1 == (None, None)), "{changed:?}");
    assert!(!checked(&app).findings.iter().any(|f| f.code.starts_with("numbers_")));
    assert!(app.wiring_cards(SheetForm::Text).unwrap().contains("changed: print this card again"));
    assert_eq!(app.perform(&Ask::WriteNumbers { way: None }).unwrap_err().code, "nothing-proposed");
    app.perform(&Ask::Undo).unwrap();
    assert_eq!(numbers(&app), before);
}

#[test]
fn the_page_has_loads_and_voltages_and_the_rehearsal_its_currents() {
    let (_folder, mut app) = demo("harbor-2026");
    let Page::Power(page) = app.page(ScreenId::Power, &ladderday::app::PageWant::default()).unwrap() else {
        panic!("Power")
    };
    let mast = page.nodes.iter().find(|n| n.code == "SUP-01").unwrap();
    assert!(mast.kind == "supply" && mast.load.ends_with("A of 56.0 A"), "{mast:?}");
    assert!(
        page.nodes.iter().filter(|n| n.kind == "port").all(|n| n.share.is_some()) || page.not_told.len() > 1
    );
    let tree = page.strings.iter().find(|s| s.name == "Cone tree").unwrap();
    assert_eq!(tree.millivolts.len(), 2400);
    assert_eq!(tree.limit_mv, Some(4300));
    assert!(page.level.contains("40 %") && page.level.contains("software"));

    let mut notes: Vec<String> = Vec::new();
    let mut readings = Vec::new();
    for session in 0..80 {
        let Page::Walk(walk) = app
            .page(
                ScreenId::Walk,
                &ladderday::app::PageWant {
                    walk_session: Some(session),
                    phase: Some(Phase::Up),
                    ..ladderday::app::PageWant::default()
                },
            )
            .unwrap()
        else {
            panic!("Walk")
        };
        let steps = walk.places.iter().flat_map(|p| &p.steps);
        readings.extend(steps.clone().flat_map(|s| s.readings.clone()));
        notes.extend(steps.filter(|s| s.key.contains("rehearsal_load")).flat_map(|s| s.notes.clone()));
        if !notes.is_empty() || session + 1 >= walk.sessions.len() {
            break;
        }
    }
    assert!(notes.iter().any(|n| n.contains("only a setting")), "{notes:?}");
    assert!(readings.iter().any(|r| r.target == "SUP-01" && r.at == "in BOX-MAST"), "{readings:?}");
}
