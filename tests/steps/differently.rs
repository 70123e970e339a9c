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
        (Difference::Count, "0", "step skip"),
        (Difference::Count, "-1", "1 to"),
        (Difference::Count, "4000", "1 to"),
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

/// Fewer put out than planned: loads, pieces and what is owned go by how many there are; next year's begins as is decided.
#[test]
fn fewer_put_out_are_reckoned_with() {
    let (_folder, mut app) = demo();
    let season = app.yard().seasons.iter().find(|s| s.code == "harbor-2026").unwrap().id;
    let many = |p: &&ladderday::domain::Placement| {
        let pieces = app.yard().placement_pieces.iter().filter(|x| x.placement_id == p.id).count() as i64;
        let lit = app.yard().products.iter().any(|x| Some(x.id) == p.product_id && x.pixels.is_some());
        let fed = app.yard().links.iter().any(|l| l.to_placement_id == Some(p.id));
        p.season_id == season && p.count > 2 && pieces == p.count && lit && fed
    };
    let prop = app.yard().placements.iter().find(many).unwrap().clone();
    let (n, left) = (prop.count - 2, prop.count);
    let key = key(&app, &prop.code);
    let lit = |app: &App| {
        let answer = check_answer(&app.outlook(), &[CheckKind::Power], &WhatIf::default(), None).unwrap();
        answer.network.unwrap().load_w
    };
    let before = lit(&app);
    let ask = Ask::DoneDifferently { key: key.clone(), what: Difference::Count, text: n.to_string() };
    let said = app.perform(&ask).unwrap().said;
    assert!(said.contains(&format!("{n} of {left} put out; taken as left in: ")), "{said}");
    let now = app.yard().placements.iter().find(|p| p.id == prop.id).unwrap();
    let pieces = app.yard().placement_pieces.iter().filter(|x| x.placement_id == prop.id).count() as i64;
    assert_eq!((now.count, pieces), (n, n));
    let difference = app.yard().season_differences.iter().find(|d| d.placement_id == Some(prop.id)).unwrap();
    assert!(difference.before_text.starts_with(&format!("{left}: ")), "{}", difference.before_text);
    assert_eq!(difference.after_text, n.to_string());
    assert!(lit(&app) < before, "{} W after {before} W", lit(&app));
    let steps = app.steps(Phase::Up).unwrap();
    let step = steps.steps.iter().find(|s| s.key.to_string() == key).unwrap();
    assert_eq!(steps.progress[&step.key].state_for(step.of), ladderday::steps::State::Done);
}
