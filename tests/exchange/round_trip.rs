//! What is read is kept; what is written is read back the same; reading again changes nothing.

use ladderday::domain::{Moment, TABLES};
use ladderday::exchange::csv::write_folder;
use ladderday::store::Applied;
use ladderday::units::Length;

use super::small_yard::FILES;
use super::{import, read, store};

fn borrowed(files: &[(String, String)]) -> Vec<(&str, &str)> {
    files.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect()
}

#[test]
fn the_small_yard_has_a_row_in_every_table() {
    let (_folder, mut store) = store();
    import(&mut store, FILES);
    let yard = store.load_yard().unwrap();
    for table in TABLES.iter().filter(|t| t.name != "attachment") {
        assert!(yard.rows().iter().any(|r| r.table == table.name), "{}", table.name);
    }
    assert_eq!(store.verify().unwrap(), []);
}

#[test]
fn cells_are_read_as_people_mean_them() {
    let (_folder, mut store) = store();
    import(&mut store, FILES);
    let yard = store.load_yard().unwrap();
    let gable = yard.places.iter().find(|p| p.code == "GABLE").unwrap();
    assert_eq!((gable.height_mm, gable.note.as_str()), (Some(Length::from_mm(5994)), "=SUM(A1)"));
    assert_eq!(yard.places.iter().find(|p| p.code == "LAWN").unwrap().note, "two lines\nof note");
    let site = &yard.sites[0];
    assert_eq!(site.longitude_udeg.unwrap().udeg(), -69_100_000);
    let mini = yard.products.iter().find(|p| p.code == "MINI").unwrap();
    assert_eq!(mini.volts_mv.unwrap().mv(), 5000);
    assert_eq!(mini.min_handling_mc.unwrap().mc(), -10_000);
    assert_eq!(yard.stock_moves.len(), 2);
    // 10:00 in February is five hours behind UTC, 10:00 in Maine's summer four.
    assert_eq!(yard.stock_moves[0].at_ms, Moment(1_770_735_600_000));
    let drive = yard.ticks.iter().find(|t| t.kind == ladderday::domain::TickKind::Start).unwrap();
    let mini_trees = yard.placements.iter().find(|p| p.code == "P-1").unwrap();
    assert_eq!(*drive.step_key, format!("placement:{}/stake.drive/up", mini_trees.id));
    let piece = yard.pieces.iter().find(|p| p.code == "MT-1").unwrap();
    let lawn = yard.places.iter().find(|p| p.code == "LAWN").unwrap();
    assert!(yard.ticks.iter().any(|t| *t.step_key == *format!("box:{}:{}/test/up", piece.id, lawn.id)));
    assert_eq!((piece.price_cents.unwrap().cents(), piece.length_mm.unwrap().mm()), (1250, 2300));
    assert_eq!(yard.duties[0].minutes_s.s(), 900);
    assert_eq!(yard.seasons[0].buffer_days, 4);
}

#[test]
fn importing_again_writes_nothing() {
    let (_folder, mut store) = store();
    assert_ne!(import(&mut store, FILES), Applied::Nothing);
    assert_eq!(import(&mut store, FILES), Applied::Nothing);
    assert_eq!(store.history(9).unwrap().len(), 1);
}

#[test]
fn two_laptops_that_import_the_same_have_the_same_rows() {
    let (_a, mut ours) = store();
    let (_b, mut theirs) = store();
    import(&mut ours, FILES);
    theirs.set_meta("device", "B").unwrap();
    // In two parts and another order.
    let (first, second) = FILES.split_at(20);
    import(&mut theirs, first);
    import(&mut theirs, second);
    assert_eq!(ours.load_yard().unwrap(), theirs.load_yard().unwrap());
    let report = ours.merge(theirs.path()).unwrap();
    assert_eq!((report.added, report.conflicts), (2, 0));
    assert_eq!(ours.load_yard().unwrap(), theirs.load_yard().unwrap());
}

