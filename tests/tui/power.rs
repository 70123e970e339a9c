//! Power's trials and numbers, and the meter in Walk: keys in, asks and pictures out.

use ladderday::answers::view::{NumberRow, ReadingLine, Tried, TriedChange};
use ladderday::app::Ask;
use ladderday::domain::Numbering;
use ladderday::tui::screens::power::Part;

use super::fake::Fill;
use super::stage::{Stage, lines};

fn at_both_sizes(stage: &mut Stage, texts: &[&str]) {
    for (wide, high) in [(80, 24), (120, 40)] {
        let picture = lines(&stage.buffer(wide, high));
        for text in texts {
            assert!(picture.contains(text), "{text} is not in {wide}x{high}\n{picture}");
        }
    }
}

#[test]
fn a_trial_is_asked_for_in_a_few_keys_and_shown_before_and_after() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("6 w 1").text("60").keys("enter");
    assert_eq!(stage.state.power.what_if.level.map(ladderday::units::Percent::get), Some(60));
    assert_eq!(stage.state.power.part, Part::Tried);
    let change = |name: &str, before: &str, after: &str, limit: &str| TriedChange {
        name: name.into(),
        before: before.into(),
        after: after.into(),
        limit: limit.into(),
    };
    stage.state.power.page.as_mut().unwrap().tried = Some(Tried {
        what: "level 60 %".into(),
        strings: vec![change("Arch 2 (P-2)", "4.61 V", "4.42 V", "")],
        supplies: vec![change("SUP-01", "20.0 A", "30.0 A", "56.0 A")],
        ..Tried::default()
    });
    at_both_sizes(
        &mut stage,
        &["WHAT IF level 60 %", "Arch 2 (P-2)", "4.61 V", "4.42 V", "30.0 A of 56.0 A"],
    );
    stage.keys("w 4");
    assert!(stage.state.power.what_if.is_empty());
    assert!(stage.host.asked.is_empty(), "a trial is no deed");
    stage.keys("w 1").text("600").keys("enter").shows("is nothing to try");
}

#[test]
fn numbers_are_seen_before_they_are_written() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("6 k");
    assert!(stage.status().contains("there is nothing to number"), "{}", stage.status());
    stage.keys("n 3");
    assert_eq!(stage.state.power.numbering, Some(Numbering::Fresh));
    let page = stage.state.power.page.as_mut().unwrap();
    page.numbering = Some(Numbering::Fresh);
    page.numbers = vec![NumberRow {
        lead: "L-9".into(),
        name: "Arch 2 (P-2)".into(),
        first: "universe 6 slot 1".into(),
        last: "universe 7 slot 96".into(),
        groups: "239.255.0.6 to 239.255.0.7".into(),
        proposed: true,
    }];
    at_both_sizes(
        &mut stage,
        &["each prop starts fresh", "6/1 to 7/96", "239.255.0.6 to 239.255.0.7", "proposed"],
    );
    stage.state.power.part = Part::Tree;
    stage.keys("k");
    assert!(stage.host.asked.is_empty(), "the first k shows, the second writes");
    stage.keys("k");
    assert_eq!(stage.host.asked, [Ask::WriteNumbers { way: Some(Numbering::Fresh) }]);
}

#[test]
fn readings_follow_each_other_with_a_number_and_enter() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("2 esc m");
    assert!(stage.status().contains("load part of the rehearsal"), "{}", stage.status());
    let line = |target: &str| ReadingLine {
        target: target.into(),
        at: "in BOX-1".into(),
        expected: "21.8 A".into(),
        of: "rated 70 A".into(),
        read: None,
        fault: None,
    };
    let at = stage.state.walk.at;
    let mut steps = stage.state.walk.page.as_mut().unwrap().places.iter_mut().flat_map(|p| &mut p.steps);
    steps.nth(at).unwrap().readings = vec![line("SUP-01"), line("SUP-02"), line("SUP-03")];
    at_both_sizes(&mut stage, &["0 of 3 currents read", "SUP-01 in BOX-1", "21.8 A", "not read"]);
    stage.keys("m").shows("SUP-01 in BOX-1: 21.8 A expected");
    stage.text("lots").keys("enter").shows("amperes are taken");
    stage.keys("ctrl-u").text("21.5").keys("enter").shows("SUP-02 in BOX-1: 21.8 A expected");
    let want = vec![("SUP-01".to_owned(), "21.5".to_owned())];
    let asked = stage.host.asked.last().unwrap();
    assert!(matches!(asked, Ask::ReadMeter { readings, done: false, .. } if *readings == want), "{asked:?}");
}

#[test]
fn the_tree_says_load_lowest_pixel_and_limit_of_a_prop_at_both_sizes() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("6 tab");
    at_both_sizes(
        &mut stage,
        &["Circuit to prop", "cone tree strand 1", " 4.28  4.30 \u{2717}", "\u{2717} over"],
    );
    // Enter at a prop of which nothing was found leads to the voltage along it.
    let page = stage.state.power.page.as_mut().unwrap();
    let at = page.nodes.iter().position(|n| n.kind == "prop").unwrap();
    page.findings.clear();
    page.strings[0].code.clone_from(&page.nodes[at].code);
    stage.state.power.at = at;
    stage.keys("enter");
    assert_eq!((stage.state.power.part, stage.state.power.at), (Part::Voltage, 0));
}
