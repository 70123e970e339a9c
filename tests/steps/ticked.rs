//! What is ticked stays in its list: a look-over of a ladder, the making of a mount, done or opened again.

use ladderday::app::{App, Ask, Choices};
use ladderday::domain::{Phase, TickKind};
use ladderday::steps::State;

const FILES: [(&str, &str); 5] = [
    ("season.csv", super::small_yard::SEASON),
    ("place.csv", super::small_yard::PLACES),
    ("product.csv", "code,name,role,kind,volts_mv,pixels\nSTEP,Step ladder,ladder,step ladder,,\nSIGN,Sign,prop,sign,5000,50\n"),
    ("piece.csv", "code,product,looked_over_on\nLAD-1,STEP,2025-01-10\n"),
    (
        "placement.csv",
        "code,season,name,product,count,place,method\nSIGN,glow-2026,Sign,SIGN,1,PORCH,clamp\n",
    ),
];

fn app(folder: &tempfile::TempDir) -> App {
    let csv = folder.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    for (name, text) in FILES {
        std::fs::write(csv.join(name), text).unwrap();
    }
    let choices = Choices { now: Some("2026-11-01T12:00".to_owned()), ..Choices::default() };
    let mut app = App::create(&folder.path().join("y.ladderday"), &choices).unwrap();
    app.import(&[csv]).unwrap();
    app
}

#[test]
fn a_look_over_or_a_mount_that_is_ticked_stays_in_its_list() {
    let folder = tempfile::tempdir().unwrap();
    let mut app = app(&folder);
    let keys = |app: &App| -> Vec<String> {
        app.steps(Phase::Up).unwrap().steps.iter().map(|s| s.key.as_str().to_owned()).collect()
    };
    let all = keys(&app);
    let look = all.iter().find(|k| k.contains("/look_over/2026")).unwrap_or_else(|| panic!("{all:#?}"));
    let makes = all.iter().filter(|k| k.starts_with("mount:")).collect::<Vec<_>>();
    assert!(!makes.is_empty(), "{all:#?}");
    for key in makes.into_iter().chain([look]) {
        let tick = |kind| Ask::Tick { key: key.clone(), kind, count: None, why: None };
        app.perform(&tick(TickKind::Done)).unwrap();
        assert_eq!(keys(&app).len(), all.len(), "{key} vanished once it was done");
        let state = |app: &App| app.steps(Phase::Up).unwrap().progress_of_steps().into_iter()
            .find(|(k, _)| k.as_str() == key).map(|(_, p)| p.state);
        assert_eq!(state(&app), Some(State::Done));
        app.perform(&tick(TickKind::Reopen)).unwrap();
        assert_eq!(keys(&app).len(), all.len(), "{key} vanished once it was opened again");
        assert_eq!(state(&app), Some(State::Open));
        app.perform(&tick(TickKind::Done)).unwrap();
    }
    assert_eq!(keys(&app), all);
}
