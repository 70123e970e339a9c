//! What stands in the wind, the nightly round and its watch, marks that expire: each where it bites and where not.

use ladderday::answers::power::{CheckKind, WhatIf};
use ladderday::answers::view::{ScreenId, Walk, WalkPlace};
use ladderday::app::{App, Ask, Choices, Form, Page};
use ladderday::domain::{Phase, TickKind};
use ladderday::steps::{Role, Step};

fn demo(now: &str) -> (tempfile::TempDir, App) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("d.ladderday");
    let choices = |now: &str| Choices { now: Some(now.to_owned()), ..Choices::default() };
    App::demo(&path, true, &choices("2026-09-01T12:00")).unwrap();
    let app = App::open(&path, &choices(now)).unwrap();
    (folder, app)
}

/// The same file at another hour.
fn later(folder: &tempfile::TempDir, now: &str) -> App {
    let choices = Choices { now: Some(now.to_owned()), ..Choices::default() };
    App::open(&folder.path().join("d.ladderday"), &choices).unwrap()
}

fn tonight(app: &App) -> Vec<Step> {
    app.steps(Phase::Tonight).unwrap().steps.iter().map(|s| (**s).clone()).collect()
}

fn forecast(app: &mut App, text: &str) {
    app.perform(&Ask::Forecast { session: "tonight".to_owned(), text: text.to_owned() }).unwrap();
}

fn done(app: &mut App, key: &str) {
    let ask = Ask::Tick { key: key.to_owned(), kind: TickKind::Done, count: None, why: None };
    app.perform(&ask).unwrap();
}

fn has(steps: &[Step], word: &str) -> usize {
    steps.iter().filter(|s| s.key.as_str().contains(word)).count()
}

#[test]
fn every_night_has_its_own_round_and_every_week_its_extras() {
    let (folder, mut app) = demo("2026-12-04T18:00");
    let steps = tonight(&app);
    assert!(has(&steps, "/look/2026-12-04") > 10);
    let places: Vec<_> = steps.iter().filter_map(|s| s.place).collect();
    let apart: std::collections::BTreeSet<_> = places.iter().collect();
    assert_eq!(places.len(), apart.len(), "one row a place");
    assert_eq!(has(&steps, "/ice/") + has(&steps, "watch:"), 0, "no snow, no wind told");
    let weekly = |steps: &[Step]| steps.iter().filter(|s| s.title.contains("his week: ")).count();
    let all = weekly(&steps);
    assert!(all > 3 && steps.iter().all(|s| (s.of == Some(2)) == s.title.contains("; this week: ")));
    let keys: Vec<String> =
        steps.iter().filter(|s| s.title.contains("his week: ")).map(|s| s.key.to_string()).collect();
    // Of the first only the night's own part is done: the week's is asked for again.
    let part = Ask::Tick { key: keys[0].clone(), kind: TickKind::Count, count: Some(1), why: None };
    app.perform(&part).unwrap();
    for key in &keys[1..] {
        done(&mut app, key);
    }
    let order = |app: &App| tonight(app).iter().map(|s| s.key.to_string()).collect::<Vec<_>>();
    assert_eq!(
        order(&app),
        steps.iter().map(|s| s.key.to_string()).collect::<Vec<_>>(),
        "a tick moves nothing"
    );
    let next = tonight(&later(&folder, "2026-12-05T18:00"));
    assert!(has(&next, "/look/2026-12-05") > 10);
    assert_eq!(weekly(&next), 1, "done for this week, but where only tonight's was");
    assert_eq!(weekly(&tonight(&later(&folder, "2026-12-07T18:00"))), all, "a new week");
    // Half past midnight still belongs to the night before.
    assert!(has(&tonight(&later(&folder, "2026-12-05T00:30")), "/look/2026-12-04") > 10);
}

