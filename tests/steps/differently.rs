//! Done differently takes what there is, and every answer reckons with it.

use ladderday::answers::power::{CheckKind, WhatIf, check_answer};
use ladderday::app::{App, Ask, Choices, Difference};
use ladderday::domain::Phase;

fn demo() -> (tempfile::TempDir, App) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("d.ladderday");
    let choices = |now: &str| Choices { now: Some(now.to_owned()), ..Choices::default() };
    App::demo(&path, true, &choices("2026-09-01T12:00")).unwrap();
    let app = App::open(&path, &choices("2026-10-17T10:00")).unwrap();
    (folder, app)
}

/// The connect of a prop with a data lead from a box.
fn key(app: &App, placement: &str) -> String {
    let id = app.yard().placements.iter().find(|p| p.code == placement).unwrap().id;
    let steps = app.steps(Phase::Up).unwrap();
    let connect = steps.steps.iter().find(|s| s.placement == Some(id) && s.recipe_step.ends_with(".connect"));
    connect.unwrap().key.to_string()
}

fn fed(app: &App) -> String {
    let season = app.yard().seasons.iter().find(|s| s.code == "harbor-2026").unwrap().id;
    let steps = app.steps(Phase::Up).unwrap();
    let connects = |p: &ladderday::domain::Placement| {
        steps.steps.iter().any(|s| s.placement == Some(p.id) && s.recipe_step.ends_with(".connect"))
    };
    let has_port = |p: &&ladderday::domain::Placement| {
        p.season_id == season
            && connects(p)
            && app.yard().links.iter().any(|l| {
                l.to_placement_id == Some(p.id) && l.from_port.is_some() && l.from_piece_id.is_some()
            })
    };
    app.yard().placements.iter().find(has_port).unwrap().code.clone()
}

#[test]
fn only_what_exists_is_taken() {
    let (_folder, mut app) = demo();
    let placement = fed(&app);
    let key = key(&app, &placement);
    let ladder = "LAD-1";
    for (what, text, remedy) in [
        (Difference::Port, "banana", "port"),
        (Difference::Port, "99", "port"),
        (Difference::Level, "500", "1 to 100"),
        (Difference::Level, "bright", "1 to 100"),
        (Difference::Level, "0", "1 to 100"),
        (Difference::Lead, "PLAY-1", "lead"),
        (Difference::Count, "-1", "0 to"),
        (Difference::Count, "4000", "0 to"),
    ] {
        let ask = Ask::DoneDifferently { key: key.clone(), what, text: text.to_owned() };
        let problem = app.perform(&ask).map(|d| d.said).expect_err(&format!("{what:?} {text} is taken"));
        let hints = format!("{} {}", problem.what, problem.hints.join(" "));
        assert!(hints.contains(remedy), "{what:?} {text}: {hints}");
    }
    let _ = ladder;
    app.perform(&Ask::DoneDifferently { key: key.clone(), what: Difference::Port, text: "2".to_owned() })
        .unwrap();
    app.perform(&Ask::DoneDifferently { key, what: Difference::Level, text: "35 %".to_owned() }).unwrap();
}

/// A prop turned up alone draws more than the show's level says: every sum has it, in this season and, where it is kept,
/// in the next.
#[test]
fn a_level_of_its_own_is_reckoned_with() {
    let (_folder, mut app) = demo();
    let placement = fed(&app);
    let key = key(&app, &placement);
    let lit = |app: &App| {
        let answer = check_answer(&app.outlook(), &[CheckKind::Power], &WhatIf::default(), None).unwrap();
        (answer.network.unwrap().load_w, answer.sums.unwrap())
    };
    let (before, said) = lit(&app);
    assert!(!said.contains("level of its own"), "{said}");
    app.perform(&Ask::DoneDifferently { key, what: Difference::Level, text: "80".to_owned() }).unwrap();
    let (after, said) = lit(&app);
    assert!(said.contains("level of its own") && said.contains(" 80 %"), "{said}");
    // From 40 % to 80 %: twice what it took.
    assert!(after > before, "{after} W after {before} W");
}
