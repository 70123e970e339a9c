//! Plan and Yard.

use super::*;

pub(super) fn plan(fill: Fill) -> Plan {
    let step =
        |key: &str, title: &str, prop: &str, from: i64, to: i64, who: &[&str], state, critical| PlanStep {
            key: key.into(),
            deed: ladderday::answers::short::short_deed(ladderday::domain::StepDeed::Other, title),
            kind: WorkKind::Mount,
            bar: prop.into(),
            title: title.into(),
            prop: prop.into(),
            place: "front eaves".into(),
            from_min: from,
            to_min: to,
            setup_min: 5,
            people: words(who),
            tools: words(&["extension ladder 7 m"]),
            state,
            critical,
            late: false,
            placement: Some(prop.replace(' ', "-")),
            why: words(&[
                "after 'light on the ground' of the same day",
                "needs daylight, and the ladder is free from 10:20",
                "two people are there from 09:00",
            ]),
        };
    let session = |n: usize, day: &str, from: i64, to: i64, steps: Vec<PlanStep>| PlanSession {
        code: format!("s-{n}"),
        day: day.into(),
        date: format!("2026-10-{}", day.split(' ').nth(1).unwrap_or("17")),
        from_min: from,
        to_min: to,
        people: words(&["Ansel", "Birgit", "Caspar"]),
        work_lights: n % 2 == 1,
        sunrise_min: Some(415),
        sunset_min: Some(1_075),
        dawn_min: Some(386),
        dusk_min: Some(1_104),
        forecast: (n == 0).then(|| "rain, gust 25 mph, low 31 °F".to_owned()),
        lost_pct: 20,
        summary: "up: boat cut-outs; extension ladder 7 m".into(),
        past: false,
        steps,
        used_min: 830,
        there_min: 1_350,
    };
    let both = ["Ansel", "Birgit"];
    let mut sessions = vec![
        session(
            0,
            "Sat 17 Oct",
            540,
            990,
            vec![
                step(
                    "boats/stakes",
                    "drive stakes",
                    "boat cut-outs",
                    560,
                    620,
                    &both,
                    StepState::Done,
                    false,
                ),
                step("icicles/hang", "hang", "icicle curtains", 622, 694, &both, StepState::Doing, true),
                step("porch/connect", "connect", "porch box", 700, 760, &["Ansel"], StepState::Open, true),
                step(
                    "wraps/wrap",
                    "wrap at pitch",
                    "post wraps",
                    640,
                    760,
                    &["Caspar"],
                    StepState::Open,
                    false,
                ),
                step(
                    "arches/lay",
                    "lay bases",
                    "bridge arches",
                    770,
                    900,
                    &["Birgit", "Caspar"],
                    StepState::Open,
                    false,
                ),
            ],
        ),
        session(
            1,
            "Tue 20 Oct",
            1_050,
            1_200,
            vec![step(
                "arches/connect",
                "connect",
                "drive box",
                1_060,
                1_120,
                &["Birgit"],
                StepState::Open,
                false,
            )],
        ),
        session(2, "Sat 24 Oct", 540, 990, Vec::new()),
    ];
    if fill == Fill::Overfull {
        for n in 3..60 {
            let steps = (0..12)
                .map(|s| {
                    step(
                        &format!("x/{n}/{s}"),
                        "a long title of a step",
                        "a prop",
                        540 + s * 30,
                        560 + s * 30,
                        &both,
                        StepState::Open,
                        s % 3 == 0,
                    )
                })
                .collect();
            sessions.push(session(n, "Sun 25 Oct", 540, 990, steps));
        }
    }
    let goal = |name: &str, value: &str, bound: &str| PlanGoal {
        name: name.into(),
        value: value.into(),
        bound: bound.into(),
    };
    Plan {
        ended: None,
        lit_until: None,
        ends_late: false,
        no_place: 0,
        next: None,
        begins: None,
        next_session: None,
        phase: "up".into(),
        lights_on: Some("Fri 27 Nov 2026 17:00".into()),
        rehearsal: Some("Sun 22 Nov 2026 14:00".into()),
        finish: Some("Sat 14 Nov 15:40".into()),
        goals: vec![
            goal("worth ready by the rehearsal", "148", "148"),
            goal("least set-up minutes", "410", "355"),
        ],
        proven: false,
        odds: Some("93 %".into()),
        finish_odds: Some("50 % by 12 Nov, 80 % by 14 Nov, 95 % by 20 Nov".into()),
        ladder_moves: 22,
        place_moves: 61,
        sessions,
        unplaced: vec![UnplacedRow {
            key: "gulls/bond".into(),
            title: "bond washer, gull spinner 3".into(),
            code: "too_cold".into(),
            why: "needs 10 °C for 24 hours; the warmest session left has 8 °C".into(),
            remedy: "do it in September, or indoors on the pane".into(),
        }],
        risks: words(&["wind on the day of the mast: one day in four is over the limit"]),
        not_told: words(&["forecast of 13 sessions"]),
        people: words(&["Ansel", "Birgit", "Caspar"]),
    }
}

pub(super) fn yard(fill: Fill) -> YardMap {
    let place = |n: usize, name: &str, x: i64, y: i64, done, total, ready, faults| YardPlace {
        first: n == 0,
        code: format!("Y{n:02}"),
        name: name.into(),
        x_mm: x * 1000,
        y_mm: y * 1000,
        on_map: true,
        next: Some("icicle curtains, 4: Hang".into()),
        next_key: (name == "front eaves").then(|| "icicles/lit".into()),
        access: "extension ladder",
        done,
        total,
        ready,
        faults,
        load_w: (!n.is_multiple_of(3)).then_some(40 * n as i64),
        placements: words(&["icicle curtains", "roofline"]),
    };
    let mut places = vec![
        place(1, "roof east", 14, 0, 0, 12, 0, 0),
        place(2, "gable", 4, 1, 6, 9, 1, 0),
        place(3, "front eaves", 9, 3, 4, 18, 2, 1),
        place(4, "porch", 9, 5, 10, 10, 0, 0),
        place(5, "garage", 0, 5, 2, 6, 1, 0),
        place(6, "hedge", 18, 6, 0, 9, 0, 0),
        place(7, "path left", 6, 8, 3, 12, 3, 0),
        place(8, "path right", 12, 8, 0, 10, 0, 0),
        place(9, "drive edge", 1, 10, 6, 24, 4, 3),
        place(10, "mast lawn", 15, 11, 1, 31, 1, 0),
        place(11, "front lawn left", 6, 12, 8, 14, 2, 1),
    ];
    if fill == Fill::Overfull {
        places.extend(
            (12..120).map(|n| place(n, "a place with a very long name that can't fit", 3, 3, n, n + 1, 1, n)),
        );
    }
    let buildings =
        vec![Building { name: "house".into(), x_mm: (4_000, 14_000), y_mm: (0, 3_000), drive: false }];
    YardMap {
        places,
        buildings,
        laid_out: fill == Fill::Overfull,
        next: Some(ladderday::answers::view::Next {
            key: "box/hang".into(),
            text: "Sat 7 Nov 2026 09:00: Main box, Hang the box".into(),
        }),
        soonest: None,
        no_place: None,
    }
}