#[test]
fn wind_lays_down_what_does_not_stand_it_and_puts_it_back_with_a_light_test() {
    let (folder, mut app) = demo("2026-12-04T18:00");
    forecast(&mut app, "gust 20 mph");
    assert_eq!(has(&tonight(&app), "watch:"), 0);
    forecast(&mut app, "gust 32 mph");
    let steps = tonight(&app);
    let down: Vec<_> = steps.iter().filter(|s| s.key.as_str().contains("lay_down/2026-12-04")).collect();
    // The frame from 30 mph and the arches without sandbags; the mast stands to 35.
    assert_eq!(down.len(), 2, "{:?}", down.iter().map(|s| &s.title).collect::<Vec<_>>());
    assert!(down.iter().all(|s| s.role == Role::Watch && s.cautions.iter().any(|c| c == "wind")));
    let keys: Vec<String> = down.iter().map(|s| s.key.to_string()).collect();
    assert_eq!((has(&steps, "put_back/2026-12-05"), has(&steps, "light_test/2026-12-05")), (2, 2));
    for key in &keys {
        done(&mut app, key);
    }
    // Another windy night: nothing is laid down twice, and what lies stays down, with the reason.
    let mut next = later(&folder, "2026-12-05T18:00");
    forecast(&mut next, "gust 33 mph");
    let steps = tonight(&next);
    assert_eq!(has(&steps, "lay_down/2026-12-05"), 0);
    let held = steps.iter().filter(|s| s.key.as_str().contains("put_back")).all(|s| s.held.is_some());
    assert!(held && has(&steps, "put_back/2026-12-05") == 2);
    let mut calm = later(&folder, "2026-12-06T18:00");
    let back: Vec<String> = tonight(&calm)
        .iter()
        .filter(|s| s.key.as_str().contains("put_back") && s.held.is_none())
        .map(|s| s.key.to_string())
        .collect();
    assert_eq!(back.len(), 2);
    for key in &back {
        done(&mut calm, key);
        done(&mut calm, &key.replace("put_back", "light_test"));
    }
    assert_eq!(has(&tonight(&later(&folder, "2026-12-07T18:00")), "watch:"), 0);
}

#[test]
fn snow_brings_its_own_list_the_night_after_too() {
    let (folder, mut app) = demo("2026-12-04T18:00");
    forecast(&mut app, "snow");
    let icy = |steps: &[Step]| steps.iter().filter(|s| s.title.contains("after snow or ice: ")).count();
    let steps = tonight(&app);
    assert!(icy(&steps) > 3 && has(&steps, "/ice/") == 0, "it is part of the look");
    assert!(icy(&tonight(&later(&folder, "2026-12-05T18:00"))) > 3);
    assert_eq!(icy(&tonight(&later(&folder, "2026-12-06T18:00"))), 0);
    // Told once the place was looked at, it is a look of its own.
    let (_folder, mut app) = demo("2026-12-04T18:00");
    let first = steps.iter().find(|s| s.title.contains("; after snow or ice: ")).unwrap().key.to_string();
    done(&mut app, &first);
    forecast(&mut app, "snow");
    assert_eq!(has(&tonight(&app), "/ice/2026-12-04"), 1);
    assert!(
        tonight(&app).iter().all(|s| s.key.to_string() != first || !s.title.contains("after snow or ice: "))
    );
}

fn codes(app: &mut App) -> (Vec<String>, Vec<String>) {
    let checked = app.check(&[CheckKind::Wind], &WhatIf::default()).unwrap();
    (checked.findings.into_iter().map(|f| f.code).collect(), checked.not_told)
}

/// The demo with one cell of a file changed.
fn with(file: &str, header: &str, row: &str) -> (tempfile::TempDir, App) {
    let (folder, _) = demo("2026-09-01T12:00");
    let csv = folder.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    std::fs::write(csv.join(file), format!("{header}\n{row}\n")).unwrap();
    let choices = Choices {
        now: Some("2026-09-01T12:00".to_owned()),
        season: Some("harbor-2026".to_owned()),
        ..Choices::default()
    };
    let mut app = App::open(&folder.path().join("d.ladderday"), &choices).unwrap();
    app.import(&[csv]).unwrap();
    (folder, app)
}

