//! A handful of lines is enough to start.

use ladderday::domain::{Deed, Yard};
use ladderday::exchange::csv::{CsvFault, CsvFile, Target};
use ladderday::exchange::sheet::{List, ToldColumns, is_list, read_list};
use ladderday::store::{Applied, Store};

use super::small_yard::FILES;
use super::{YARD, import, store};

const LINES: &str = "lights on,2027-11-26\n\
    name,how many,where,how mounted,worth,length,permanent,carried by\n\
    Mini trees,8,Front lawn,on stakes,4,,,\n\
    Candy canes,10x,front  lawn,Ground Stakes,,,,\n\
    Roof garland,,Gable,hooks,,40 ft,yes,\n\
    Star,1,gable,rail,5,,,roof garland\n\
    Penguin,1,,,,,,\n\
    Mini trees,2,Gate,stake,,,,\n";

fn handful(text: &str, existing: &Yard) -> Result<List, Vec<CsvFault>> {
    let file = CsvFile { name: "props.csv", bytes: text.as_bytes() };
    read_list(&file, &Target { yard_id: YARD, existing }, None, &ToldColumns::default())
}

fn with_methods() -> (tempfile::TempDir, Store) {
    let (folder, mut store) = store();
    let wanted = ["site.csv", "method.csv", "place.csv"];
    let files: Vec<_> = FILES.iter().copied().filter(|(name, _)| wanted.contains(name)).collect();
    import(&mut store, &files);
    (folder, store)
}

fn apply(store: &mut Store, text: &str) -> Applied {
    let rows = handful(text, &store.load_whole_yard().unwrap()).unwrap().rows;
    store.apply(&Deed { verb: "import", what: "Props".into(), at_ms: 9, rows }).unwrap()
}

#[test]
fn a_handful_becomes_a_season_with_placements() {
    let (_folder, mut store) = with_methods();
    let read = handful(LINES, &store.load_whole_yard().unwrap()).unwrap();
    assert_eq!(read.season_code, "lights-2027");
    assert!(read.said.iter().any(|s| s == "lights on at 17:00 assumed"), "{:?}", read.said);
    assert_ne!(apply(&mut store, LINES), Applied::Nothing);
    let yard = store.load_yard().unwrap();
    let season = yard.seasons.iter().find(|s| s.code == "lights-2027").unwrap();
    assert_eq!(
        (season.name.as_str(), season.lights_on.unwrap().to_string().as_str()),
        ("Lights 2027", "2027-11-26 17:00:00")
    );
    let of = |code: &str| yard.placements.iter().find(|p| p.code == code).unwrap();
    let method = |code: &str| yard.methods.iter().find(|m| m.code == code).map(|m| m.id);
    let minis = of("MINI-TREES-27");
    assert_eq!(
        (minis.count, minis.worth, minis.method_id, minis.season_id),
        (8, 4, method("stake"), season.id)
    );
    let canes = of("CANDY-CANES-27");
    assert_eq!((canes.count, canes.place_id, canes.method_id), (10, minis.place_id, method("stake")));
    let garland = of("ROOF-GARLAND-27");
    assert!(garland.permanent && garland.method_id == method("hook"));
    assert_eq!(garland.length_mm.unwrap().mm(), 12_192);
    // "Gable" is a place of the yard already.
    assert_eq!(garland.place_id, yard.places.iter().find(|p| p.code == "GABLE").map(|p| p.id));
    assert_eq!(of("STAR-27").carried_by_id, Some(garland.id));
    let penguin = of("PENGUIN-27");
    assert_eq!((penguin.method_id, penguin.place_id, penguin.count), (method("set_out"), None, 1));
    assert_eq!(of("MINI-TREES-2-27").count, 2);
    assert_eq!(yard.places.len(), 5);
    assert_eq!(apply(&mut store, LINES), Applied::Nothing);
}

#[test]
fn the_day_may_be_told_before_or_be_that_of_a_season_already_there() {
    let (_folder, mut store) = with_methods();
    let season = FILES.iter().copied().find(|(name, _)| *name == "season.csv").unwrap();
    import(&mut store, &[season]);
    let lines = "name,how many,where,how mounted\nMini trees,8,Lawn,stake\n";
    let existing = store.load_whole_yard().unwrap();
    assert_eq!(handful(lines, &existing).unwrap().season_code, "frost-2026");
    let told = format!("Lights on;2026-11-27T17:30\n{}", lines.replace(',', ";"));
    assert_eq!(handful(&told, &existing).unwrap().season_code, "frost-2026");
    apply(&mut store, &told);
    assert_eq!(store.load_yard().unwrap().seasons[0].lights_on.unwrap().to_string(), "2026-11-27 17:30:00");
}

#[test]
fn it_is_known_by_its_header() {
    for (text, is) in [
        (LINES, true),
        ("Name,How Many,Where,How Mounted\n", true),
        ("where,how_mounted,name,how_many\nlawn,stake,x,1\n", true),
        ("code,name,access\nA,Lawn,ground\n", false),
    ] {
        assert_eq!(is_list(&CsvFile { name: "x.csv", bytes: text.as_bytes() }), is, "{text}");
        assert_eq!(is_list(&CsvFile { name: "place.csv", bytes: text.as_bytes() }), is, "{text}");
    }
    let bare = CsvFile { name: "place.csv", bytes: b"code,name\nA,Lawn\n" };
    assert!(!is_list(&bare));
}

#[test]
fn its_faults_are_told_all_at_once() {
    let (_folder, store) = with_methods();
    let existing = store.load_whole_yard().unwrap();
    let text = "lights on,Friday\n\
        name,how many,where,how mounted,worth,carried by,colour\n\
        Star,many,roof,poster tack,9,Moon,\n\
        ,1,roof,hooks,,,\n";
    let faults = handful(text, &existing).unwrap_err();
    let told: Vec<_> = faults.iter().map(|f| (f.line, f.code, f.column.as_str())).collect();
    assert_eq!(
        told,
        [
            (1, "not-a-date", "lights on"),
            (3, "not-a-number", "how many"),
            (3, "unknown-method", "how mounted"),
            (3, "out-of-range", "worth"),
            (3, "unknown-reference", "carried by"),
            (4, "missing-value", "name"),
        ]
    );
    let unknown = faults.iter().find(|f| f.code == "unknown-method").unwrap();
    assert!(unknown.remedy.matches('"').count() == 6, "three are offered: {unknown}");
    let ring = "lights on,2027-11-26\nname,how many,where,how mounted,carried by\nA,1,,,B\nB,1,,,A\n";
    assert_eq!(handful(ring, &existing).unwrap_err()[0].code, "ring");
    let dayless = "name,how many,where,how mounted\nA,1,,\n";
    let read = handful(dayless, &existing).unwrap();
    assert!(read.said.iter().any(|s| s.starts_with("the day of lights on is not told")), "{:?}", read.said);
}
