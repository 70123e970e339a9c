//! A piece's page: bought, moved, lent, placed, mended, in the order of its days; look-overs ticked together.

use ladderday::answers::view::ScreenId;
use ladderday::app::{App, Ask, Form, Page};
use ladderday::domain::Phase;

use super::{Yard, json, rows, text};

fn page(app: &mut App, code: &str) -> Vec<String> {
    let Ok(Page::Kit(kit)) = app.page(ScreenId::Kit, &ladderday::app::PageWant::default()) else {
        panic!("Kit")
    };
    let row = kit.rows.into_iter().find(|r| r.code == code).unwrap();
    let detail = {
        let ladderday::app::Detail::Kit(detail) =
            app.detail(ladderday::app::DetailOf::Kit(row.kind, row.id)).unwrap()
        else {
            panic!("Kit")
        };
        detail
    };
    detail.lines.into_iter().map(|(label, line)| format!("{label}: {line}")).collect()
}

#[test]
fn moves_and_lending_stand_between_what_was_bought_and_what_failed() {
    let yard = Yard::of(&[
        ("site.csv", "name,time_zone,currency\nRow 3,America/New_York,USD\n"),
        ("product.csv", "code,name,kind,role,pixels\nM,Mini,mini,prop,50\n"),
        ("container.csv", "code,name,kind\nT-01,Long tote,tote\nBENCH,Bench tote,tote\n"),
        ("piece.csv", "code,product,home,got_on,source,price_cents\nA,M,T-01,2025-02-03,Quay,1250\n"),
    ]);
    let edit = |app: &mut App, column: &str, value: &str| {
        let id = app.yard().pieces[0].id.0;
        app.perform(&Ask::Edit { table: "piece", id, column: column.into(), text: value.into() }).unwrap();
    };
    let mut app = yard.at("2026-03-01T12:00");
    edit(&mut app, "home_id", "BENCH");
    drop(app);
    let mut app = yard.at("2026-04-01T12:00");
    edit(&mut app, "condition", "lent");
    drop(app);
    let mut app = yard.at("2026-05-01T12:00");
    edit(&mut app, "condition", "lost");
    app.perform(&Ask::Undo).unwrap();
    let lines = page(&mut app, "A");
    let at = |words: &[&str]| {
        lines
            .iter()
            .position(|l| words.iter().all(|w| l.contains(w)))
            .unwrap_or_else(|| panic!("{words:?} in {lines:#?}"))
    };
    let got = at(&["got: ", "from Quay", "$12.50"]);
    let moved = at(&["moved: ", "from ", "Long tote", "to ", "Bench tote"]);
    let lent = at(&["moved: ", "lent, was good"]);
    assert!(got < moved && moved < lent, "{lines:#?}");
    assert!(!lines.iter().any(|l| l.contains("lost, was")), "what was undone is no move: {lines:#?}");
}

#[test]
fn a_look_over_ticked_with_all_of_a_place_is_remembered_by_the_piece() {
    let yard = Yard::demo();
    let mut app = yard.season("2026-09-05T10:00", "harbor-2026");
    let doc = json(&app.steps_answer(Phase::Up, Form::Json).unwrap());
    let keys: Vec<String> = rows(&doc, "steps")
        .iter()
        .map(|s| text(s, "key"))
        .filter(|k| k.starts_with("piece:") && k.contains("/look_over/"))
        .map(str::to_owned)
        .collect();
    assert_eq!(keys.len(), 1, "LAD-E2 was last looked over in March 2025");
    let said = app.perform(&Ask::TickAll { keys }).unwrap().said;
    assert_eq!(said, "ticked 1 steps");
    let day = chrono::NaiveDate::from_ymd_opt(2026, 9, 5);
    let ladder = app.yard().pieces.iter().find(|p| p.code == "LAD-E2").unwrap();
    assert_eq!(ladder.looked_over_on, day);
}
