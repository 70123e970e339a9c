//! Small yards worked by hand, and what they say where something is missing.

use ladderday::answers::power::{CheckKind, WhatIf};
use ladderday::answers::view::{Level, ScreenId};
use ladderday::app::{App, Choices, Form, Page, SheetForm};

use super::yards::{checked, codes, small};

/// By hand: ten pixels of 0.1 A draw 1 A. 14 AWG at 20 °C is 8.28 mΩ/m, 18 AWG 20.9 mΩ/m. Both conductors: over 10 m
/// 1 A drops 0.166 V; along the string 0.9 + 0.8 + … + 0.1 = 4.5 A·m drop 0.188 V. Pixel 1 has 4.834 V, pixel 10 4.646 V.
#[test]
fn the_voltage_along_a_string() {
    let (_folder, mut app) = small(&[]);
    let Page::Power(page) = app.page(ScreenId::Power, &ladderday::app::PageWant::default()).unwrap() else {
        panic!("Power")
    };
    let string = &page.strings[0];
    let (first, last) = (string.millivolts[0], *string.millivolts.last().unwrap());
    assert!((first - 4834).abs() <= 3, "{first}");
    assert!((last - 4646).abs() <= 5, "{last}");
    let supply = page.nodes.iter().find(|n| n.kind == "supply").unwrap();
    // 100 W at 5 V are 20 A, 80 % of it without end.
    assert_eq!(supply.load, "1.0 A of 16.0 A");
    let port = page.nodes.iter().find(|n| n.kind == "port").unwrap();
    assert_eq!((port.load.as_str(), port.share), ("1.0 A of 5.0 A", Some(200)));
    let at = page.nodes.iter().position(|n| n.kind == "port").unwrap();
    let prop = &page.nodes[at + 1];
    assert_eq!((prop.kind, prop.code.as_str(), prop.depth), ("prop", "P-1", port.depth + 1));
    assert_eq!((prop.load.as_str(), prop.share), ("1.0 A of 5.0 A", Some(200)));
    assert!((prop.lowest_mv.unwrap() - 4646).abs() <= 5 && prop.limit_mv.is_some(), "{prop:?}");
    assert!(!checked(&app).must_stop(), "{:?}", codes(&checked(&app)));
    // Ten pixels of 0.1 A at 4.834 V down to 4.646 V take 4.71 W; of the supply's 5 W 0.29 W are lost.
    assert_eq!(page.level, "level 100 %, held by hardware; 5 W when lit, 0.3 W lost in wires");
    let said = app.check_answer(&[CheckKind::Power], &WhatIf::default(), None, Form::Text).unwrap().1;
    assert!(said.ends_with("local code and a licensed electrician decide.\n"), "{said}");
}

/// Ports, props, pixels, numbers, fuse, feed, wire, the owner's word for its colour, and the caution.
#[test]
fn a_lid_card_has_all_that_is_plugged() {
    let colour = [
        ("link.csv", "start_slot\n", "start_slot,colour\n"),
        ("link.csv", "14 AWG,10000,5000,,\n", "14 AWG,10000,5000,,,white tracer\n"),
    ];
    let (_folder, mut app) = small(&colour);
    let card = app.wiring_cards(SheetForm::Text).unwrap();
    for text in [
        "B-1",
        "address 10.1.1.5",
        "A1",
        "Eaves string (P-1)",
        "pixels 10",
        "universe 1, slot 1",
        "fuse 5 A",
        "at 1",
        "14 AWG",
        "colour white tracer",
        "! Supply off",
        "A2",
        "slot 31",
    ] {
        assert!(card.contains(text), "{text}: {card}");
    }
    assert!(app.wiring_cards(SheetForm::Html).unwrap().contains("white tracer"));
}

/// Two boxes on one address, and a show network inside the home network.
#[test]
fn addresses_that_clash_stop() {
    let twice = ("piece.csv", "B-1,BOX,,10.1.1.5\n", "B-1,BOX,,10.1.1.5\nB-2,BOX,,10.1.1.5\n");
    let (_folder, app) = small(&[twice]);
    let all = checked(&app);
    let hit = all
        .findings
        .iter()
        .any(|f| f.level == Level::Stop && f.place == "B-2" && f.code.contains("duplicate"));
    assert!(hit, "{:?}", codes(&all));
    let head = "show_network\nYard,us,100,hardware,40,10.1.1.0/24";
    let home = "show_network,home_network\nYard,us,100,hardware,40,10.1.1.0/24,10.1.0.0/16";
    let (_folder, app) = small(&[("site.csv", head, home)]);
    assert!(codes(&checked(&app)).contains(&"networks_overlap"));
}

