//! One evening session: tick, take a wrong tick back, hold one for a reason, leave, come back, all there.

use ladderday::app::{App, Choices};
use ladderday::domain::TickKind;

use super::terminal::{Home, Terminal};

/// A Thursday evening in October, inside a session of the demo yard.
const EVENING: [&str; 6] = ["demo", "--season", "harbor-2026", "--now", "2026-10-15T18:05", "--seed=1"];

#[test]
fn an_evening_is_walked_and_is_all_there_afterwards() {
    let home = Home::new();
    let mut walk = Terminal::start(&home, &EVENING, 100, 30);
    walk.shows(&["Today", "Midwinter Harbor"]).keys("2").shows(&["Bring ", "Thu 15 Oct", "here 0 of"]);
    // The same key within 150 ms counts once: gloves bounce. Another key always counts.
    walk.keys(" ").shows(&["here 1 of"]);
    walk.keys("\r\r\r").shows(&["here 2 of", "counted once"]);
    walk.keys("\x7f").shows(&["here 1 of", "Undone"]);
    walk.keys("h").shows(&["Hold \"Look-over"]);
    walk.keys("porch light is out\r").shows(&["‖"]);
    walk.keys("q");
    assert_eq!(walk.ends(), 0);
    drop(walk);

    let ticks = {
        let choices = Choices { now: Some("2026-10-15T18:20".to_owned()), ..Choices::default() };
        let app = App::open(&home.yard(), &choices).unwrap();
        let tonight = app.now().timestamp_millis() - 3_600_000;
        let harbor = app.yard().seasons.iter().find(|s| s.code == "harbor-2026").unwrap().id;
        app.yard()
            .ticks
            .iter()
            .filter(|t| t.season_id == Some(harbor) && t.at_ms.is_some_and(|at| at.0 > tonight))
            .cloned()
            .collect::<Vec<_>>()
    };
    let of = |kind: TickKind| ticks.iter().filter(|t| t.kind == kind).collect::<Vec<_>>();
    assert_eq!(of(TickKind::Done).len(), 1, "the tick that was taken back no longer holds: {ticks:#?}");
    assert_eq!(of(TickKind::Hold).len(), 1);
    assert_eq!(of(TickKind::Hold)[0].why, "porch light is out");

    let mut again = Terminal::start(
        &home,
        &["demo", "--season", "harbor-2026", "--now", "2026-10-15T18:20", "--seed=1"],
        100,
        30,
    );
    // Begun, the list stays as it was walked.
    again.shows(&["Today"]).keys("2").shows(&["Thu 15 Oct", "here 1 of"]).keys("q");
    assert_eq!(again.ends(), 0);
    let history = home.ok(&["journal"]);
    assert!(history.contains("(porch light is out)"), "{history}");
    assert!(history.contains("Undid"), "{history}");
}

#[test]
fn any_size_of_terminal_is_survived() {
    let home = Home::new();
    let mut walk = Terminal::start(&home, &EVENING, 80, 24);
    walk.shows(&["Today"]).keys("2").keys("g").shows(&["Bring for"]);
    for (cols, rows) in [(1, 1), (20, 5), (79, 24), (200, 60)] {
        walk.resize(cols, rows);
        match (cols, rows) {
            (1, 1) => {}
            (200, 60) => {
                walk.shows(&["Bring for"]);
            }
            _ => {
                walk.shows(&["80x24"]);
            }
        }
    }
    walk.resize(80, 24);
    walk.shows(&["Bring for"]).keys("\r").shows(&["here 0 of"]).keys("q");
    assert_eq!(walk.ends(), 0);
}

#[test]
fn a_forecast_typed_in_the_nightly_walk_brings_the_watch_and_the_put_back() {
    let home = Home::new();
    let mut walk = Terminal::start(&home, &["demo", "--now", "2026-12-04T18:00", "--seed=1"], 100, 30);
    walk.shows(&["Today"]).keys("2").shows(&["TONIGHT", "the night of Fri 4 Dec"]);
    walk.keys("e").shows(&["Forecast for tonight"]);
    walk.keys("gust 32 mph\r").shows(&["Forecast for tonight: gust 32 mph"]);
    walk.keys("q");
    assert_eq!(walk.ends(), 0);
    drop(walk);
    let choices = Choices { now: Some("2026-12-04T18:10".to_owned()), ..Choices::default() };
    let app = App::open(&home.yard(), &choices).unwrap();
    let steps = app.steps(ladderday::domain::Phase::Tonight).unwrap().steps.clone();
    let keys = |word: &str| steps.iter().filter(|s| s.key.as_str().contains(word)).count();
    assert_eq!(
        (keys("lay_down/2026-12-04"), keys("put_back/2026-12-05"), keys("light_test/2026-12-05")),
        (2, 2, 2)
    );
}
