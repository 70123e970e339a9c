//! Supplies among each other: rings, joined outputs, cut rails, a minus that does not meet.

use ladderday::answers::view::{Level, ScreenId};
use ladderday::app::Page;

use super::yards::{checked, codes, small};

const TWO: [(&str, &str, &str); 2] = [
    ("piece.csv", "B-1,BOX,,10.1.1.5\n", "B-1,BOX,,10.1.1.5\nS-2,SUP,5200,\n"),
    (
        "link.csv",
        "10 AWG,100,,,\n",
        "10 AWG,100,,,\nF2,dc,glow,,S-2,,B-1,,B,,,10 AWG,100,,,\nD2,dc,glow,,B-1,B1,,P-1,in,6,,14 AWG,10000,5000,,\n",
    ),
];

fn with(
    more: &[(&'static str, &'static str, &'static str)],
) -> Vec<(&'static str, &'static str, &'static str)> {
    TWO.iter().chain(more).copied().collect()
}

/// Joined rails: the supply set 0.2 V higher takes load from the other. Cut before pixel 6, each feeds its five pixels.
#[test]
fn a_cut_rail_parts_the_zones() {
    let amps = |changes: &[(&str, &str, &str)]| {
        let (_folder, mut app) = small(changes);
        let Page::Power(page) = app.page(ScreenId::Power, &ladderday::app::PageWant::default()).unwrap()
        else {
            panic!("Power")
        };
        page.nodes.iter().filter(|n| n.kind == "supply").map(|n| n.load.clone()).collect::<Vec<_>>()
    };
    let cut = with(&[
        ("link.csv", "start_slot\n", "start_slot,plus_cut\n"),
        ("link.csv", "in,6,,14 AWG,10000,5000,,\n", "in,6,,14 AWG,10000,5000,,,yes\n"),
    ]);
    let parted = amps(&cut);
    assert!(parted.iter().all(|l| l.starts_with("0.5 A")), "{parted:?}");
    let joined = amps(&with(&[]));
    assert!(joined.iter().any(|l| !l.starts_with("0.5 A")), "{joined:?}");
}

#[test]
fn a_ring_joined_outputs_and_a_parted_minus_stop_and_name_what_it_is() {
    let ring = [
        (
            "link.csv",
            "10 AWG,100,,,\n",
            "10 AWG,100,,,\nR1,dc,glow,,S-1,,S-2,,,,,10 AWG,100,,,\nR2,dc,glow,,S-2,,S-1,,,,,10 AWG,100,,,\n",
        ),
        TWO[0],
    ];
    let joined =
        [TWO[0], ("link.csv", "10 AWG,100,,,\n", "10 AWG,100,,,\nF2,dc,glow,,S-2,,B-1,,A,,,10 AWG,100,,,\n")];
    let apart = with(&[
        ("link.csv", "start_slot\n", "start_slot,minus_joined\n"),
        (
            "link.csv",
            "F2,dc,glow,,S-2,,B-1,,B,,,10 AWG,100,,,\n",
            "F2,dc,glow,,S-2,,B-1,,B,,,10 AWG,100,,,,no\n",
        ),
    ]);
    for (changes, code, place) in [
        (ring.to_vec(), "supply_ring", "S-1, S-2"),
        (joined.to_vec(), "supplies_joined", "B-1 A"),
        (apart, "no_common_minus", "S-2"),
    ] {
        let (_folder, app) = small(&changes);
        let all = checked(&app);
        let hit = all.findings.iter().any(|f| f.level == Level::Stop && f.code == code && f.place == place);
        assert!(hit, "{code}: {:?}", all.findings);
    }
    // Not told limits nothing, and says so.
    let (_folder, app) = small(&with(&[]));
    let all = checked(&app);
    assert!(!codes(&all).contains(&"no_common_minus"));
    assert!(all.not_told.iter().any(|l| l.contains("negative of 2 supplies")), "{:?}", all.not_told);
}

/// Its way in and its way out are two things; what it takes of the first is not reckoned, and that is said.
#[test]
fn a_supply_that_lives_on_another_is_not_joined_to_it() {
    let second = |volts: &str| {
        let product = format!(
            "SUP,Supply,supply,,,,,,,,,5000,100000\nCV,Small supply,supply,{volts},,,,,,,,3300,10000\n"
        );
        let told = [
            ("product.csv", "SUP,Supply,supply,,,,,,,,,5000,100000\n", product.as_str()),
            ("piece.csv", "S-1,SUP,,\n", "S-1,SUP,,\nS-2,CV,,\n"),
            ("link.csv", "10 AWG,100,,,\n", "10 AWG,100,,,\nCV1,dc,glow,,S-1,,S-2,,,,,10 AWG,100,,,\n"),
        ];
        let (_folder, app) = small(&told);
        checked(&app)
    };
    let fed = second("5000");
    assert!(!codes(&fed).contains(&"supplies_joined"), "{:?}", fed.findings);
    assert!(fed.not_told.iter().any(|l| l.contains("(S-2 of S-1)")), "{:?}", fed.not_told);
    for joined in ["3300", "120000", ""] {
        assert!(codes(&second(joined)).contains(&"supplies_joined"), "{joined}");
    }
}

#[test]
fn a_port_whose_supply_is_absent_is_named() {
    let (_folder, app) = small(&[("link.csv", "F,dc,glow,,S-1,,B-1,,A,,,10 AWG,100,,,\n", "")]);
    let all = checked(&app);
    assert!(
        all.not_told.iter().any(|l| l.contains("supply or port not told for 1 (D)")),
        "{:?}",
        all.not_told
    );
    assert!(all.must_stop() || !codes(&all).contains(&"low_voltage"));
}
