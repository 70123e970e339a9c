//! Two programs on one file: each deed is done on what is there, with codes and ids of its own.

use ladderday::app::{Ask, NewFault, NewRepair, Tonight};
use ladderday::domain::RepairDeed;

use super::{Yard, assert_same};

const NOW: &str = "2026-10-12T10:00";

fn fault(target: &str) -> Ask {
    Ask::LogFault(NewFault {
        target: target.to_owned(),
        symptom: "dark_from".to_owned(),
        at: None,
        tonight: Tonight::Nothing,
        note: String::new(),
    })
}

#[test]
fn two_programs_with_one_clock_name_their_faults_apart_and_mend_their_own() {
    let yard = Yard::demo();
    let (mut one, mut two) = (yard.open(NOW), yard.open(NOW));
    let first = one.perform(&fault("CANE-01")).unwrap();
    let second = two.perform(&fault("CANE-02")).unwrap();
    let code = |done: &ladderday::app::Done| {
        done.made.iter().find(|n| n.kind == "fault").map(|n| n.code.clone()).unwrap()
    };
    assert_ne!(code(&first), code(&second));
    two.perform(&Ask::Repair(NewRepair {
        fault: code(&second),
        deed: RepairDeed::Patched,
        cause: None,
        minutes: None,
        part: None,
        note: String::new(),
    }))
    .unwrap();
    let afresh = yard.open(NOW);
    let of = |done| afresh.yard().faults.iter().find(|f| f.code == code(done)).unwrap();
    let piece = |f: &ladderday::domain::Fault| {
        afresh.yard().pieces.iter().find(|p| Some(p.id) == f.piece_id).unwrap().code.clone()
    };
    assert_eq!((piece(of(&first)).as_str(), piece(of(&second)).as_str()), ("CANE-01", "CANE-02"));
    let patched: Vec<_> =
        afresh.yard().repair_entries.iter().filter(|e| e.deed == RepairDeed::Patched).collect();
    assert!(patched.iter().any(|e| e.fault_id == of(&second).id));
    assert!(!patched.iter().any(|e| e.fault_id == of(&first).id));
    assert!(one.store().verify().unwrap().is_empty());
}

/// Sixty deeds by two programs in turn, one fixed clock on both: nothing overwritten, no code twice.
#[test]
fn deeds_in_turn_lose_nothing() {
    let yard = Yard::handful(0);
    let (mut one, mut two) = (yard.open(NOW), yard.open(NOW));
    let before = one.yard().placements.len();
    for n in 0..30 {
        one.perform(&Ask::AddProp { line: format!("lamp {n}, 1, hedge, stakes") }).unwrap();
        two.perform(&Ask::AddProp { line: format!("ball {n}, 2, hedge, hooks") }).unwrap();
    }
    let afresh = yard.open(NOW);
    assert_eq!(afresh.yard().placements.len(), before + 60);
    let mut codes: Vec<&str> = afresh.yard().placements.iter().map(|p| p.code.as_str()).collect();
    codes.sort_unstable();
    codes.dedup();
    assert_eq!(codes.len(), before + 60, "a code twice");
}

#[test]
fn every_screen_follows_another_program() {
    let yard = Yard::demo();
    let mut one = yard.open(NOW);
    super::ten_screens(&mut one);
    let mut two = yard.open(NOW);
    two.perform(&Ask::AddNeed { title: "two new ladders".to_owned(), quantity: 2, need_by: None }).unwrap();
    let link = two.yard().links.iter().find(|l| l.wire.is_some()).unwrap().clone();
    two.perform(&Ask::DropSession { session: two.yard().sessions.last().unwrap().code.clone() }).unwrap();
    two.perform(&fault("CANE-03")).unwrap();
    assert!(one.yard().links.contains(&link));
    assert_same(&mut one, &mut yard.open(NOW), "the deeds of another program");
}

/// What fails leaves nothing behind, in the file or in memory.
#[test]
fn a_refused_deed_leaves_nothing() {
    let yard = Yard::handful(2);
    let mut app = yard.open(NOW);
    let before = app.yard().clone();
    assert!(app.perform(&fault("NO-SUCH-THING")).is_err());
    assert!(app.perform(&Ask::DropSession { session: "NOPE".to_owned() }).is_err());
    assert_eq!(*app.yard(), before);
    assert_eq!(*yard.open(NOW).yard(), before);
    app.perform(&Ask::AddProp { line: "lamp, 1, hedge, stakes".to_owned() }).unwrap();
    assert_eq!(*yard.open(NOW).yard(), *app.yard());
}

/// A file brought in from the screens is one change like any deed, and says what it made.
#[test]
fn a_file_is_brought_in_from_the_screens() {
    let yard = Yard::handful(0);
    let mut app = yard.open(NOW);
    let csv = yard.path().with_file_name("place.csv");
    std::fs::write(&csv, "code,name\nPOND,Pond\n").unwrap();
    let ask = Ask::Import { paths: vec![csv.display().to_string()], columns: Vec::new() };
    let done = app.perform(&ask).unwrap();
    let named = |kind: &'static str, code: &str| ladderday::app::Named { kind, code: code.to_owned() };
    assert_eq!((done.made, done.changed), (vec![named("place", "POND")], Vec::new()));
    assert!(done.entry.is_some());
    // What a refused deed would have written is not told with the next one.
    app.perform(&fault("NO-SUCH-THING")).unwrap_err();
    std::fs::write(&csv, "code,name\nPOND,Duck pond\n").unwrap();
    let done = app.perform(&ask).unwrap();
    assert_eq!((done.made, done.changed), (Vec::new(), vec![named("place", "POND")]));
    let done = app.perform(&Ask::AddNeed { title: "ramp".to_owned(), quantity: 1, need_by: None }).unwrap();
    assert_eq!((done.made.len(), done.changed.len()), (1, 0));
    let back = app.perform(&Ask::Undo).unwrap();
    assert!(back.entry.is_some() && back.changed.iter().any(|n| n.kind == "need"), "{back:?}");
    assert_eq!(*yard.open(NOW).yard(), *app.yard());
}