/// 40 frames a second leave 25 ms, a WS2811 pixel takes 30 µs: 2000 pixels on one port are too many.
#[test]
fn a_port_over_its_pixels_for_the_frame_rate() {
    let (_folder, app) = small(&[("product.csv", "constant_current,10,100", "constant_current,2000,1")]);
    let all = checked(&app);
    let port = all.findings.iter().find(|f| f.code == "port_pixels").unwrap();
    assert!(port.value == "2000 pixels" && port.remedy.contains("another port"), "{port:?}");
}

/// Plugs of two families, and data into the end that is marked as out.
#[test]
fn ends_that_do_not_belong_together() {
    let (_folder, mut app) = small(&[]);
    let csv = tempfile::tempdir().unwrap();
    let ends = "product,end_name,direction,plug_family\nSTRING,in,in,round 3\nSTRING,tail,out,round 3\nLEAD,far,out,flat 4\n";
    std::fs::write(csv.path().join("product_end.csv"), ends).unwrap();
    app.import(&[csv.path().to_path_buf()]).unwrap();
    assert!(codes(&checked(&app)).contains(&"plug_family"));
    let (_folder, mut app) = small(&[("link.csv", "P-1,in,1,L-1,,4000", "P-1,tail,1,L-1,,4000")]);
    app.import(&[csv.path().to_path_buf()]).unwrap();
    assert!(codes(&checked(&app)).contains(&"data_into_out_end"));
}

#[test]
fn each_fault_is_found_by_its_code() {
    for (changes, code) in [
        (vec![("piece.csv", "L-1,LEAD,5000", "L-1,LEAD,12000")], "tag_voltage"),
        (
            vec![
                ("product.csv", "18 AWG,,\n        SUP", "18 AWG,,\n        SUP"),
                ("product.csv", ",5000,100000", ",12000,100000"),
            ],
            "supply_voltage",
        ),
        (vec![("link.csv", "14 AWG,10000,5000", "14 AWG,10000,40000")], "fuse_over_wire"),
        (vec![("link.csv", "L-1,,4000,,1,1", "L-1,,90000,,1,1")], "data_lead_long"),
        (vec![("link.csv", ",1,31\n", ",1,30\n")], "numbers_overlap"),
        (vec![("product.csv", ",5000,100000", ",5000,4000")], "supply_over"),
        (vec![("piece.csv", "10.1.1.5", "10.2.1.5")], "outside_show"),
    ] {
        let changes: Vec<_> = changes.into_iter().filter(|(_, from, to)| from != to).collect();
        let (_folder, app) = small(&changes);
        let all = checked(&app);
        let hit = all.findings.iter().any(|f| {
            f.level == Level::Stop && (f.code == code || (code == "outside_show" && f.place == "B-1"))
        });
        assert!(hit, "{code}: {:?}", all.findings);
    }
}

#[test]
fn what_is_missing_is_not_known_and_never_fine() {
    for (file, from, to, says) in [
        ("link.csv", "14 AWG,10000,5000", ",10000,5000", "wire or length of a lead not told for 1"),
        ("link.csv", "14 AWG,10000,5000", "14 AWG,,5000", "wire or length of a lead not told for 1"),
        ("product.csv", "3,1000,18 AWG", "3,,18 AWG", "rail wire or pitch of a prop not told for 1"),
        ("product.csv", "10,100,WS2811", "10,100,", "chip not told"),
        ("product.csv", "10,100,WS2811", "10,,WS2811", "assumed by their chip"),
        ("site.csv", "us,100,hardware", "us,,", "level limit not told"),
        ("circuit.csv", "15000,120000", ",120000", "breaker rating or voltage not told for 1"),
        ("link.csv", "14 AWG,3000", ",3000", "not told for 1 mains cord"),
        ("link.csv", "L-1,,4000,,1,1", "L-1,,,,1,1", "length not told for 1 data"),
    ] {
        let (_folder, app) = small(&[(file, from, to)]);
        let all = checked(&app);
        assert!(all.not_told.iter().any(|l| l.contains(says)), "{says}: {:?}", all.not_told);
    }
    let (_folder, app) = small(&[("product.csv", ",5000,100000", ",5000,")]);
    assert!(checked(&app).not_told.iter().any(|l| l.contains("rating not told for 1 supply (S-1)")));
}

