//! A host with a made-up yard, for tests of the screens without facts, plans or files.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use ladderday::answers::view::{
    Aim, Alarm, Basket, BasketLine, Building, Buy, ConnectLine, FaultDetail, FaultRow, Faults, FetchLine,
    Finding, Frame, GuideStep, HeldRow, Kit, KitDetail, KitKind, KitRow, Level, NeedRow, OrderRow, Plan,
    PlanGoal, PlanSession, PlanStep, Power, PowerNode, ReadyPlace, RecordBar, ScreenId, SeasonRow, Seasons,
    StepState, StringVoltage, Symptom, Today, ToteRow, Totes, UnplacedRow, Walk, WalkPlace, WalkStep,
    WorkKind, YardMap, YardPlace,
};
use ladderday::app::PageWant;
use ladderday::app::{Ask, Detail, DetailOf, Page, Problem, ProblemKind};
use ladderday::domain::TickKind;
use ladderday::tui::{Background, Host};
use ladderday::units::Money;
use uuid::Uuid;

mod desk;
mod host;
mod plan;
mod walk;

pub(super) use host::{Fake, Fill};

fn words(list: &[&str]) -> Vec<String> {
    list.iter().map(|w| (*w).to_owned()).collect()
}

fn id(n: usize) -> Uuid {
    Uuid::from_u128(n as u128 + 1)
}

fn fault_detail(row: &FaultRow) -> FaultDetail {
    let guide = [
        ("first_dark", "The first dark pixel or the one before it: move the plug one pixel on."),
        ("dry", "Look for water and green copper at the cut."),
    ];
    let guide = guide.map(|(code, what)| GuideStep {
        code: code.into(),
        what: what.into(),
        results: vec![
            ["lights", "It lights", "that pixel had failed"].map(str::to_owned),
            ["same", "Nothing changes", "it is the one before"].map(str::to_owned),
        ],
        answer: None,
    });
    FaultDetail {
        found: "Sun 14 Dec 2025 21:05".into(),
        entries: words(&[
            "14 Dec 2025 patched: bridged over pixel 37",
            "20 Feb 2026 looked: water in the sleeve",
        ]),
        cautions: words(&["Supply off before anything is unplugged."]),
        guide: if row.ended { Vec::new() } else { guide.into() },
        spares: if row.code == "F-031" { words(&["P-077", "P-078"]) } else { Vec::new() },
        photos: Vec::new(),
    }
}

fn faults(fill: Fill) -> Faults {
    let row = |n: usize, target: &str, symptom: &str, state: &'static str, bench: bool| FaultRow {
        place: "Drive edge".to_owned(),
        id: id(n),
        code: format!("F-{n:03}"),
        target: target.into(),
        symptom: symptom.into(),
        state,
        ended: matches!(state, "ended" | "scrapped"),
        bench,
        hangs: false,
        needed_by: (bench && n > 31).then(|| NaiveDate::from_ymd_opt(2026, 11, 7).unwrap()),
        next: if bench {
            "mend on the bench: cut out pixel 36 and 37".into()
        } else {
            "look at the plug first".into()
        },
    };
    let mut rows = vec![
        row(31, "bridge arch 2 (P-031)", "dark from pixel 37 on", "patched", true),
        row(32, "bridge arch 5 (P-034)", "one pixel out", "waiting for a part", true),
        row(33, "tide board panel 2 (P-019)", "wrong colours", "open", false),
        row(34, "porch outlet", "outlet trips when wet", "off", false),
        row(35, "roof star 3 (P-052)", "first pixel flickers", "mended, to be tested", true),
        row(12, "icicle curtain 4 (P-071)", "missing", "scrapped", false),
        row(11, "mast supply 2 (P-090)", "supply dead", "ended", false),
    ];
    if fill == Fill::Overfull {
        for n in 100..400 {
            rows.push(row(
                n,
                "a target with a name that is much too long for its column (P-999)",
                "dark from pixel 12 on",
                "open",
                n % 2 == 0,
            ));
        }
    }
    let symptom = |code, text, asks_pixel| Symptom { code, text, asks_pixel };
    Faults {
        rows,
        symptoms: vec![
            symptom("dark_from", "dark from pixel N on", true),
            symptom("one_out", "one pixel out", true),
            symptom("flicker_first", "first pixel flickers", false),
            symptom("colours", "wrong colours", false),
            symptom("brown_end", "brown or reddish far end", false),
            symptom("whole_dark", "whole prop dark", false),
            symptom("fuse", "port fuse blown", false),
            symptom("trips", "outlet trips when wet", false),
            symptom("loose", "mount loose", false),
            symptom("water", "water inside", false),
            symptom("lead", "broken lead", false),
            symptom("missing", "missing", false),
        ],
        targets: vec![
            ("P-031".into(), "bridge arch 2".into()),
            ("P-032".into(), "bridge arch 3".into()),
            ("P-050".into(), "roof star 1".into()),
            ("boat-cut-outs".into(), "boat cut-outs".into()),
        ],
        pieces: [(
            "boat-cut-outs".to_owned(),
            vec![("P-061".into(), "boat 1".into()), ("P-062".into(), "boat 2".into())],
        )]
        .into(),
    }
}

