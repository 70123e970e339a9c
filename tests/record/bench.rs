//! The bench: jobs with dates, steps that block, parts, spares, and what contradicts.

use ladderday::app::{App, Ask, Form, NewFault, NewRepair, Tonight};
use ladderday::domain::{Phase, RepairDeed, TickKind};

use super::{Yard, json, rows, text};

const NOW: &str = "2026-09-01T12:00";

/// A repair that waits for a part.
fn waits_for(app: &mut App, fault: &str, part: &str) {
    app.perform(&Ask::Repair(NewRepair {
        fault: fault.to_owned(),
        deed: RepairDeed::WaitingPart,
        cause: None,
        minutes: None,
        part: Some(part.to_owned()),
        note: String::new(),
    }))
    .unwrap();
}

fn fault_steps(app: &App) -> Vec<(String, Option<String>)> {
    let steps = app.steps(Phase::Up).unwrap().steps.clone();
    steps
        .into_iter()
        .filter(|s| s.key.as_str().starts_with("fault:"))
        .map(|s| (s.title.clone(), s.held.clone()))
        .collect()
}

#[test]
fn three_wait_on_the_bench_and_one_for_its_part() {
    let bench = json(&Yard::demo().at(NOW).bench_answer(Form::Json).unwrap());
    let codes: Vec<&str> = rows(&bench, "bench").iter().map(|r| text(r, "fault")).collect();
    assert_eq!(codes, ["F25-10", "F25-14", "F25-15", "F25-03"], "by date, what has its part first");
    let gull = &rows(&bench, "bench")[2];
    assert_eq!(gull["part_in"], false);
    assert!(text(gull, "part").contains("PO26-03"), "{gull}");
    assert_eq!(gull["needed_by"], "2026-10-12");
    assert!(rows(&bench, "bench")[3]["needed_by"].is_null(), "a spare is needed by no date");
}

#[test]
fn the_day_a_fault_is_to_be_mended_by_lies_ahead_or_is_said_to_be_gone() {
    let yard = Yard::demo();
    let next = |now: &str| {
        let mut app = yard.season(now, "harbor-2026");
        // With a plan at hand too: what was done in June is no use to come.
        app.plan(Phase::Up, 16).unwrap();
        let page = ladderday::answers::faults::faults_page(&app.outlook(), None);
        page.rows.into_iter().find(|r| r.code == "F25-15").unwrap().next
    };
    // The season's work began on 12 October; its rehearsal is on 22 November.
    let ahead = next("2026-10-15T18:05");
    assert!(!ahead.contains("Jun 2026") && ahead.starts_with("mend and test it by "), "{ahead}");
    let gone = next("2026-11-24T12:00");
    assert!(gone.contains("which was due Sun 22 Nov 2026"), "{gone}");
}

#[test]
fn a_faulty_piece_blocks_its_first_step_up_until_mended_and_tested() {
    let yard = Yard::demo();
    let app = yard.season(NOW, "harbor-2026");
    let derived = app.steps(Phase::Up).unwrap();
    let mend = derived.steps.iter().find(|s| s.title.starts_with("Look at ARCH-02")).unwrap().clone();
    let after = |key: &ladderday::steps::StepKey| {
        let waits = derived.steps.iter().filter(|s| s.after.iter().any(|e| e.key == *key));
        waits.collect::<Vec<_>>()
    };
    let waits = after(&mend.key);
    assert!(!waits.is_empty() && waits.iter().all(|s| s.after.iter().any(|e| e.why.contains("F25-10"))));
    // Mended, its test is started and looked at; then its first step up.
    let mut ahead: Vec<_> = waits.iter().map(|s| &s.key).collect();
    let mut up = false;
    while let Some(key) = ahead.pop() {
        up |= derived.steps.iter().any(|s| s.key == *key && s.phase == Phase::Up);
        ahead.extend(after(key).into_iter().map(|s| &s.key).filter(|_| !up));
    }
    assert!(up, "its first step up waits for it");
    let mut app = yard.season("2026-09-03T20:00", "harbor-2026");
    let tick = Ask::Tick { key: mend.key.to_string(), kind: TickKind::Done, count: None, why: None };
    app.perform(&tick).unwrap();
    let faults = json(&app.faults_answer(true, Form::Json).unwrap());
    let fault = rows(&faults, "faults").iter().find(|f| f["code"] == "F25-10").unwrap().clone();
    assert_eq!(text(&fault, "state"), "ended", "mended means tested: the tick is both");
    assert_eq!(rows(&fault, "note").len(), 4);
}