/// Ten pixels on two feeds with a fuse of 5 A each, and a prop of 1 A that hangs on pixel 10. By the lever: the leads are
/// 0.166 ohm each, the string 0.377 ohm. The string's own ampere is spread evenly, half to each; of the other, (0.166 +
/// 0.377) / (0.166 + 0.377 + 0.166) come over the second feed: 0.5 + 0.77 A.
#[test]
fn the_tree_has_a_prop_under_each_of_its_ports_and_what_hangs_on_it() {
    let feeds = [
        ("link.csv", "from_piece,from_port", "from_piece,from_placement,from_port"),
        ("link.csv", ",O,,,B-1,", ",O,,,,B-1,"),
        ("link.csv", "S-1,,B-1", "S-1,,,B-1"),
        ("link.csv", "N,data,glow,,B-1,A1", "N,data,glow,,B-1,,A1"),
        ("link.csv", "B-1,A2,,P-2", "B-1,,A2,,P-2"),
        ("link.csv", "Q,mains,glow,", "Q,mains,glow,,"),
        (
            "link.csv",
            "D,dc,glow,,B-1,A1,,P-1,in,1,L-1,14 AWG,10000,5000,,\n",
            "D,dc,glow,,B-1,,A1,,P-1,in,1,L-1,14 AWG,10000,5000,,\n\
            E,dc,glow,,B-1,,A2,,P-1,out,10,,14 AWG,10000,5000,,\n\
            G,dc,glow,,,P-1,,,P-2,in,1,,14 AWG,1000,,,\n",
        ),
    ];
    let (_folder, mut app) = small(&feeds);
    let Page::Power(page) = app.page(ScreenId::Power, &ladderday::app::PageWant::default()).unwrap() else {
        panic!("Power")
    };
    let rows: Vec<String> = page
        .nodes
        .iter()
        .filter(|n| matches!(n.kind, "port" | "prop"))
        .map(|n| format!("{}{} {} {} {}", " ".repeat(n.depth), n.kind, n.code, n.name, n.load))
        .collect();
    assert_eq!(
        rows,
        [
            "    port A1 lead D 0.7 A of 5.0 A",
            "     prop P-1 Eaves string 1.0 A of 10.0 A",
            "      prop P-2 Porch string 1.0 A",
            "    port A2 lead E 1.3 A of 5.0 A",
            "     prop P-1 Eaves string, feed at 10 1.0 A of 10.0 A",
            "      prop P-2 Porch string 1.0 A",
        ]
    );
}

/// No circuit and no outlet told: what hangs on a box has its load all the same.
#[test]
fn a_box_without_an_outlet_is_in_the_tree() {
    let (_folder, mut app) = small(&[("link.csv", "M,mains,glow,O,,,B-1,,,,,14 AWG,3000,,,\n", "")]);
    let Page::Power(page) = app.page(ScreenId::Power, &ladderday::app::PageWant::default()).unwrap() else {
        panic!("Power")
    };
    let node = page.nodes.iter().find(|n| n.code == "B-1").unwrap();
    assert_eq!((node.depth, node.load.as_str()), (0, "outlet not told"));
    assert!(page.nodes.iter().any(|n| n.kind == "prop" && n.code == "P-1" && n.share.is_some()));
}

/// 1 A with a quarter to spare takes a fuse of 2 A (ISO 8820-3 ratings); universe 1 is 239.255.0.1 (ANSI E1.31).
#[test]
fn a_lid_card_proposes_the_fuse_that_is_not_told_and_names_the_group() {
    let (_folder, mut app) = small(&[("link.csv", "14 AWG,10000,5000", "14 AWG,10000,")]);
    for card in [app.wiring_cards(SheetForm::Text).unwrap(), app.wiring_cards(SheetForm::Html).unwrap()] {
        assert!(card.contains("2 A proposed"), "{card}");
        assert!(card.contains("239.255.0.1"), "{card}");
    }
    assert!(checked(&app).not_told.iter().any(|l| l.contains("fuse not told for 2 feeders")));
    let (_folder, mut app) = small(&[]);
    assert!(!app.wiring_cards(SheetForm::Text).unwrap().contains("proposed"));
}

/// Where no cord is told nothing was checked, and that is said.
#[test]
fn a_yard_without_a_cord_is_not_called_fine() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("props.csv");
    std::fs::write(&file, "lights on,2027-11-26\nname,how many,where,how mounted\nstar,1,gable,hooks\n")
        .unwrap();
    let mut app = App::create(&folder.path().join("y.ladderday"), &Choices::default()).unwrap();
    app.import(&[file]).unwrap();
    let checked = app.check(&[CheckKind::Power, CheckKind::Signal], &WhatIf::default()).unwrap();
    for what in ["power", "signal"] {
        let line = format!("no mains cord and no other lead is told: {what} not checked");
        assert!(checked.not_told.contains(&line), "{:?}", checked.not_told);
    }
}