fn day(text: &str) -> Option<chrono::NaiveDate> {
    text.parse().ok()
}

fn buy(fill: Fill) -> Buy {
    let need =
        |title: &str, quantity, order_by: Option<&str>, vendor: Option<&str>, reasons: &[&str]| NeedRow {
            late: false,
            price: vendor.map(|_| Money::from_cents(1_250)),
            title: title.into(),
            quantity,
            need_by: day("2026-10-12"),
            order_by: order_by.and_then(day),
            vendor: vendor.map(str::to_owned),
            reasons: words(reasons),
        };
    let mut needs = vec![
        need(
            "strip 60/m, coated, 5 m",
            3,
            Some("2026-08-03"),
            Some("Harbor Parts"),
            &["scrapped: bridge arch 2", "one spare"],
        ),
        need("lead 12 ft, 3-pin", 3, Some("2026-09-21"), Some("Quay Wire"), &["plan needs 31, 28 usable"]),
        need("ties, UV, 200 mm", 400, Some("2026-09-28"), Some("Quay Wire"), &["last year's use: 380"]),
        need("foot for boat cut-outs", 8, None, None, &["note: stiffer feet for the boat cut-outs"]),
    ];
    if fill == Fill::Overfull {
        for n in 0..100 {
            needs.push(need(
                &format!("a thing with a very long name that will not fit, number {n}"),
                9_999_999,
                None,
                None,
                &["a reason that does not fit either, however wide"],
            ));
        }
    }
    Buy {
        needs,
        baskets: vec![
            Basket {
                vendor: "Harbor Parts".into(),
                order_by: day("2026-08-03"),
                late: false,
                lines: vec![BasketLine {
                    priced_on: day("2025-11-29"),
                    priced: "priced 29 Nov 2025".into(),
                    item: "strip 60/m, coated, 5 m".into(),
                    packs: 3,
                    pack: 1,
                    price: Money::from_cents(2140),
                }],
                goods: Money::from_cents(6420),
                shipping: Money::from_cents(1800),
                total: Money::from_cents(8220),
            },
            Basket {
                vendor: "Quay Wire".into(),
                order_by: day("2026-09-21"),
                late: true,
                lines: vec![
                    BasketLine {
                        priced_on: day("2025-11-29"),
                        priced: "priced 29 Nov 2025".into(),
                        item: "lead 12 ft, 3-pin".into(),
                        packs: 1,
                        pack: 5,
                        price: Money::from_cents(1990),
                    },
                    BasketLine {
                        priced_on: day("2025-11-29"),
                        priced: "priced 29 Nov 2025".into(),
                        item: "ties, UV, 200 mm".into(),
                        packs: 4,
                        pack: 100,
                        price: Money::from_cents(610),
                    },
                ],
                goods: Money::from_cents(4430),
                shipping: Money::from_cents(650),
                total: Money::from_cents(5080),
            },
        ],
        total: Some(Money::from_cents(13_300)),
        currency: "USD".into(),
        proven: true,
        unmet: words(&["foot for boat cut-outs: no offer told; build them, or tell an offer"]),
        orders: vec![OrderRow {
            code: "O-2026-02".into(),
            vendor: "Harbor Parts".into(),
            ordered: "2 Jun 2026".into(),
            expected: "20 Jul 2026".into(),
            state: "arrived".into(),
        }],
        calendar: words(&[
            "Mon 3 Aug: order at Harbor Parts, $82.20",
            "Mon 21 Sep: order at Quay Wire, $50.80 (late)",
        ]),
        vendors: vec![("HARBOR".into(), "Harbor Parts".into()), ("QUAY".into(), "Quay Wire".into())],
        ..Buy::default()
    }
}

