//! What if: changes tried without touching facts.

use ladderday::answers::power::WhatIf;
use ladderday::app::Form;

use super::yards::{BOTH, small};

fn tried(changes: &[&str]) -> WhatIf {
    changes.iter().fold(WhatIf::default(), |w, c| w.with(c).unwrap())
}

/// Half the current drops half: pixel 10 stands at 5 - 0.354 / 2 = 4.823 V instead of 4.646 V.
#[test]
fn level_gauge_and_feed_show_before_and_after() {
    let (_folder, mut app) = small(&[]);
    let before = app.yard().clone();
    let half = ladderday::answers::power::try_power(&app.outlook(), &tried(&["level 50"])).unwrap();
    let volts = |c: &ladderday::answers::view::TriedChange| (c.shown(&c.before), c.shown(&c.after));
    assert_eq!(volts(&half.strings[0]), ("4.65 V".to_owned(), "4.82 V".to_owned()));
    assert_eq!(volts(&half.supplies[0]), ("1.0 A of 16.0 A".to_owned(), "0.5 A of 16.0 A".to_owned()));
    // 10 AWG has 3.28 mΩ/m: the lead drops 0.066 V instead of 0.166 V.
    let thick = ladderday::answers::power::try_power(&app.outlook(), &tried(&["gauge D 10 AWG"])).unwrap();
    assert_eq!(thick.strings[0].after, "4.75 V");
    let fed = ladderday::answers::power::try_power(&app.outlook(), &tried(&["feed P-1 10"])).unwrap();
    let low: f64 = fed.strings[0].after.trim_end_matches(" V").parse().unwrap();
    assert!(low > 4.80, "{low}");
    let (_, text) = app.check_answer(&BOTH, &tried(&["level 50"]), None, Form::Text).unwrap();
    assert!(text.starts_with("what if level 50 %; no fact is changed"), "{text}");
    assert_eq!(&before, app.yard());
}

#[test]
fn findings_that_come_and_go_are_told() {
    // 6 W at 5 V are 1.2 A, 0.96 A of it without end: half of 1 A is less, all of it more.
    let (_folder, app) =
        small(&[("product.csv", ",5000,100000", ",5000,6000"), ("site.csv", "us,100,", "us,50,")]);
    let full = ladderday::answers::power::try_power(&app.outlook(), &tried(&["level 100"])).unwrap();
    let codes =
        |list: &[ladderday::answers::view::Finding]| list.iter().map(|f| f.code.clone()).collect::<Vec<_>>();
    assert_eq!(codes(&full.come), ["supply_over"]);
    assert_eq!(codes(&full.gone), ["supply_over_at_white"]);
    assert!(
        ladderday::answers::power::try_power(&app.outlook(), &tried(&["level 50"]))
            .unwrap()
            .strings
            .is_empty()
    );
}

#[test]
fn what_is_not_there_is_refused_by_name() {
    let (_folder, app) = small(&[]);
    for (change, code) in [
        ("gauge X-9 10 AWG", "no-lead"),
        ("feed P-9 1", "no-prop"),
        ("feed P-1 11", "pixel-beyond"),
        ("feed P-2 1", "no-feed"),
    ] {
        assert_eq!(
            ladderday::answers::power::try_power(&app.outlook(), &tried(&[change])).unwrap_err().code,
            code,
            "{change}"
        );
    }
    for text in ["", "level", "level 0", "level 101", "gauge D", "gauge D thick", "feed P-1 0", "wind 3"] {
        assert_eq!(WhatIf::default().with(text).unwrap_err().code, "bad-what-if", "{text}");
    }
}
