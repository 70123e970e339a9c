//! Bad input through CSV: refused with its place, or named as not known; never taken as fine.

use ladderday::answers::view::{Level, ScreenId};
use ladderday::app::{App, Choices, SheetForm};

use super::yards::{FILES, checked, codes, small};

type Change = (&'static str, &'static str, &'static str);

/// What a folder that must not come in says.
fn refused(changes: &[Change]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let csv = folder.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    for (name, text) in FILES {
        let text = changes
            .iter()
            .filter(|(file, ..)| *file == name)
            .fold(text.to_owned(), |text, (_, from, to)| text.replace(from, to));
        std::fs::write(csv.join(name), text).unwrap();
    }
    let mut app = App::create(&folder.path().join("y.ladderday"), &Choices::default()).unwrap();
    let problem = app.import(&[csv]).unwrap_err();
    assert!(app.yard().links.is_empty(), "nothing is written where something is wrong");
    format!("{problem:#?}")
}

/// A wire without resistance has no length, or no product behind it: it does not come in.
#[test]
fn zero_length_and_what_is_absent_do_not_come_in() {
    for (changes, says) in [
        ([("link.csv", "14 AWG,10000,5000", "14 AWG,0,5000")], "length_mm"),
        ([("link.csv", "14 AWG,10000,5000", "0 mm2,10000,5000")], "wire"),
        ([("product.csv", "3,1000,18 AWG", "3,0,18 AWG")], "pitch_mm"),
        ([("link.csv", "F,dc,glow,,S-1,", "F,dc,glow,,S-9,")], "S-9"),
        ([("circuit.csv", "15000,120000", "-15000,120000")], "breaker_ma"),
        ([("product.csv", ",5000,100000", ",5000,much")], "rated_mw"),
    ] {
        let text = refused(&changes);
        assert!(text.contains(says), "{says}: {text}");
    }
}

/// Each figure that no formula takes: its code, where, and the figure itself; nothing computed from it.
#[test]
fn what_is_outside_a_formula_is_named_with_its_place() {
    let phases: [Change; 2] = [
        ("product.csv", "output_mv,rated_mw\n", "output_mv,rated_mw,startup_ma\n"),
        ("product.csv", ",5000,100000\n", ",5000,100000,30000\n"),
    ];
    let cases: [(&[Change], &str, &str, &str); 9] = [
        (&[("link.csv", "14 AWG,3000", "20 AWG,3000")], "cord_not_listed", "M", ""),
        (&[("link.csv", "14 AWG,3000", "0.2 mm2,3000")], "cord_not_listed", "M", ""),
        (&[("link.csv", "14 AWG,10000,5000", "50 mm2,10000,5000")], "wire_size_not_listed", "D", "50 mm²"),
        (&[("link.csv", "14 AWG,10000,5000", "34 AWG,10000,5000")], "wire_not_listed", "D", ""),
        (&[("circuit.csv", "15000,120000", "15000,900000")], "mains_voltage", "C House", "900 V"),
        (&[("product.csv", ",5000,100000", ",5000000,100000")], "out_of_range", "S-1", "5000 V"),
        (&[("link.csv", "P-1,in,1,L-1,14 AWG", "P-1,in,11,L-1,14 AWG")], "feed_beyond_end", "D", "11"),
        (
            &[("product.csv", "current,10,100", "current,5000000000,100")],
            "too_many_pixels",
            "P-1",
            "5000000000",
        ),
        (&[phases[0], phases[1], ("circuit.csv", "15000,", "900000,")], "breaker_rating", "C House", "900 A"),
    ];
    for (changes, code, place, value) in cases {
        let (_folder, mut app) = small(changes);
        let all = checked(&app);
        let hit = all.findings.iter().any(|f| {
            f.code == code && f.place.contains(place) && f.value.contains(value) && f.level <= Level::Mend
        });
        assert!(hit, "{code}: {:#?} {:?}", all.findings, all.not_told);
        app.page(ScreenId::Power, &ladderday::app::PageWant::default()).unwrap();
        app.wiring_cards(SheetForm::Text).unwrap();
    }
    let (_folder, app) = small(&[]);
    let fine = checked(&app);
    for (_, code, ..) in cases {
        assert!(!codes(&fine).contains(&code), "{code} where nothing is wrong");
    }
}

/// A box that feeds its own supply, a supply that feeds itself, props that hang on each other.
#[test]
fn what_feeds_itself_is_named() {
    let back = ("link.csv", "D,dc,glow", "R,dc,glow,,B-1,A9,S-1,,,,,14 AWG,1000,,,\nD,dc,glow");
    let (_folder, app) = small(&[back]);
    let ring = checked(&app).findings.into_iter().find(|f| f.code == "supply_ring").unwrap();
    assert_eq!((ring.level, ring.place.as_str()), (Level::Stop, "B-1, S-1"));
    let own = ("link.csv", "F,dc,glow,,S-1,,B-1", "F,dc,glow,,S-1,,S-1");
    let (_folder, mut app) = small(&[own]);
    assert!(codes(&checked(&app)).contains(&"supply_ring"));
    app.page(ScreenId::Power, &ladderday::app::PageWant::default()).unwrap();
    let head: Change = ("link.csv", "from_piece,from_port", "from_placement,from_port");
    let each: Change = (
        "link.csv",
        "D,dc,glow,,B-1,A1,,P-1,in,1,L-1,14 AWG,10000,5000,,\n",
        "D,dc,glow,,P-2,,,P-1,in,1,,14 AWG,1000,,,\nD2,dc,glow,,P-1,,,P-2,in,1,,14 AWG,1000,,,\n",
    );
    let data: [Change; 2] = [
        ("link.csv", "F,dc,glow,,S-1,,B-1,,A,,,10 AWG,100,,,\n", ""),
        ("link.csv", "B-1,A1,,P-1", ",A1,,P-1"),
    ];
    let (_folder, mut app) = small(&[head, each, data[0], data[1], ("link.csv", "B-1,A2,,P-2", ",A2,,P-2")]);
    let all = checked(&app);
    assert!(all.not_told.iter().any(|l| l.contains("supply or port not told for 2")), "{:?}", all.not_told);
    app.page(ScreenId::Power, &ladderday::app::PageWant::default()).unwrap();
}

/// A prop with its feed and no supply behind the box: no volts, no load, and said so.
#[test]
fn an_absent_supply_is_not_known() {
    let none = ("link.csv", "F,dc,glow,,S-1,,B-1,,A,,,10 AWG,100,,,\n", "");
    let (_folder, mut app) = small(&[none]);
    let all = checked(&app);
    assert!(
        all.not_told.iter().any(|l| l.contains("supply or port not told for 1 (D)")),
        "{:?}",
        all.not_told
    );
    let ladderday::app::Page::Power(page) =
        app.page(ScreenId::Power, &ladderday::app::PageWant::default()).unwrap()
    else {
        panic!("Power")
    };
    assert!(page.strings.is_empty());
    let node = |kind: &str| page.nodes.iter().find(|n| n.kind == kind).unwrap();
    for kind in ["port", "prop"] {
        assert_eq!((node(kind).load.as_str(), node(kind).share), ("load not known", None), "{kind}");
    }
    assert_eq!(node("prop").lowest_mv, None);
}

/// A figure a thousand times off comes in as it is told, named with what is likely meant, and by the checks again.
#[test]
fn a_thousand_times_off_is_named_as_it_comes_in() {
    let folder = tempfile::tempdir().unwrap();
    let csv = folder.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    for (name, text) in FILES {
        std::fs::write(
            csv.join(name),
            text.replace("15000,120000", "15000,120").replace("5000,100000", "5000,100"),
        )
        .unwrap();
    }
    let mut app = App::create(&folder.path().join("y.ladderday"), &Choices::default()).unwrap();
    let said = app.import(&[csv]).unwrap();
    for words in
        ["look again: circuit C: volts_mv 120 is 0.12 V; 120 V meant?", "rated_mw 100 is 0.1 W; 100 W meant?"]
    {
        assert!(said.contains(words), "{said}");
    }
    let found = checked(&app).findings.into_iter().filter(|f| f.code == "implausible").count();
    assert_eq!(found, 2);
}