fn power(fill: Fill) -> Power {
    let node = |depth, kind, code: &str, name: &str, load: &str, share| PowerNode {
        lead: None,
        depth,
        code: code.into(),
        name: name.into(),
        kind,
        load: load.into(),
        share,
        lowest_mv: (kind == "prop").then_some(4_280),
        limit_mv: (kind == "prop").then_some(4_300),
    };
    let mut nodes = vec![
        node(0, "circuit", "C-1", "garage, 15 A", "6.2 A of 12 A", Some(517)),
        node(1, "outlet", "G-1", "garage GFCI", "6.2 A of 12 A", Some(517)),
        node(2, "box", "B-MAST", "mast box", "5.1 A", None),
        node(3, "supply", "PS-7", "350 W, 5 V", "62 A of 56 A", Some(1_107)),
        node(4, "port", "B-MAST/1", "port 1", "3.6 A of 4 A", Some(900)),
        node(5, "prop", "P-001", "cone tree strand 1", "3.6 A", None),
        node(3, "supply", "PS-8", "350 W, 5 V", "40 A of 56 A", Some(714)),
        node(0, "circuit", "C-2", "porch, 15 A", "2.9 A of 12 A", Some(242)),
        node(1, "box", "B-PORCH", "porch box", "2.9 A", None),
    ];
    if fill == Fill::Overfull {
        nodes.extend((0..300).map(|n| {
            node(n, "port", "B-DEEP/999", "a very deep port with a very long name", "3.6 A of 4 A", Some(900))
        }));
    }
    let drop = |feed: usize| (0..100).map(|n: i64| 5_000 - (n.min(feed as i64 - n % 2).max(0)) * 9).collect();
    Power {
        nodes,
        findings: vec![
            Finding {
                level: Level::Stop,
                code: "voltage_mixed".into(),
                place: "B-PORCH port 6".into(),
                what: "lead L-032 carries a 12 V tag into a 5 V string".into(),
                value: "12 V".into(),
                limit: "5 V".into(),
                remedy: "swap the lead or correct its tag".into(),
                caution: Some("Power off before the lead is unplugged.".into()),
                from: Vec::new(),
                formula: None,
            },
            Finding {
                level: Level::Mend,
                code: "supply_over".into(),
                place: "PS-7".into(),
                what: "supply over its continuous rating at full white".into(),
                value: "62 A".into(),
                limit: "56 A".into(),
                remedy: "keep the level at 40 % or below, or add a supply".into(),
                caution: None,
                from: Vec::new(),
                formula: None,
            },
        ],
        not_told: words(&["wire length of 31 leads: drop not checked"]),
        strings: vec![
            StringVoltage {
                name: "bridge arch 2".into(),
                code: "bridge arch 2".into(),
                millivolts: drop(100),
                limit_mv: Some(4_300),
                feeds: vec![0],
            },
            StringVoltage {
                name: "tide board row 1".into(),
                code: "tide board row 1".into(),
                millivolts: drop(40),
                limit_mv: Some(4_300),
                feeds: vec![0, 60],
            },
            StringVoltage {
                name: "roofline".into(),
                code: "roofline".into(),
                millivolts: Vec::new(),
                limit_mv: None,
                feeds: Vec::new(),
            },
        ],
        level: "level 40 %, set in software only".into(),
        ..Power::default()
    }
}

