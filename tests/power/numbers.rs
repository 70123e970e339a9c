//! The three ways of numbering: proposed, seen, written as one deed, and what is set stays.

use ladderday::answers::power::{CheckKind, WhatIf};
use ladderday::app::Ask;
use ladderday::app::Form;
use ladderday::domain::Numbering;

use super::yards::{checked, small};

/// Two strings of 10 pixels of 3 slots; the first is set to universe 1 slot 1 and ends at slot 30.
fn open() -> [(&'static str, &'static str, &'static str); 2] {
    [
        ("link.csv", ",,4000,,1,31\n", ",,4000,,,\n"),
        ("product.csv", "constant_current,10,100", "constant_current,171,1"),
    ]
}

/// 171 pixels of 3 slots are 513 slots: run on they end in the second universe's slot 1, unsplit in its slot 3.
#[test]
fn each_way_lays_its_own_numbers_and_they_stay_what_they_are() {
    for (way, first, last) in [
        (Numbering::RunOn, "universe 3 slot 1", "universe 4 slot 1"),
        (Numbering::NoSplit, "universe 3 slot 1", "universe 4 slot 3"),
        (Numbering::Fresh, "universe 3 slot 1", "universe 4 slot 3"),
    ] {
        let (_folder, mut app) = small(&open());
        let before = app.yard().clone();
        let (_, text) =
            app.check_answer(&[CheckKind::Signal], &WhatIf::default(), Some(way), Form::Text).unwrap();
        assert!(
            text.contains(&format!("{first} to {last}, group 239.255.0.3 to 239.255.0.4")),
            "{way:?}: {text}"
        );
        assert_eq!(&before, app.yard(), "a proposal writes nothing");
        app.perform(&Ask::WriteNumbers { way: Some(way) }).unwrap();
        assert_eq!(app.yard().seasons[0].numbering, Some(way));
        let row = checked(&app).numbers.into_iter().find(|n| n.lead == "N2").unwrap();
        assert_eq!((row.first.as_str(), row.last.as_str(), row.proposed), (first, last, false));
        app.perform(&Ask::Undo).unwrap();
        assert_eq!(&before, app.yard());
    }
}

/// Numbers laid to run on are no overlap once the season's way is another.
#[test]
fn a_lead_keeps_the_way_it_was_laid_in() {
    let split = [
        ("product.csv", "constant_current,10,100", "constant_current,171,1"),
        ("link.csv", "start_slot\n", "start_slot,pixel_split\n"),
        ("link.csv", ",1,1\n", ",1,1,yes\n"),
        ("link.csv", ",1,31\n", ",2,2,yes\n"),
    ];
    let overlaps =
        |app: &ladderday::app::App| checked(app).findings.iter().any(|f| f.code == "numbers_overlap");
    let (_folder, app) = small(&split);
    assert!(!overlaps(&app));
    let whole: Vec<_> = split.iter().map(|(f, a, b)| (*f, *a, b.replace(",yes", ",no"))).collect();
    let whole: Vec<_> = whole.iter().map(|(f, a, b)| (*f, *a, b.as_str())).collect();
    let (_folder, app) = small(&whole);
    assert!(overlaps(&app));
}
