//! What cannot be meant: refused with a remedy, or named; typed and in files alike.

use ladderday::app::{App, Ask, Choices};

fn yard() -> (tempfile::TempDir, App) {
    let folder = tempfile::tempdir().unwrap();
    let csv = folder.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    let write = |name: &str, text: &str| std::fs::write(csv.join(name), text).unwrap();
    write("season.csv", "code,name,show,lights_on\nglow-2026,Glow,glow,2026-11-27T17:00\n");
    write("person.csv", "code,name\nANN,Ann\nBEN,Ben\n");
    let choices = Choices { now: Some("2026-09-01T12:00".to_owned()), ..Choices::default() };
    let mut app = App::create(&folder.path().join("y.ladderday"), &choices).unwrap();
    app.import(&[csv]).unwrap();
    (folder, app)
}

fn session(starts: &str, ends: &str, people: &[&str]) -> Ask {
    let people = people.iter().map(|p| (*p).to_owned()).collect();
    Ask::AddSession { starts: starts.to_owned(), ends: ends.to_owned(), people, work_lights: false }
}

fn season(code: &str, name: &str, on: &str) -> Ask {
    let lights_on = (!on.is_empty()).then(|| on.to_owned());
    Ask::NewSeason { code: code.to_owned(), name: name.to_owned(), lights_on }
}

#[test]
fn what_is_typed_without_sense_is_refused_with_its_remedy() {
    let (_folder, mut app) = yard();
    let forecast = |text: &str| Ask::Forecast { session: "2026-12-04".to_owned(), text: text.to_owned() };
    for (ask, code) in [
        (forecast("gust 900 mph"), "bad-forecast"),
        (forecast("low 31"), "bad-forecast"),
        (season("a/b", "", ""), "bad-code"),
        (season("..", "", ""), "bad-code"),
        (season("x:y", "", ""), "bad-code"),
        (season("ok-2027", "\u{200b}\u{2060}", ""), "no-name"),
        (season("\u{200b}", "", ""), "bad-code"),
        (season("far", "", "9999-11-27"), "bad-date"),
        (season("near", "", "26-11-27"), "bad-date"),
        (season("old", "", "0026-11-27T17:00"), "bad-date"),
        (session("0026-10-17T09:00", "12:00", &[]), "bad-time"),
        (session("9999-10-17T09:00", "12:00", &[]), "bad-time"),
        (session("2026-10-17T09:00", "2026-10-21T09:00", &[]), "bad-time"),
        (Ask::AddProp { line: "\u{200b}, 2, lawn, stake".to_owned() }, "no-name"),
    ] {
        let problem = app.perform(&ask).map(|d| d.said).expect_err(&format!("{ask:?}"));
        assert_eq!(problem.code, code, "{ask:?}: {}", problem.what);
        assert!(!problem.hints.is_empty(), "{ask:?} has no remedy");
    }
    app.perform(&season("glow-2027", "", "2027-11-26")).unwrap();
    app.perform(&session("2026-10-17T20:00", "2026-10-18T02:00", &[])).unwrap();
}

/// What is shown of a forecast can be typed again and tells the same.
#[test]
fn a_forecast_that_is_shown_is_read_back() {
    use ladderday::answers::view::ScreenId;
    use ladderday::app::{Page, PageWant};
    let (_folder, mut app) = yard();
    app.perform(&session("2026-10-17T09:00", "12:00", &[])).unwrap();
    let code = app.yard().sessions[0].code.clone();
    let shown = |app: &mut App| match app.page(ScreenId::Plan, &PageWant::default()).unwrap() {
        Page::Plan(plan) => plan.sessions[0].forecast.clone().unwrap_or_default(),
        other => panic!("{other:?}"),
    };
    for text in [
        "rain, no snow, thawed, gust 10 mph, low 40F",
        "dry, frozen, low -4C",
        "snow, ice",
        "gust 12 m/s",
        "",
    ] {
        app.perform(&Ask::Forecast { session: code.clone(), text: text.to_owned() }).unwrap();
        let (words, told) = (shown(&mut app), app.yard().sessions[0].clone());
        app.perform(&Ask::Forecast { session: code.clone(), text: words.clone() }).unwrap();
        assert_eq!(shown(&mut app), words, "{text}");
        let again = &app.yard().sessions[0];
        assert_eq!(
            (again.rain, again.snow, again.ice, again.frozen),
            (told.rain, told.snow, told.ice, told.frozen),
            "{text}: {words}"
        );
    }
}

#[test]
fn one_person_in_two_sessions_at_once_is_named() {
    let (_folder, mut app) = yard();
    app.perform(&session("2026-10-17T09:00", "12:00", &["Ann"])).unwrap();
    let apart = app.perform(&session("2026-10-17T12:00", "15:00", &["Ann"])).unwrap().said;
    assert!(!apart.contains("at once"), "{apart}");
    let other = app.perform(&session("2026-10-17T09:30", "11:00", &["Ben"])).unwrap().said;
    assert!(!other.contains("at once"), "{other}");
    let said = app.perform(&session("2026-10-17T11:00", "13:00", &["Ann", "Ben"])).unwrap().said;
    assert!(
        said.contains("Ann") && said.contains("S-1017-0900") && said.contains("session people"),
        "{said}"
    );
    assert!(!said.contains("Ben is"), "{said}");
    let plan = app.plan(ladderday::domain::Phase::Up, 8).unwrap();
    assert!(plan.faults.iter().any(|f| f.contains("Ann") && f.contains("at once")), "{:?}", plan.faults);
}

/// The same in files, line by line.
#[test]
fn files_are_held_to_the_same() {
    for (file, text, word) in [
        ("session.csv", "code,starts,ends\nS1,2026-10-17T09:00,2026-10-21T09:00\n", "24 h"),
        ("session.csv", "code,starts,ends,gust_mms\nS1,2026-10-17T09:00,2026-10-17T10:00,900 mph\n", "gust"),
        ("night.csv", "night_on,low_mc\n2026-12-04,500 F\n", "low"),
        ("season.csv", "code,name,show\na/b,A,a\n", "code"),
        ("season.csv", "code,name,show\n..,A,a\n", "code"),
        ("season.csv", "code,name,show,lights_on\na,A,a,0026-11-27T17:00\n", "year"),
        ("season.csv", "code,name,show,lights_on\na,A,a,9999-11-27T17:00\n", "year"),
        ("session.csv", "code,starts,ends\nS1,9999-10-17T09:00,9999-10-17T10:00\n", "year"),
        ("place.csv", "code,name\nP1,\u{200b}\n", "name"),
    ] {
        let (folder, mut app) = yard();
        let path = folder.path().join(file);
        std::fs::write(&path, text).unwrap();
        let problem = app.import(&[path]).expect_err(&format!("{text:?} is taken"));
        assert!(problem.what.contains(word), "{text:?}: {}", problem.what);
    }
}