#[test]
fn a_part_on_order_moves_the_step_and_a_part_nobody_ordered_holds_it() {
    let yard = Yard::demo();
    let steps = yard.season(NOW, "harbor-2026").steps(Phase::Up).unwrap().steps.clone();
    let gull = steps.iter().find(|s| s.title.contains("GULL-02")).unwrap();
    assert_eq!(gull.not_before.unwrap().to_string(), "2026-09-14 00:00:00");
    let mut app = yard.season(NOW, "harbor-2026");
    app.perform(&Ask::Repair(NewRepair {
        fault: "F25-14".to_owned(),
        deed: RepairDeed::WaitingPart,
        cause: None,
        minutes: None,
        part: Some("M-STRAP".to_owned()),
        note: String::new(),
    }))
    .unwrap();
    // A strap is at home: nothing is waited for. A product that nobody owns or ordered holds the step.
    assert!(fault_steps(&app).iter().all(|(_, held)| held.is_none()));
    waits_for(&mut app, "F25-10", "C-CONCRETE");
    let doc = json(&app.plan_answer(Phase::Up, 16, Form::Json).unwrap());
    let held: Vec<_> = rows(&doc, "steps").iter().filter(|s| s["state"] == "held").collect();
    assert!(!held.is_empty(), "nobody has or ordered concrete");
    for step in held {
        let why = rows(&doc, "unplaced").iter().find(|u| u["key"] == step["key"]).unwrap();
        assert_eq!(text(why, "code"), "held");
        assert!(text(why, "why").contains("order it"));
    }
}

#[test]
fn a_spare_goes_out_in_a_faulty_piece_s_place() {
    let yard = Yard::demo();
    let mut app = yard.season(NOW, "harbor-2026");
    let no = app.perform(&Ask::ReplaceBySpare {
        fault: "F25-10".to_owned(),
        spare: "ARCH-01".to_owned(),
        note: String::new(),
    });
    assert_eq!(no.unwrap_err().code, "no-spare", "it goes out itself");
    let before = fault_steps(&app).len();
    let cane = app.yard().pieces.iter().find(|p| p.code == "CANE-11").map(|p| p.id);
    assert!(cane.is_some());
    app.perform(&Ask::LogFault(ladderday::app::NewFault {
        target: "CANE-01".to_owned(),
        symptom: "whole_dark".to_owned(),
        at: None,
        tonight: ladderday::app::Tonight::Nothing,
        note: String::new(),
    }))
    .unwrap();
    let proposed = fault_steps(&app);
    assert_eq!(proposed.len(), before + 2, "the mend, and the look at its test");
    let title = &proposed.iter().find(|(t, _)| t.contains("CANE-01")).unwrap().0;
    assert!(title.contains("or put out the spare CANE-11"), "{title}");
    let code = title.split(['(', ')']).nth(1).unwrap().to_owned();
    app.perform(&Ask::ReplaceBySpare { fault: code, spare: "CANE-11".to_owned(), note: String::new() })
        .unwrap();
    assert_eq!(fault_steps(&app).len(), before, "nothing is blocked any more");
    let facts = ladderday::steps::Facts::new(app.yard());
    let season = app.yard().seasons.iter().find(|s| s.code == "harbor-2026").unwrap().id;
    assert!(facts.placement_of_piece(season, cane.unwrap()).is_some(), "it is placed now");
}