fn totes(fill: Fill) -> Totes {
    let row = |n: usize, name: &str, more: usize| ToteRow {
        due: None,
        down: 0,
        code: format!("T-{n:02}"),
        name: name.into(),
        kind: "tote".into(),
        stands: format!("shelf {}, garage", n % 4 + 1),
        is_in: 1,
        of: 3 + more,
        goes_to: "bridge arches Drive edge".into(),
        contents: [
            ("P-031", "bridge arch 2", "on the bench"),
            ("P-032", "bridge arch 3", "in"),
            ("P-071", "icicle curtain 4", "lost"),
        ]
        .iter()
        .cycle()
        .take(3 + more)
        .map(|(c, n, s)| ((*c).to_owned(), (*n).to_owned(), (*s).to_owned()))
        .collect(),
        notes: words(&["pack dry, plugs up"]),
    };
    let many = if fill == Fill::Overfull { 200 } else { 9 };
    let mut rows: Vec<ToteRow> = (1..=many)
        .map(|n| row(n, "arches, long side", if fill == Fill::Overfull { 90 } else { 0 }))
        .collect();
    rows.push(row(many + 1, "icicles", 0));
    let findings = words(&["one label twice: P-032 is on piece and piece; give one of them another code"]);
    Totes {
        rows,
        homeless: words(&["P-090 mast supply 2", "P-101 cone mini 1"]),
        findings,
        ..Totes::default()
    }
}

fn seasons(fill: Fill) -> Seasons {
    let row = |code: &str, name: &str, lit: &str, taken, state: &str| SeasonRow {
        code: code.into(),
        name: name.into(),
        lit: lit.into(),
        open: if state == "closed" {
            Vec::new()
        } else {
            words(&["12 steps of takedown are open: plan down"])
        },
        placements: 58,
        steps_done: 391,
        planned_min: 4_020,
        taken_min: taken,
        spent: (taken > 0).then(|| Money::from_cents(taken * 10)),
        currency: "$".into(),
        faults: 17,
        hours: Some("38 nights of 4 h 30, 171 h; begins before dusk on 3 of them".into()),
        state: state.into(),
        differences: if code == "tide-2026" { words(&["Porch: port 7 instead of 6"]) } else { Vec::new() },
    };
    let mut rows = vec![
        row("tide-2025", "Lantern Tide 2025", "10 to 31 Oct", 1_260, "closed"),
        row("harbor-2025", "Midwinter Harbor 2025", "28 Nov to 3 Jan", 4_420, "closed"),
        row("tide-2026", "Lantern Tide 2026", "10 to 31 Oct", 600, "lit"),
        row("harbor-2026", "Midwinter Harbor 2026", "27 Nov to 3 Jan", 0, "planned"),
    ];
    if fill == Fill::Overfull {
        rows.extend((0..100).map(|_| {
            row(
                "x",
                "A season with a name that is far too long to fit",
                "1 Jan to 31 Dec, all night",
                9_999_999,
                "closed",
            )
        }));
    }
    Seasons {
        dates: ladderday::answers::view::Dates::default(),
        rows,
        durations: vec![
            ("ground stake".into(), 320, 402, 24),
            ("roof strap".into(), 180, 171, 10),
            ("hang from hooks".into(), 240, 305, 12),
        ],
        findings: words(&[
            "Strips failed 0.31 times a piece and season, bullet pixels 0.02 (11 of 36 and 3 of 150): worth asking what next to buy.",
            "Batch B2 of the arches fails more than B1, but four faults are too few to be sure.",
        ]),
        bars: vec![RecordBar {
            by: "kind",
            name: "strip".into(),
            lower: 163,
            estimate: 306,
            upper: 481,
            text: "11 of 36".into(),
            drawn: Some(270),
            note: "nearer the usual share: 27 % (its own record weighs 90 %); 0.0123 (0.0061 to 0.0220) per 1000 pixel-hours"
                .into(),
        }],
    }
}