#[test]
fn what_is_written_is_read_back_the_same() {
    let (_a, mut ours) = store();
    import(&mut ours, FILES);
    let written = write_folder(&ours.load_whole_yard().unwrap());
    assert_eq!(written.len(), FILES.len());
    let (_b, mut again) = store();
    import(&mut again, &borrowed(&written));
    assert_eq!(again.load_whole_yard().unwrap(), ours.load_whole_yard().unwrap());
    assert_eq!(write_folder(&again.load_whole_yard().unwrap()), written);
}

#[test]
fn rows_that_ended_come_back_ended() {
    let (_a, mut ours) = store();
    import(&mut ours, FILES);
    ours.undo_past(5_000).unwrap();
    let whole = ours.load_whole_yard().unwrap();
    assert!(ours.load_yard().unwrap().pieces.is_empty() && whole.pieces.len() == 2);
    let mut written = write_folder(&whole);
    // The site ended too, so its zone does not serve; times are written with their offset.
    written.retain(|(name, _)| name != "attachment.csv");
    let (_b, mut again) = store();
    import(&mut again, &borrowed(&written));
    assert_eq!(again.load_whole_yard().unwrap(), whole);
}

#[test]
fn a_row_of_the_yard_keeps_its_id_when_a_file_names_its_code() {
    let (_a, mut store) = store();
    let mut row = ladderday::domain::RowChange::new("place", uuid::Uuid::from_u128(77), vec![]);
    row.set = vec![("code", text("LAWN")), ("name", text("Typed"))];
    let deed = ladderday::domain::Deed { verb: "add", what: "Typed".into(), at_ms: 1, rows: vec![row] };
    store.apply(&deed).unwrap();
    import(&mut store, &[("place.csv", "code,name\nLAWN,Lawn\n")]);
    let places = store.load_yard().unwrap().places;
    assert_eq!((places.len(), places[0].id.0.as_u128(), places[0].name.as_str()), (1, 77, "Lawn"));
}

fn text(t: &str) -> ladderday::domain::Value {
    ladderday::domain::Value::Text(t.to_owned())
}

#[test]
fn what_hides_in_text_does_not_get_out() {
    let (_a, mut store) = store();
    let nasty = "place.csv";
    import(&mut store, &[(nasty, "code,name,note\nA,=cmd(),a\u{202E}b\u{200B}c\u{1b}[2J\n")]);
    let written = write_folder(&store.load_yard().unwrap());
    assert!(written[0].1.contains(",'=cmd(),"), "{}", written[0].1);
    assert!(written[0].1.contains("abc[2J"), "{}", written[0].1);
}

#[test]
fn other_separators_marks_and_line_ends_are_read_the_same() {
    let plain = "code,name,note\nA,Lawn,\"x y\"\nB,Porch,\n";
    let wanted = read(&[("place.csv", plain)], &ladderday::domain::Yard::default()).unwrap();
    for other in [
        "\u{FEFF}code,name,note\r\nA,Lawn,\"x y\"\r\nB,Porch,\r\n",
        "Code;Name;Note\nA;Lawn;x y\nB;Porch;\n",
        "code\tname\tnote\nA\tLawn\tx y\nB\tPorch\n",
        "code , name, note\n\n A,Lawn , x y\n,,\nB,Porch",
    ] {
        let rows = read(&[("place.csv", other)], &ladderday::domain::Yard::default()).unwrap();
        assert_eq!(rows, wanted, "{other:?}");
    }
}

#[test]
fn lines_are_counted_past_empty_ones_and_line_breaks_in_text() {
    let text = "code,name,note,indoors\n\n\r\nA,Lawn,\"one\ntwo\",no\n\nB,Porch,,maybe\n";
    let faults = read(&[("place.csv", text)], &ladderday::domain::Yard::default()).unwrap_err();
    assert_eq!(faults.iter().map(|f| f.line).collect::<Vec<_>>(), [7]);
}