#[test]
fn what_lies_outside_the_formulas_is_said_not_computed() {
    let guy = "code,stand,azimuth_deg,radius_mm";
    for (file, header, row, code) in [
        ("guy.csv", guy, "G-1,ST-MAST,45,1500", "guy_slope"),
        ("guy.csv", guy, "G-1,ST-MAST,45,200", "anchor_in_base"),
        ("site.csv", "name,design_gust_mms", "Saltmarsh Lane 7,120 mph", "wind_speed"),
    ] {
        let (_folder, mut app) = with(file, header, row);
        let checked = app.check(&[CheckKind::Wind], &WhatIf::default()).unwrap();
        let found: Vec<_> = checked.findings.iter().map(|f| f.code.as_str()).collect();
        assert!(found.contains(&code), "{row}: {found:?}");
        let f = checked.findings.iter().find(|f| f.code == code).unwrap();
        assert!(!f.remedy.is_empty() && f.what.contains("not computed") && f.caution.is_some());
    }
}

#[test]
fn a_limit_above_what_holds_stops_the_work() {
    let (_folder, mut app) = with("stand.csv", "code,kind,lower_gust_mms", "ST-FRAME,weight,60 mph");
    assert!(codes(&mut app).0.contains(&"lowered_too_late".to_owned()));
    let (_folder, mut app) = with("stand.csv", "code,kind,lower_gust_mms", "ST-FRAME,weight,20 mph");
    let (found, not_told) = codes(&mut app);
    assert!(!found.contains(&"lowered_too_late".to_owned()));
    assert!(found.contains(&"anchor_untested".to_owned()));
    let area = "area not told for 2 stands: reckoned from the sizes of what stands there";
    assert!(not_told.iter().any(|l| l == area), "{not_told:?}");
}

#[test]
fn stakes_go_in_before_the_marks_expire() {
    let (_folder, mut app) = with(
        "duty.csv",
        "code,season,title,kind,expires_on",
        "DU26-02,harbor-2026,Marks,buried_lines,2026-10-18",
    );
    let plan = app.plan(Phase::Up, 16).unwrap();
    let drive = |p: &&ladderday::planner::PlannedStep| p.step.deed == ladderday::domain::StepDeed::Drive;
    let limit = chrono::NaiveDate::from_ymd_opt(2026, 10, 18).unwrap();
    assert!(plan.steps.iter().filter(drive).count() > 10);
    for p in plan.steps.iter().filter(drive) {
        assert!(p.to.is_none_or(|t| t.with_timezone(&plan.zone).date_naive() <= limit), "{}", p.step.subject);
    }
    app.judge(&plan).unwrap();
}

fn weather(text: Option<&str>) -> Vec<(String, String, String)> {
    let (folder, _) = demo("2026-09-01T12:00");
    let mut app = later(&folder, "2026-09-01T12:00");
    let first = app
        .yard()
        .sessions
        .iter()
        .filter(|s| s.starts.date() > "2026-09-01".parse().unwrap() && !s.lost)
        .min_by_key(|s| s.starts)
        .unwrap()
        .code
        .clone();
    if let Some(text) = text {
        app.perform(&Ask::Forecast { session: first, text: text.to_owned() }).unwrap();
    }
    let checked = app.check(&[CheckKind::Weather], &WhatIf::default()).unwrap();
    checked.findings.into_iter().map(|f| (f.code, f.value.to_string(), f.limit.to_string())).collect()
}

