//! A fault of several pieces, told which afterwards; mends stand in the piece's life and in the placement's; a patch is
//! in the next round by name.

use ladderday::answers::view::{KitKind, ScreenId};
use ladderday::app::{App, Ask, Detail, DetailOf, Form, NewFault, NewRepair, Page, PageWant, Tonight};
use ladderday::domain::{Condition, Phase, RepairDeed};

use super::{Yard, json, rows, text};

/// A balcony with three stars on one rail.
fn balcony() -> Yard {
    Yard::of(&[
        ("site.csv", "name,time_zone,units\nBalcony,Europe/Paris,si\n"),
        ("place.csv", "code,name,access\nRAIL,Rail,ground\n"),
        ("product.csv", "code,name,kind,role,pixels\nSTAR,Star,star,prop,50\n"),
        ("piece.csv", "code,product\nS-1,STAR\nS-2,STAR\nS-3,STAR\n"),
        (
            "season.csv",
            "code,name,show,lights_on,lights_off\nfrost-2026,Frost,frost,2026-12-01T17:00,2027-01-06\n",
        ),
        (
            "placement.csv",
            "code,name,season,product,count,place,method\nPL-S,Stars,frost-2026,STAR,3,RAIL,tie\n",
        ),
        ("placement_piece.csv", "placement,piece\nPL-S,S-1\nPL-S,S-2\nPL-S,S-3\n"),
    ])
}

fn log(app: &mut App, tonight: Tonight) -> String {
    let new = NewFault {
        target: "PL-S".to_owned(),
        symptom: "dark_from".to_owned(),
        at: Some("7".to_owned()),
        tonight,
        note: String::new(),
    };
    app.perform(&Ask::LogFault(new)).unwrap().said
}

fn page(app: &mut App, kind: KitKind, code: &str) -> String {
    let Ok(Page::Kit(kit)) = app.page(ScreenId::Kit, &PageWant::default()) else { panic!("Kit") };
    let row = kit.rows.into_iter().find(|r| r.kind == kind && r.code == code).unwrap();
    let Some(Detail::Kit(detail)) = app.detail(DetailOf::Kit(row.kind, row.id)) else { panic!("Kit") };
    let lines: Vec<String> =
        detail.lines.into_iter().map(|(label, line)| format!("{label}: {line}")).collect();
    lines.join("\n")
}

fn repair(app: &mut App, fault: &str, deed: RepairDeed, minutes: Option<i64>) {
    let new =
        NewRepair { fault: fault.to_owned(), deed, cause: None, minutes, part: None, note: String::new() };
    app.perform(&Ask::Repair(new)).unwrap();
}

#[test]
fn which_piece_is_told_later_and_the_mend_stands_in_both_lives() {
    let yard = balcony();
    let mut app = yard.at("2026-12-05T20:00");
    let said = log(&mut app, Tonight::Patched);
    assert!(said.contains("which of its pieces is not known"), "{said}");
    let code = app.yard().faults[0].code.clone();
    assert!(page(&mut app, KitKind::Placement, "PL-S").contains("repair: "), "it stands with the placement");
    let which = |piece: &str| Ask::FaultPiece { fault: code.clone(), piece: piece.to_owned() };
    assert_eq!(app.perform(&which("S-9")).unwrap_err().code, "no-piece");
    app.perform(&which("s-2")).unwrap();
    let condition = |app: &App| app.yard().pieces.iter().find(|p| p.code == "S-2").unwrap().condition;
    assert_eq!(condition(&app), Condition::Faulty);
    drop(app);
    let mut app = yard.at("2027-06-05T20:00");
    repair(&mut app, &code, RepairDeed::Mended, Some(25));
    repair(&mut app, &code, RepairDeed::Tested, None);
    assert_eq!(condition(&app), Condition::Good);
    for (kind, of) in [(KitKind::Piece, "S-2"), (KitKind::Placement, "PL-S")] {
        // The placement is of the season that is lit: asked for as it was then.
        let mut app =
            if kind == KitKind::Piece { yard.at("2027-06-05T20:00") } else { yard.at("2026-12-06T20:00") };
        let lines = page(&mut app, kind, of);
        assert!(lines.contains("patched for now") && lines.contains("25 min"), "{of}: {lines}");
    }
    assert!(!page(&mut app, KitKind::Piece, "S-1").contains("fault: "));
}

#[test]
fn a_patch_is_looked_at_every_night_by_name_until_it_is_mended() {
    let yard = balcony();
    let mut app = yard.at("2026-12-05T20:00");
    log(&mut app, Tonight::Patched);
    let code = app.yard().faults[0].code.clone();
    let round = |app: &mut App| {
        let doc = json(&app.steps_answer(Phase::Tonight, Form::Json).unwrap());
        rows(&doc, "steps").iter().map(|s| text(s, "title").to_owned()).collect::<Vec<_>>().join("\n")
    };
    let mut next = yard.at("2026-12-06T20:00");
    assert!(round(&mut next).contains(&format!("patch of Stars, {code}")), "{}", round(&mut next));
    repair(&mut next, &code, RepairDeed::Mended, Some(5));
    assert!(!round(&mut next).contains(&code), "mended: no more");
}
