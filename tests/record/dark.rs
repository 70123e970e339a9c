//! Time dark: written through the door, counted in the history, taken back.

use ladderday::app::{Ask, Form};

use super::{Yard, json, rows, text};

fn dark(target: &str, lasted: &str, night: Option<&str>) -> Ask {
    Ask::LogDark {
        target: target.to_owned(),
        lasted: lasted.to_owned(),
        why: "outlet tripped".to_owned(),
        night: night.map(str::to_owned),
    }
}

const LIT: &str = "2026-12-10T01:30";

/// The demo's past has two nights of the whole show, 5400 s and 2700 s: 135 minutes.
#[test]
fn dark_time_is_counted_by_season_and_taken_back() {
    let yard = Yard::demo();
    let mut app = yard.at(LIT);
    let whole = |app: &mut ladderday::app::App, season: &str| {
        let doc = json(&app.history_answer(Form::Json).unwrap());
        let found =
            rows(&doc, "dark").iter().find(|d| text(d, "season") == season && d["placement"].is_null());
        found.map(|d| (d["nights"].as_u64().unwrap(), d["minutes"].as_i64().unwrap()))
    };
    assert_eq!(whole(&mut app, "harbor-2025"), Some((2, 135)));
    assert_eq!(whole(&mut app, "harbor-2026"), None);
    // Half past one is still the night of the 9th.
    let said = app.perform(&dark("show", "1h30", None)).unwrap().said;
    assert_eq!(said, "Dark on 2026-12-09: the whole show, 1 h 30 (outlet tripped)");
    app.perform(&dark("show", "15 min", Some("2026-12-09"))).unwrap();
    assert_eq!(whole(&mut app, "harbor-2026"), Some((1, 105)));
    let told = app.history_answer(Form::Text).unwrap();
    assert!(
        told.contains("harbor-2026: the whole show dark on 1 night, 1 h 45 in all (outlet tripped)"),
        "{told}"
    );
    app.perform(&Ask::Undo).unwrap();
    assert_eq!(whole(&mut app, "harbor-2026"), Some((1, 90)));
    app.perform(&Ask::Undo).unwrap();
    assert_eq!(whole(&mut app, "harbor-2026"), None);
}

#[test]
fn dark_time_of_one_prop_is_its_own_row() {
    let yard = Yard::demo();
    let mut app = yard.at(LIT);
    app.perform(&dark("hm26-25", "45 min", Some("2026-12-08"))).unwrap();
    let doc = json(&app.history_answer(Form::Json).unwrap());
    let row = rows(&doc, "dark").iter().find(|d| d["placement"] == "HM26-25").unwrap();
    assert_eq!((row["nights"].as_u64(), row["minutes"].as_i64()), (Some(1), Some(45)));
}

#[test]
fn what_cannot_be_is_refused_and_nothing_is_written() {
    let yard = Yard::demo();
    let mut app = yard.at(LIT);
    let before = app.yard().dark_times.len();
    for (ask, code) in [
        (dark("show", "0 min", None), "bad-dark-time"),
        (dark("show", "25 h", None), "bad-dark-time"),
        (dark("show", "soon", None), "bad-dark-time"),
        (dark("NO-SUCH", "1 h", None), "no-placement"),
        (dark("show", "1 h", Some("2026-12-10")), "night-to-come"),
        (dark("show", "1 h", Some("2026-07-01")), "not-lit"),
        (dark("show", "1 h", Some("yesterday")), "bad-date"),
    ] {
        assert_eq!(app.perform(&ask).unwrap_err().code, code, "{ask:?}");
    }
    assert_eq!(app.yard().dark_times.len(), before);
}
