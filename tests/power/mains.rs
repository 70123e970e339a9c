//! Circuits, cords, leakage, what goes dark together, switching on, energy, and the words of the site.

use super::yards::{ONE_STRING, checked, small};

use ladderday::answers::view::ScreenId;
use ladderday::app::{Ask, Form, NewFault, Page, SheetForm, Tonight};
use ladderday::domain::Phase;

type Change = (&'static str, &'static str, &'static str);

/// A box that draws 1200 W itself: 1200 / 120 / 0.6 = 16.7 A on a breaker that carries 12 A without end.
const HEAVY: [Change; 2] = [
    ("product.csv", "output_mv,rated_mw\n", "output_mv,rated_mw,load_mw,startup_ma\n"),
    ("product.csv", "BOX,Box,box,,,,,,,,,,\n", "BOX,Box,box,,,,,,,,,,,1200000,\n"),
];

fn hit(changes: &[Change], code: &str) -> Option<(String, String, String, String)> {
    let (_folder, app) = small(changes);
    let all = checked(&app);
    let f = all.findings.into_iter().find(|f| f.code == code)?;
    Some((f.what, f.value.to_string(), f.limit.to_string(), f.remedy))
}

#[test]
fn a_circuit_and_its_cord_over_their_limits() {
    assert!(hit(&[], "circuit_over").is_none() && hit(&[], "cord_over").is_none());
    let (_, value, limit, _) = hit(&HEAVY, "circuit_over").unwrap();
    // 1200 W and the string's 5 W / 0.85 at 120 V and a power factor of 0.6.
    assert_eq!((value.as_str(), limit.as_str()), ("16.7 A", "12.0 A"));
    let thin: Vec<Change> =
        HEAVY.iter().copied().chain([("link.csv", "14 AWG,3000", "16 AWG,3000")]).collect();
    assert_eq!(hit(&thin, "cord_over").unwrap().2, "13.0 A");
    // 16.75 A over 30 m of 14 AWG at 3.14 Ω/kft drop 2 × 98.43 ft × 0.00314 Ω/ft × 16.75 A = 10.35 V; 3 % are 3.6 V.
    let long: Vec<Change> =
        HEAVY.iter().copied().chain([("link.csv", "14 AWG,3000", "14 AWG,30000")]).collect();
    let (_, drop, limit, remedy) = hit(&long, "cord_drop").unwrap();
    assert_eq!((drop.as_str(), limit.as_str()), ("10.4 V", "3.6 V"));
    assert!(remedy.contains("AWG") || remedy.contains("shorter"), "{remedy}");
}

#[test]
fn leakage_and_what_goes_dark_together() {
    let groups = [("outlet.csv", "code,circuit\nO,C\n", "code,circuit,residual_group,trip_ma\nO,C,G-1,6\n")];
    let (_, value, ..) = hit(&groups, "dark_together").unwrap();
    assert_eq!(value, "B-1: Eaves string, Porch string");
    // One supply leaks 0.5 mA (assumed); 30 % of 6 mA are planned with, of 1 mA not.
    assert!(hit(&groups, "leakage").is_none());
    let low = [("outlet.csv", "code,circuit\nO,C\n", "code,circuit,residual_group,trip_ma\nO,C,G-1,1\n")];
    assert_eq!(hit(&low, "leakage").unwrap().1, "0.5 mA");
}

/// A second box on the circuit; a B15 breaker surely holds 45 A at once (IEC 60898-1, from memory).
#[test]
fn switching_on_goes_in_phases_with_their_currents() {
    let two = [
        ("product.csv", "output_mv,rated_mw\n", "output_mv,rated_mw,startup_ma\n"),
        ("product.csv", ",5000,100000\n", ",5000,100000,30000\n"),
        ("piece.csv", "B-1,BOX,,10.1.1.5\n", "B-1,BOX,,10.1.1.5\nB-2,BOX,,\nS-2,SUP,,\n"),
        (
            "link.csv",
            "10 AWG,100,,,\n",
            "10 AWG,100,,,\nM2,mains,glow,O,,,B-2,,,,,14 AWG,3000,,,\nF2,dc,glow,,S-2,,B-2,,A,,,10 AWG,100,,,\n",
        ),
    ];
    let (_folder, mut app) = small(&two);
    let all = checked(&app);
    let Page::Power(page) = app.page(ScreenId::Power, &ladderday::app::PageWant::default()).unwrap() else {
        panic!("Power")
    };
    let node = page.nodes.iter().find(|n| n.kind == "start-up").unwrap();
    assert_eq!((node.name.as_str(), node.load.as_str()), ("B-1, then B-2", "30.0 A of 45.0 A"));
    assert_eq!(node.share, Some(667));
    let cards = app.wiring_cards(SheetForm::Text).unwrap();
    let line = "switched on 1 of 2 on C House; starting peak 30.0 A, 45.0 A hold";
    assert!(cards.contains(line), "{cards}");
    let phases: Vec<_> =
        all.start_up.iter().map(|p| (p.phase, p.boxes.join(","), &*p.peak, &*p.limit, p.over)).collect();
    assert_eq!(
        phases,
        [(1, "B-1".to_owned(), "30.0 A", "45.0 A", false), (2, "B-2".to_owned(), "30.0 A", "45.0 A", false)]
    );
    assert!(all.findings.iter().any(|f| f.code == "start_up" && f.value == "60.0 A"), "{:?}", all.findings);
    let (_folder, app) = small(&[]);
    assert!(checked(&app).not_told.iter().any(|l| l.contains("start-up current not told for 1 thing")));
}

/// 4 h a night from 27 November to 31 December, 35 nights, at half level: 0.5 A × 5 V / 0.85 = 2.94 W, 0.41 kWh.
#[test]
fn the_energy_of_the_season() {
    let nights = [
        ONE_STRING,
        (
            "season.csv",
            "lights_off\nglow,Glow,glow,2026-11-27T17:00,2026-12-31\n",
            "lights_off,nightly_from,nightly_to,average_level_pct\nglow,Glow,glow,2026-11-27T17:00,2026-12-31,17:00,21:00,50\n",
        ),
    ];
    let (what, value, ..) = hit(&nights, "season_energy").unwrap();
    assert!(what.contains("3 W on average over 35 nights"), "{what}");
    assert!(value.starts_with("0 kWh, cost not known"), "{value}");
    let (_folder, app) = small(&[]);
    assert!(checked(&app).not_told.iter().any(|l| l.contains("energy not computed")));
}

/// By hand: half of 10 × 0.1 A at 5 V through an efficiency of 88 %, and a box that takes 7.3 W as measured, 3.5 h a
/// night for 35 nights at 31 cents: (2.5 / 0.88 + 7.3) W × 122.5 h = 1.242 261 364 kWh, 0.385 101 0 of the currency.
#[test]
fn energy_and_cost_to_a_millionth() {
    let nights = [
        ONE_STRING,
        (
            "season.csv",
            "lights_off\nglow,Glow,glow,2026-11-27T17:00,2026-12-31\n",
            "lights_off,nightly_from,nightly_to,average_level_pct\nglow,Glow,glow,2026-11-27T17:00,2026-12-31,22:15,01:45,50\n",
        ),
        (
            "site.csv",
            "show_network\nYard,us,100,hardware,40,10.1.1.0/24",
            "show_network,energy_cents_per_kwh\nYard,us,100,hardware,40,10.1.1.0/24,31",
        ),
        ("product.csv", "output_mv,rated_mw\n", "output_mv,rated_mw,load_mw,efficiency_pct\n"),
        ("product.csv", ",5000,100000\n", ",5000,100000,,88\n"),
        ("product.csv", "BOX,Box,box,,,,,,,,,,\n", "BOX,Box,box,,,,,,,,,,,7300,\n"),
    ];
    let (_folder, app) = small(&nights);
    let energy = checked(&app).energy.unwrap();
    let near = |is: f64, want: f64| assert!((is / want - 1.0).abs() < 1e-6, "{is} is not {want}");
    near(energy.watts, 10.140_909_090_9);
    near(energy.hours_a_night, 3.5);
    assert_eq!(energy.nights, 35);
    near(energy.kwh, 1.242_261_363_636);
    near(energy.cost.unwrap(), 0.385_101_022_727);
}

/// Every finding and unknown on a yard with much wrong, in the words of a site elsewhere.
#[test]
fn no_word_of_the_other_side_of_the_ocean_leaks() {
    let wrong: Vec<Change> = HEAVY
        .iter()
        .copied()
        .chain([
            ("site.csv", "Yard,us,", "Yard,elsewhere,"),
            ("outlet.csv", "code,circuit\nO,C\n", "code,circuit,residual_group,trip_ma\nO,C,G-1,1\n"),
            ("link.csv", "14 AWG,3000", "1.5 mm2,60000"),
            ("circuit.csv", "15000,120000", "10000,230000"),
        ])
        .collect();
    let (_folder, app) = small(&wrong);
    let all = checked(&app);
    assert!(all.findings.iter().any(|f| f.what.contains("RCD")), "{:?}", all.findings);
    let texts = all
        .findings
        .iter()
        .flat_map(|f| [&*f.what, &*f.value, &*f.limit, &*f.remedy])
        .chain(all.not_told.iter().map(String::as_str));
    for text in texts {
        for word in ["GFCI", "breaker", "cord", "ground", "AWG "] {
            assert!(!text.contains(word), "{word} in {text:?}");
        }
    }
}

/// Guide, takedown, the box's own step and its cautions, at a site of each kind.
#[test]
fn guide_and_steps_take_the_words_of_the_site() {
    let season = ("season.csv", "lights_off\n", "lights_off,down_from\n");
    let box_out: [Change; 2] = [
        ("placement.csv", "code,name,season,product\n", "code,name,season,product,method\n"),
        (
            "placement.csv",
            "P-1,Eaves string,glow,STRING\n",
            "P-1,Eaves string,glow,STRING,\nPB,Main box,glow,BOX,box\n",
        ),
    ];
    for (terms, theirs, others) in [
        ("us", ["breaker", "cord"], ["MCB", " lead out of"]),
        ("elsewhere", ["MCB", "lead"], ["breaker", "cord"]),
    ] {
        let site = if terms == "us" { "Yard,us," } else { "Yard,elsewhere," };
        let (_folder, mut app) = small(&[
            ("site.csv", "Yard,us,", site),
            season,
            ("season.csv", "12-31\n", "12-31,\n"),
            box_out[0],
            box_out[1],
        ]);
        for (n, symptom) in ["supply_dead", "outlet_trips"].into_iter().enumerate() {
            let new = NewFault {
                target: "P-1".to_owned(),
                symptom: symptom.to_owned(),
                at: None,
                tonight: Tonight::Nothing,
                note: String::new(),
            };
            app.perform(&Ask::LogFault(new)).unwrap_or_else(|e| panic!("{n}: {e}"));
        }
        let mut text = String::new();
        for fault in &app.yard().faults {
            for step in ladderday::answers::faults::fault_detail(&app.outlook(), fault.id, &[]).unwrap().guide
            {
                text.extend([step.what.clone(), "\n".to_owned(), format!("{:?}\n", step.results)]);
            }
        }
        for phase in [Phase::Up, Phase::Down] {
            text += &app.plan_answer(phase, 1, Form::Json).unwrap();
        }
        let has = |word: &str| text.split(|c: char| !c.is_alphanumeric()).any(|w| w == word);
        for word in theirs {
            assert!(has(word), "{terms}: no {word}");
        }
        for word in others {
            assert!(!has(word), "{terms}: {word} at {:?}", text.lines().find(|l| l.contains(word)));
        }
    }
}