/// Wind limits of roof and ladder work: a regulator's advice, gust 35 mph stops; wind chill as in the printed chart.
#[test]
fn a_forecast_says_what_it_breaks_and_a_fair_one_nothing() {
    let codes = |text| weather(text).into_iter().map(|(code, ..)| code).collect::<Vec<_>>();
    let says = |codes: &[String], code: &str| codes.iter().any(|c| c == code);
    let bad = codes(Some("rain, gust 40 mph, low 25F, frozen"));
    assert!(says(&bad, "weather_too_windy") || says(&bad, "weather_too_cold"), "{bad:?}");
    assert!(says(&bad, "wind_chill"), "{bad:?}");
    assert!(says(&codes(Some("gust 40 mph, low 70F")), "weather_ladder_stop"));
    assert!(says(&codes(Some("gust 30 mph, low 70F")), "weather_ladder_caution"));
    // The yard's own later forecast says the same as without a fair one before it.
    assert_eq!(codes(Some("gust 5 mph, low 70F")), codes(None));
    assert!(bad.len() > codes(None).len());
}

/// Sun and civil dusk themselves are checked against published rows in `tests/physical`.
#[test]
fn sessions_and_shows_say_their_light() {
    let (folder, _) = demo("2026-09-01T12:00");
    let mut app = later(&folder, "2026-09-01T12:00");
    let list = app.sessions_answer(false, Form::Text).unwrap();
    let of = |code: &str| list.lines().skip_while(|l| !l.starts_with(code)).nth(1).unwrap().trim().to_owned();
    assert_eq!(
        of("S26-0903E"),
        "sunset 19:08, dusk 19:38; day 8 min, twilight 38 min, lamp 38 min, dark 1 h 51"
    );
    // Work lights give lamp the whole evening.
    assert_eq!(of("S26-1001E"), "day none, twilight none, lamp 2 h 30, dark 2 h 30");
    let seasons = app.seasons_answer(Form::Text).unwrap();
    assert!(seasons.contains("38 nights of 4 h 30, 171 h\n"), "{seasons}");
    assert!(seasons.contains("22 nights of 3 h, 66 h; begins before dusk on 20 of them"), "{seasons}");
}

/// At 69.6 degrees north: no sun in December, no night in June.
#[test]
fn far_north_the_light_is_said_not_computed() {
    let (folder, _) = demo("2026-09-01T12:00");
    let mut app = later(&folder, "2026-09-01T12:00");
    let site = folder.path().join("site.csv");
    std::fs::write(&site, "name,latitude_udeg\nSaltmarsh Lane 7,69600000\n").unwrap();
    app.import(&[site]).unwrap();
    for (starts, ends) in [("2027-06-20T22:00", "2027-06-20T23:30"), ("2026-12-20T11:00", "2026-12-20T13:00")]
    {
        let (starts, ends) = (starts.to_owned(), ends.to_owned());
        app.perform(&Ask::AddSession { starts, ends, people: Vec::new(), work_lights: false }).unwrap();
    }
    let list = app.sessions_answer(false, Form::Text).unwrap();
    assert!(list.contains("the sun stays up; day 1 h 30"), "{list}");
    assert!(list.contains("the sun stays down; day none"), "{list}");
}

fn walked(app: &mut App) -> Walk {
    walked_in(app, None)
}

fn walked_in(app: &mut App, phase: Option<Phase>) -> Walk {
    let want = ladderday::app::PageWant { phase, ..ladderday::app::PageWant::default() };
    match app.page(ScreenId::Walk, &want).unwrap() {
        Page::Walk(walk) => walk,
        other => panic!("{other:?}"),
    }
}

#[test]
fn the_night_is_walked_place_by_place_with_its_date() {
    let (_folder, mut app) = demo("2026-12-04T20:00");
    let walk = walked(&mut app);
    assert_eq!((walk.phase.as_str(), walk.session.as_str()), ("tonight", "the night of Fri 4 Dec 2026"));
    let looks = |p: &WalkPlace| p.steps.iter().filter(|s| s.key.contains("/look/")).count();
    assert!(walk.places.len() > 10);
    assert!(walk.places.iter().all(|p| looks(p) <= 1), "one look a place");
    assert!(walk.places.iter().map(looks).sum::<usize>() > 10);
}

