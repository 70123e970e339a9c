//! One broken file for each kind of fault: told with file, line, column, value, and a remedy; nothing is returned.

use ladderday::domain::Yard;
use ladderday::exchange::csv::{CsvFile, Target, read_folder};

use super::small_yard::FILES;
use super::{YARD, import, read, store};

const SITE: (&str, &str) = ("site.csv", "name,time_zone\nRow 3,America/New_York\n");
const PLACES: (&str, &str) = ("place.csv", "code,name\nA,Lawn\nB,Porch\n");

const VENDORS: (&str, &str) = ("vendor.csv", "code,name\nV,Quay Wire\n");
const PRODUCTS: (&str, &str) = ("product.csv", "code,name\nM,Mini\n");
const SEASONS: (&str, &str) = ("season.csv", "code,name,lights_on\nS,Frost,2026-11-27T17:00\n");
const PIECES: (&str, &str) = ("piece.csv", "code,product\nA1,M\n");
const SCRAPPED: (&str, &str) = ("fault.csv", "code,piece,symptom,found\nF-1,A1,damage,2026-01-02T18:00\n");
const ENTRIES: (&str, &str) = ("repair_entry.csv", "fault,at,deed\nF-1,2026-01-03T18:00,scrapped\n");

/// Files, then the fault that the last one has: code, line, column.
type Case = (&'static [(&'static str, &'static str)], &'static str, u64, &'static str);

const CASES: &[Case] = &[
    (&[("plaice.csv", "code,name\n")], "unknown-file", 0, ""),
    (&[("attachment.csv", "name\n")], "unknown-file", 0, ""),
    (&[PLACES, ("place.CSV", "code,name\nC,Gate\n")], "file-twice", 0, ""),
    (&[("place.csv", "")], "no-header", 1, ""),
    (&[("place.csv", "code,name,colour\nA,Lawn,red\n")], "unknown-column", 1, "colour"),
    (&[("place.csv", "code,name,Name\nA,Lawn,Lawn\n")], "column-twice", 1, "Name"),
    (&[("place.csv", "code,note\nA,Lawn\n")], "missing-column", 1, "name"),
    (&[("place.csv", "code,name\nA,\n")], "missing-value", 2, "name"),
    (&[("place.csv", "code,name\nA,Lawn,left\n")], "too-many-cells", 2, ""),
    (&[("place.csv", "code,name\nA,Lawn\nB,Porch\nA,Gate\n")], "code-twice", 4, "code"),
    (&[("place.csv", "code,name\n\"A\nB\",Lawn\n")], "bad-code", 2, "code"),
    (&[("place.csv", "code,name,parent\nA,Lawn,YARD\n")], "unknown-reference", 2, "parent"),
    (&[("place.csv", "code,name,height_mm\nA,Lawn,-1\n")], "out-of-range", 2, "height_mm"),
    (&[("place.csv", "code,name,height_mm\nA,Lawn,tall\n")], "not-a-quantity", 2, "height_mm"),
    (&[("place.csv", "code,name,height_mm\nA,Lawn,2.5\n")], "not-a-number", 2, "height_mm"),
    (&[("place.csv", "code,name,height_mm\nA,Lawn,99999999999999999999\n")], "not-a-number", 2, "height_mm"),
    (&[("place.csv", "code,name,indoors\nA,Lawn,maybe\n")], "not-yes-no", 2, "indoors"),
    (&[("place.csv", "code,name,access\nA,Lawn,jetpack\n")], "not-a-choice", 2, "access"),
    (&[("product.csv", "code,name,pixels\nM,Mini,5.0\n")], "not-a-number", 2, "pixels"),
    (&[("product.csv", "code,name,wire\nM,Mini,99 AWG\n")], "not-a-quantity", 2, "wire"),
    (&[("product.csv", "code,name,efficiency_pct\nM,Mini,0\n")], "out-of-range", 2, "efficiency_pct"),
    (&[("site.csv", "name,time_zone\nRow 3,Mars/Crater\n")], "unknown-zone", 2, "time_zone"),
    (&[("site.csv", "name\nRow 3\nRow 4\n")], "row-twice", 3, ""),
    (&[("season.csv", "code,name,lights_off\nS,Frost,3.1.2027\n")], "not-a-date", 2, "lights_off"),
    (&[("season.csv", "code,name,lights_off\nS,Frost,2027-02-30\n")], "not-a-date", 2, "lights_off"),
    (&[("season.csv", "code,name,lights_on\nS,Frost,2026-11-27\n")], "not-a-time", 2, "lights_on"),
    (
        &[SITE, ("season.csv", "code,name,lights_on\nS,Frost,2026-03-08T02:30\n")],
        "no-such-time",
        2,
        "lights_on",
    ),
    (
        &[SITE, ("session.csv", "code,starts,ends\nS,2026-11-01T01:30,2026-11-01T03:00\n")],
        "time-exists-twice",
        2,
        "starts",
    ),
    (
        &[SITE, ("session.csv", "code,starts,ends\nS,2026-11-01T09:30,2026-11-01T09:00\n")],
        "ends-before-start",
        2,
        "ends",
    ),
    (&[("fault.csv", "code,symptom,found\nF,dark,2025-12-05T21:00\n")], "no-zone", 2, "found"),
    (&[SITE, ("fault.csv", "code,symptom,found\nF,dark,yesterday\n")], "not-a-time", 2, "found"),
    (&[PLACES, ("fall_line.csv", "upper_place,lower_place\nA,A\n")], "above-itself", 2, ""),
    (&[PLACES, ("fall_line.csv", "upper_place,lower_place\nA,B\nA,B\n")], "row-twice", 3, ""),
    (&[("place.csv", "code,name,parent\nA,Lawn,B\nB,Porch,C\nC,Gate,A\n")], "ring", 2, "parent"),
    (&[("container.csv", "code,name,parent\nT,Tote,T\n")], "ring", 2, "parent"),
    (&[("tick.csv", "step_key,kind\nhang the star,done\n")], "bad-step-key", 2, "step_key"),
    (&[("tick.csv", "step_key,kind\nghost:X/a/up,done\n")], "bad-step-key", 2, "step_key"),
    (&[("tick.csv", "step_key,kind\nplacement:X/a/up,done\n")], "unknown-reference", 2, "step_key"),
    (&[("place.csv", "code,name\nA,La\0wn\n")], "nul", 2, ""),
    (
        &[
            VENDORS,
            PRODUCTS,
            (
                "offer.csv",
                "code,vendor,product,price_cents,sale_from,sale_to\nO,V,M,100,2027-01-31,2027-01-04\n",
            ),
        ],
        "ends-before-start",
        2,
        "sale_to",
    ),
    (
        &[
            VENDORS,
            PRODUCTS,
            ("offer.csv", "code,vendor,product,price_cents,min_packs,max_packs\nO,V,M,100,5,2\n"),
        ],
        "most-below-fewest",
        2,
        "max_packs",
    ),
    (
        &[VENDORS, PRODUCTS, ("offer.csv", "code,vendor,product,pack,price_cents\nO,V,M,-5,100\n")],
        "out-of-range",
        2,
        "pack",
    ),
    (
        &[VENDORS, PRODUCTS, ("offer.csv", "code,vendor,product,price_cents\nO,V,M,€12.50\n")],
        "mixed-currency",
        2,
        "price_cents",
    ),
    (&[("placement.csv", "code,name,season,photo\nP,Star,S,dusk.jpg\n")], "no-attachments", 2, "photo"),
];

#[test]
fn every_kind_of_fault_is_told_where_it_is() {
    for (files, code, line, column) in CASES {
        let faults = read(files, &Yard::default()).expect_err(code);
        let file = files.last().map_or("", |f| f.0);
        let fault = faults
            .iter()
            .find(|f| f.code == *code)
            .unwrap_or_else(|| panic!("{code} is not among {faults:?}"));
        assert_eq!(
            (fault.file.as_str(), fault.line, fault.column.as_str()),
            (file, *line, *column),
            "{fault}"
        );
        assert!(!fault.what.is_empty() && !fault.remedy.is_empty(), "{fault}");
    }
}

#[test]
fn bytes_that_are_no_text_are_refused_with_their_line() {
    for (bytes, code, line) in
        [(&b"code,name\nA,Lawn\nB,\xFFPorch\n"[..], "not-utf8", 3), (&b"\xFF\xFEc\0o\0"[..], "not-utf8", 1)]
    {
        let existing = Yard::default();
        let files = [CsvFile { name: "place.csv", bytes }];
        let faults = read_folder(&files, &Target { yard_id: YARD, existing: &existing }).unwrap_err();
        assert_eq!((faults[0].code, faults[0].line), (code, line));
    }
    let long = format!("code,name\nA,\"{}\"\n", "x".repeat(200_000));
    let faults = read(&[("place.csv", &long)], &Yard::default()).unwrap_err();
    assert_eq!((faults[0].code, faults[0].line), ("cell-too-long", 2));
    assert!(faults[0].value.chars().count() < 70);
}

#[test]
fn a_ring_is_told_in_words() {
    let files = [
        ("season.csv", "code,name\nS,Frost\n"),
        ("placement.csv", "code,name,season,carried_by\nP-1,Frame,S,P-2\nP-2,Panel,S,P-1\n"),
    ];
    let faults = read(&files, &Yard::default()).unwrap_err();
    let told = &faults[0].what;
    assert!(
        told == "P-1 is carried by P-2 is carried by P-1"
            || told == "P-2 is carried by P-1 is carried by P-2",
        "{told}"
    );
}

/// A ring may close over a row that the yard has already.
#[test]
fn a_ring_over_rows_of_the_yard_is_found() {
    let (_folder, mut store) = store();
    import(&mut store, &[("place.csv", "code,name,parent\nA,Lawn,\nB,Porch,A\n")]);
    let faults = read(&[("place.csv", "code,name,parent\nA,Lawn,B\n")], &store.load_whole_yard().unwrap());
    assert_eq!(faults.unwrap_err()[0].code, "ring");
}

#[test]
fn all_faults_are_told_at_once() {
    let files = [
        ("place.csv", "code,name,parent,height_mm\nA,,X,tall\n"),
        ("person.csv", "code,name,mass_g\nANN,Ann,heavy\n"),
    ];
    let faults = read(&files, &Yard::default()).unwrap_err();
    let codes: Vec<_> = faults.iter().map(|f| (f.file.as_str(), f.code)).collect();
    assert_eq!(
        codes,
        [
            ("person.csv", "not-a-quantity"),
            ("place.csv", "missing-value"),
            ("place.csv", "not-a-quantity"),
            ("place.csv", "unknown-reference"),
        ]
    );
}

#[test]
fn rows_of_the_yard_may_be_referred_to_ended_ones_too() {
    let (_folder, mut store) = store();
    import(&mut store, FILES);
    store.undo_past(9_000).unwrap();
    let rows = read(
        &[("fall_line.csv", "upper_place,lower_place\nLAWN,GABLE\n")],
        &store.load_whole_yard().unwrap(),
    );
    assert_eq!(rows.unwrap().len(), 1);
}

#[test]
fn two_rows_of_the_yard_with_one_code_are_not_guessed_between() {
    let (_folder, mut store) = store();
    let text = |t: &str| ladderday::domain::Value::Text(t.to_owned());
    let row = |n| {
        ladderday::domain::RowChange::new(
            "place",
            uuid::Uuid::from_u128(n),
            vec![("code", text("A")), ("name", text("Lawn"))],
        )
    };
    let rows = vec![row(1), row(2)];
    store.apply(&ladderday::domain::Deed { verb: "add", what: "Two".into(), at_ms: 1, rows }).unwrap();
    let faults = read(&[("place.csv", "code,name,parent\nB,Porch,A\n")], &store.load_whole_yard().unwrap());
    assert_eq!(faults.unwrap_err()[0].code, "ambiguous-reference");
}

/// What the yard knows as scrapped is not placed again; both in one folder are what happened, and are read back.
#[test]
fn a_scrapped_piece_is_not_placed_again() {
    let placed = ("placement.csv", "code,name,season,piece\nP,Arch,S,A1\n");
    let before = [SITE, SEASONS, PRODUCTS, PIECES, SCRAPPED, ENTRIES];
    let (_folder, mut kept) = store();
    import(&mut kept, &before);
    let faults = read(&[placed], &kept.load_whole_yard().unwrap()).unwrap_err();
    assert_eq!((faults[0].code, faults[0].line, faults[0].column.as_str()), ("scrapped-piece", 2, "piece"));
    let (_other, mut whole) = store();
    let all: Vec<_> = before.into_iter().chain([placed]).collect();
    import(&mut whole, &all);
    import(&mut whole, &all);
}
