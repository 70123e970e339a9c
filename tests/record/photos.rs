//! Photos of a fault, and the guide's answers: kept in the yard, refused where they make no sense.

use std::path::Path;

use ladderday::app::{App, Ask, Form};

use super::{Yard, json, rows, text};

const NOW: &str = "2026-09-01T12:00";

fn add(app: &mut App, path: &Path) -> Result<String, &'static str> {
    let ask = Ask::AddPhoto { fault: "F25-10".to_owned(), path: path.to_owned() };
    app.perform(&ask).map(|done| done.said).map_err(|p| p.code)
}

/// The signature of PNG (RFC 2083, 3.1) and something after it.
fn png(more: usize) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
    bytes.extend((0..more).map(|n| (n % 251) as u8));
    bytes
}

fn fault_detail(app: &App, code: &str) -> ladderday::answers::view::FaultDetail {
    let id = app.yard().faults.iter().find(|f| f.code == code).unwrap().id;
    {
        let of = ladderday::app::DetailOf::Fault(id.0);
        let ladderday::app::Detail::Fault(detail) = app.detail(of).unwrap() else { panic!("a fault") };
        detail
    }
}

#[test]
fn a_photo_is_copied_in_listed_and_written_out_by_its_hash() {
    let (yard, folder) = (Yard::demo(), tempfile::tempdir().unwrap());
    let mut app = yard.at(NOW);
    let file = folder.path().join("sleeve \u{202e}wet.png");
    std::fs::write(&file, png(5000)).unwrap();
    let said = add(&mut app, &file).unwrap();
    assert!(said.contains("photo sleeve wet.png kept"), "{said}");
    assert_eq!(add(&mut app, &file), Err("photo-there"));
    std::fs::remove_file(&file).unwrap();
    let mut app = yard.at(NOW);
    assert_eq!(fault_detail(&app, "F25-10").photos, ["1  sleeve wet.png, 1 Sep 2026"]);
    let out = folder.path().join("out");
    let path = app.photo_file("F25-10", 1, &out).unwrap();
    assert_eq!(std::fs::read(&path).unwrap(), png(5000));
    let name = path.file_name().unwrap().to_string_lossy().into_owned();
    assert!(
        name.len() == 64 + 4 && path.extension().is_some_and(|e| e == "png"),
        "by hash, never by the name it had: {name}"
    );
    // One that was spoiled there is written anew.
    std::fs::write(&path, b"x").unwrap();
    assert_eq!(std::fs::read(app.photo_file("F25-10", 1, &out).unwrap()).unwrap(), png(5000));
    assert_eq!(app.photo_file("F25-10", 2, &out).unwrap_err().code, "no-photo");
    app.perform(&Ask::Undo).unwrap();
    assert_eq!(app.photo_file("F25-10", 1, &out).unwrap_err().code, "no-photo");
}

#[test]
fn what_is_no_picture_or_too_large_is_refused() {
    let (yard, folder) = (Yard::demo(), tempfile::tempdir().unwrap());
    let mut app = yard.at(NOW);
    let file = folder.path().join("a.png");
    for (bytes, code) in [
        (b"#!/bin/sh\n".to_vec(), "no-picture"),
        (Vec::new(), "no-picture"),
        (png(8 * 1024 * 1024), "file-too-large"),
    ] {
        std::fs::write(&file, bytes).unwrap();
        assert_eq!(add(&mut app, &file), Err(code));
    }
    assert_eq!(add(&mut app, folder.path()), Err("no-file"));
    assert_eq!(add(&mut app, &folder.path().join("none.png")), Err("file"));
    // Eight MiB to the byte is taken.
    std::fs::write(&file, png(8 * 1024 * 1024 - 8)).unwrap();
    add(&mut app, &file).unwrap();
}

#[test]
fn answers_to_the_guide_stay_with_the_fault_and_say_what_they_mean() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    let ask = |tried: &str, result: &str| Ask::AnswerGuide {
        fault: "F25-14".to_owned(),
        tried: tried.to_owned(),
        result: result.to_owned(),
        note: String::new(),
    };
    let said = app.perform(&ask("first_dark", "same")).unwrap().said;
    assert!(said.contains("it is the last lit one"), "{said}");
    let mut app = yard.at(NOW);
    let page = ladderday::answers::faults::faults_page(&app.outlook(), None);
    let row = page.rows.iter().find(|r| r.code == "F25-14").unwrap();
    let detail = fault_detail(&app, "F25-14");
    let step = detail.guide.iter().find(|s| s.code == "first_dark").unwrap();
    assert!(step.answer.as_ref().unwrap().starts_with("Nothing changes"), "{step:?}");
    assert!(detail.cautions[0].starts_with("Supply off"));
    assert_eq!(row.state, "off", "looking changes nothing of how it stands");
    let doc = json(&app.faults_answer(true, Form::Json).unwrap());
    let fault = rows(&doc, "faults").iter().find(|f| text(f, "code") == "F25-14").unwrap();
    assert!(rows(fault, "note").iter().any(|e| e.as_str().unwrap().contains("tried: Swap or bridge")));
    let mut app = yard.at(NOW);
    for (tried, result) in [("first_dark", "green"), ("mains", "mains"), ("", "")] {
        assert_eq!(app.perform(&ask(tried, result)).unwrap_err().code, "no-answer");
    }
}

#[test]
fn who_logs_is_remembered_and_filled_in() {
    let yard = Yard::demo();
    let mut app = yard.at("2026-12-14T21:05");
    app.perform(&Ask::LoggedBy { person: "wren".to_owned() }).unwrap();
    assert_eq!(app.perform(&Ask::LoggedBy { person: "Nobody".to_owned() }).unwrap_err().code, "no-person");
    let mut app = yard.at("2026-12-14T21:06");
    app.perform(&Ask::LogFault(ladderday::app::NewFault {
        target: "ARCH-03".to_owned(),
        symptom: "one_out".to_owned(),
        at: Some("12".to_owned()),
        tonight: ladderday::app::Tonight::Patched,
        note: String::new(),
    }))
    .unwrap();
    let fault = app.yard().faults.iter().find(|f| f.at_pixel == Some(12) && f.symptom == "one_out").unwrap();
    let wren = app.yard().people.iter().find(|p| p.name == "Wren").unwrap().id;
    assert_eq!(fault.person_id, Some(wren));
}

#[test]
fn parts_are_taken_from_stock_by_their_number() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    let have = |app: &App| {
        let part = app.yard().products.iter().find(|p| p.code == "PT-BULLET").unwrap().id;
        let lot = app.yard().stock.iter().find(|s| s.product_id == part).unwrap().id;
        ladderday::steps::on_hand(app.yard(), lot)
    };
    let before = have(&app);
    let mend = |part: &str| {
        Ask::Repair(ladderday::app::NewRepair {
            fault: "F25-14".to_owned(),
            deed: ladderday::domain::RepairDeed::Mended,
            cause: Some("failed pixel".to_owned()),
            minutes: Some(25),
            part: Some(part.to_owned()),
            note: String::new(),
        })
    };
    assert_eq!(app.perform(&mend("PT-BULLET=none")).unwrap_err().code, "bad-count");
    app.perform(&mend("PT-BULLET=3")).unwrap();
    assert_eq!(have(&app), before - 3);
}