#[test]
fn a_caution_is_said_in_full_once_a_place() {
    let (_folder, mut app) = demo("2026-10-17T09:30");
    let walk = walked(&mut app);
    let mut again = 0;
    for place in &walk.places {
        let all: Vec<&String> = place.steps.iter().flat_map(|s| &s.cautions).collect();
        for text in all.iter().filter(|t| !t.starts_with("as said here")) {
            assert_eq!(all.iter().filter(|t| t == &text).count(), 1, "{}: {text}", place.place);
        }
        again += all.iter().filter(|t| t.starts_with("as said here: ")).count();
    }
    assert!(again > 0);
}

#[test]
fn a_kept_step_that_the_forecast_holds_says_its_limit() {
    let (folder, mut app) = demo("2026-10-16T12:00");
    app.perform(&Ask::KeepPlan { phase: Phase::Up }).unwrap();
    // Before it begins, what people expect still stands.
    let mut there = later(&folder, "2026-10-17T08:30");
    let session = there.yard().sessions.iter().find(|s| s.code == "S26-1017").unwrap().code.clone();
    there.perform(&Ask::Forecast { session, text: "rain, gust 40 mph, low 20F, frozen".to_owned() }).unwrap();
    let walk = walked_in(&mut there, Some(Phase::Up));
    let held: Vec<&String> =
        walk.places.iter().flat_map(|p| &p.steps).filter_map(|s| s.why.as_ref()).collect();
    assert!(held.iter().any(|w| w.contains("the forecast holds it: ") && w.contains("limit")), "{held:?}");
}

#[test]
fn after_the_marks_expire_stakes_wait_for_new_ones() {
    let row = |code: &str, until: &str| format!("{code},harbor-2026,Marks,buried_lines,{until}");
    let refused = |rows: &str| {
        let (_folder, mut app) = with("duty.csv", "code,season,title,kind,expires_on", rows);
        let plan = app.plan(Phase::Up, 16).unwrap();
        let drives: Vec<_> = plan
            .steps
            .iter()
            .filter(|p| p.step.deed == ladderday::domain::StepDeed::Drive)
            .cloned()
            .collect();
        assert!(!drives.is_empty());
        let held = plan.unplaced.iter().filter(|r| r.remedy.contains("ask for new marks")).count();
        (held, drives.len())
    };
    // Expired the day before the first of September: nothing is driven, and the remedy is said.
    let (held, all) = refused(&row("DU26-02", "2026-08-31"));
    assert!(held > 0 && held <= all, "{held} of {all}");
    // Long enough, or asked for again with a later date: the latest marks count.
    assert_eq!(refused(&row("DU26-02", "2026-11-30")).0, 0);
    let both = format!("{}\n{}", row("DU26-02", "2026-08-31"), row("DU26-09", "2026-11-30"));
    assert_eq!(refused(&both).0, 0);
}

#[test]
fn walk_says_the_gust_at_the_steps_of_what_stands_in_the_wind() {
    let (_folder, mut app) = demo("2026-10-10T10:00");
    let mut said = Vec::new();
    for session in 0..12 {
        let page = app
            .page(
                ScreenId::Walk,
                &ladderday::app::PageWant {
                    walk_session: Some(session),
                    phase: Some(Phase::Up),
                    ..ladderday::app::PageWant::default()
                },
            )
            .unwrap();
        let Page::Walk(Walk { places, .. }) = page else { continue };
        let steps = places.into_iter().flat_map(|p| p.steps);
        said.extend(steps.filter_map(|s| Some((s.placement?, s.wind?))));
    }
    assert!(
        said.iter().any(|(_, w)| w.starts_with("lower it from a gust of") && w.ends_with("mph")),
        "{said:?}"
    );
}