#[test]
fn looking_at_a_fault_keeps_its_answers_and_changes_nothing_else() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    app.perform(&Ask::Repair(NewRepair {
        fault: "F25-14".to_owned(),
        deed: RepairDeed::Looked,
        cause: None,
        minutes: Some(5),
        part: None,
        note: "fed from the far end: dark to pixel 30".to_owned(),
    }))
    .unwrap();
    let faults = json(&app.faults_answer(false, Form::Json).unwrap());
    let row = rows(&faults, "faults").iter().find(|f| f["code"] == "F25-14").unwrap();
    assert_eq!(row["state"], "off");
    assert!(rows(row, "note").iter().any(|e| e.as_str().unwrap().contains("fed from the far end")));
}

#[test]
fn a_scrapped_piece_is_not_good_again_by_a_word() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    let id = app.yard().pieces.iter().find(|p| p.code == "SUP-08").unwrap().id.0;
    let edit = Ask::Edit { table: "piece", id, column: "condition".to_owned(), text: "good".to_owned() };
    let refused = app.perform(&edit).unwrap_err();
    assert_eq!(refused.code, "scrapped-piece");
    assert!(refused.to_string().contains("F25-07"), "{refused}");
}

fn log(app: &mut App, target: &str) -> String {
    app.perform(&Ask::LogFault(ladderday::app::NewFault {
        target: target.to_owned(),
        symptom: "whole_dark".to_owned(),
        at: None,
        tonight: ladderday::app::Tonight::Nothing,
        note: String::new(),
    }))
    .unwrap();
    app.yard().faults.iter().max_by_key(|f| (f.found_ms, f.id)).unwrap().code.clone()
}

/// The only cane at home is CANE-11: three canes fail, one of them in a placement that is worth more.
#[test]
fn one_spare_is_proposed_once_and_the_plan_names_it_before_and_after() {
    let yard = Yard::demo();
    let mut app = yard.season("2026-09-05T10:00", "harbor-2026");
    let worth = |app: &mut App, code: &str| {
        let facts = ladderday::steps::Facts::new(app.yard());
        let season = app.yard().seasons.iter().find(|s| s.code == "harbor-2026").unwrap().id;
        let piece = app.yard().pieces.iter().find(|p| p.code == code).unwrap().id;
        facts.placement_of_piece(season, piece).unwrap().id.0
    };
    let codes = ["CANE-01", "CANE-04", "CANE-07"].map(|c| log(&mut app, c));
    let id = worth(&mut app, "CANE-04");
    app.perform(&Ask::Edit { table: "placement", id, column: "worth".to_owned(), text: "5".to_owned() })
        .unwrap();
    for code in &codes {
        waits_for(&mut app, code, "C-CONCRETE");
    }
    let doc = json(&app.plan_answer(Phase::Up, 16, Form::Json).unwrap());
    let titled = |doc: &serde_json::Value, code: &str| {
        let all = rows(doc, "steps").iter().filter(|s| text(s, "title").contains(code));
        all.map(|s| (text(s, "key").to_owned(), text(s, "title").to_owned())).collect::<Vec<_>>()
    };
    let why = |doc: &serde_json::Value, key: &str| {
        let row = rows(doc, "unplaced").iter().find(|u| u["key"] == key);
        row.map(|u| format!("{} {}", text(u, "why"), text(u, "remedy"))).unwrap_or_default()
    };
    let proposed: Vec<bool> =
        codes.iter().map(|c| titled(&doc, c)[0].1.contains("or put out the spare CANE-11")).collect();
    assert_eq!(proposed, [false, true, false], "once, to what is worth most");
    for code in [&codes[0], &codes[2]] {
        let (key, title) = titled(&doc, code)[0].clone();
        assert!(title.ends_with("no spare left"), "{title}");
        assert!(why(&doc, &key).contains("there is no spare to put out"), "{}", why(&doc, &key));
    }
    let (key, _) = titled(&doc, &codes[1])[0].clone();
    assert!(why(&doc, &key).contains("put out the spare CANE-11"), "{}", why(&doc, &key));
    let blocked = rows(&doc, "unplaced").iter().filter(|u| text(u, "why").contains(&codes[1])).count();
    assert!(blocked > 1, "what waits for it is not placed either: {doc:#}");
    let told = app.plan_answer(Phase::Up, 16, Form::Text).unwrap();
    assert!(told.contains("put out the spare CANE-11"), "{told}");
    let bench = app.bench_answer(Form::Text).unwrap();
    assert_eq!(bench.matches("or put out the spare CANE-11").count(), 1, "{bench}");

    app.perform(&Ask::ReplaceBySpare {
        fault: codes[1].clone(),
        spare: "CANE-11".to_owned(),
        note: String::new(),
    })
    .unwrap();
    let doc = json(&app.plan_answer(Phase::Up, 16, Form::Json).unwrap());
    let after = titled(&doc, &codes[1]);
    let named = format!(", with the spare CANE-11 for CANE-04 ({})", codes[1]);
    assert!(!after.is_empty() && after.iter().all(|(_, t)| t.ends_with(&named)), "{after:?}");
    for (key, _) in &after {
        assert!(!why(&doc, key).contains(&codes[1]), "nothing holds it: {}", why(&doc, key));
    }
    let told = app.plan_answer(Phase::Up, 16, Form::Text).unwrap();
    assert!(told.contains(&named), "{told}");
}

/// A prop whose pieces have no labels takes its open fault along: it is due, and blocks what goes out next year.
#[test]
fn a_fault_of_a_prop_without_labels_follows_it_into_the_next_season() {
    let yard = Yard::of(&[
        ("place.csv", "code,name,access\nGATE,Gate,ground\n"),
        (
            "season.csv",
            "code,name,show,lights_on,lights_off\nfrost-2026,Frost,frost,2026-12-01T17:00,2027-01-06\n",
        ),
        (
            "placement.csv",
            "code,name,season,count,place,method\nP-1,First,frost-2026,3,GATE,stake\nP-2,Second,frost-2026,1,GATE,stake\n",
        ),
    ]);
    let mut app = yard.at("2026-12-10T20:00");
    app.perform(&Ask::LogFault(NewFault {
        target: "P-1".to_owned(),
        symptom: "damage".to_owned(),
        at: None,
        tonight: Tonight::Nothing,
        note: String::new(),
    }))
    .unwrap();
    let mut app = yard.at("2027-02-10T10:00");
    let unused = app.bench_answer(Form::Text).unwrap();
    assert!(unused.contains("nothing of a coming season uses it"), "{unused}");
    let next = Ask::NewSeason {
        code: "frost-2027".to_owned(),
        name: String::new(),
        lights_on: Some("2027-12-01".to_owned()),
    };
    app.perform(&next).unwrap();
    let bench = app.bench_answer(Form::Text).unwrap();
    assert!(bench.contains("for First") && !bench.contains("nothing of a coming season"), "{bench}");
    let mut app = yard.at("2027-09-10T10:00");
    let steps = fault_steps(&app);
    assert_eq!(steps.len(), 2, "its mend and the look after it: {steps:?}");
    assert!(steps.iter().all(|s| s.0.contains("F-001")), "{steps:?}");
    let blocked = app.steps(Phase::Up).unwrap().steps.iter().any(|s| {
        s.subject.starts_with("First") && s.after.iter().any(|e| e.why.contains("mended and tested"))
    });
    assert!(blocked, "it is mended before it goes out");
    for deed in [RepairDeed::Mended, RepairDeed::Tested] {
        app.perform(&Ask::Repair(NewRepair {
            fault: "F-001".to_owned(),
            deed,
            cause: None,
            minutes: Some(5),
            part: None,
            note: String::new(),
        }))
        .unwrap();
    }
    assert!(fault_steps(&app).is_empty(), "over, it is no work");
}
