//! Today and Kit.

use super::*;
use ladderday::answers::told::{FormField, FormPage};

pub(super) fn today(fill: Fill) -> Today {
    let alarm = |level, what: &str, remedy: &str, screen| Alarm {
        level,
        what: what.into(),
        remedy: remedy.into(),
        screen,
        aim: Aim::First,
    };
    let mut alarms = vec![
        alarm(
            Level::Stop,
            "lead L-032 carries a 12 V tag into a 5 V string",
            "swap the lead or its tag",
            ScreenId::Power,
        ),
        alarm(
            Level::Mend,
            "mast box over its continuous rating at full white",
            "lower the level or add a supply",
            ScreenId::Power,
        ),
        alarm(Level::Mend, "three leads short of what the plan needs", "order by Mon 21 Sep", ScreenId::Buy),
        alarm(
            Level::Note,
            "new post outlet waits for the electrician",
            "session of Wed 23 Sep",
            ScreenId::Plan,
        ),
    ];
    if fill == Fill::Overfull {
        for n in 0..60 {
            let what = format!(
                "alarm {n} with a text that is much longer than the column it has to go into, whatever happens"
            );
            alarms.push(alarm(
                Level::Mend,
                &what,
                "a remedy that is just as long and also does not fit",
                ScreenId::Plan,
            ));
        }
    }
    Today {
        last_show: None,
        phase: "up",
        lit_until: None,
        no_session: None,
        days_to_lights_on: Some(if fill == Fill::Overfull { 36_500 } else { 41 }),
        lights_on: Some("Fri 27 Nov 2026 17:00".into()),
        rehearsal: Some("Sun 22 Nov 2026 14:00".into()),
        finish: Some("Sat 14 Nov 15:40".into()),
        odds_pct: Some(93),
        steps_done: 120,
        steps_total: 402,
        work_left_min: 3_915,
        sessions_left_min: Some(5_430),
        sessions_left: 14,
        next: None,
        session_runs: false,
        next_session: Some("Sat 17 Oct 09:00 to 16:30, three people".into()),
        ready: vec![
            ReadyPlace {
                place: "path left".into(),
                steps: 3,
                minutes: 50,
                key: "boats/mark".into(),
                first: "mark spots".into(),
            },
            ReadyPlace {
                place: "front eaves".into(),
                steps: 2,
                minutes: 44,
                key: "boats/mark".into(),
                first: "light on the ground".into(),
            },
            ReadyPlace {
                place: "bench".into(),
                steps: 5,
                minutes: 110,
                key: "boats/mark".into(),
                first: "test set of six arches".into(),
            },
        ],
        held: vec![
            HeldRow {
                title: "bond washer, gull spinner 3".into(),
                why: "too cold: 6 °C forecast, needs 10 °C".into(),
            },
            HeldRow { title: "raise the mast".into(), why: "three people needed, two come".into() },
        ],
        alarms,
        not_told: words(&["wire length of 31 leads: drop not checked", "shelf of 4 totes"]),
        assumed: words(&["60 mA a pixel for 14 products (common for 5 V pixels)"]),
    }
}

pub(super) fn kit_detail(row: &KitRow) -> KitDetail {
    KitDetail {
        lines: vec![
            ("kind".into(), row.sort.clone()),
            ("home".into(), row.home.clone()),
            ("pixels".into(), "100 at 5 V, 60 mA each".into()),
            ("ends".into(), "in: 3-pin male, out: 3-pin female".into()),
            ("history".into(), "2024 bought; 2025 dark from pixel 37 on, mended".into()),
        ],
    }
}

/// The form of a piece, or of a new one.
pub(super) fn form(row: Option<&KitRow>) -> FormPage {
    let field = |column: &'static str, text: &str, takes: &str, choices: &[&str]| FormField {
        column,
        header: column,
        label: column.trim_end_matches("_mm").into(),
        about: "",
        text: text.into(),
        takes: takes.into(),
        must: column == "name",
        choices: choices.iter().map(|c| ((*c).to_owned(), String::new())).collect(),
    };
    let told = |text: &str| if row.is_some() { text.to_owned() } else { String::new() };
    FormPage {
        kind: "piece",
        id: row.map(|r| r.id.to_string()),
        title: row.map_or_else(|| "A new piece".into(), |r| format!("{}  {}", r.code, r.name)),
        fields: vec![
            field("name", row.map_or("", |r| &r.name), "a text", &[]),
            field("length_mm", &told("7'6\""), "a length like 7'6\", 2.3 m", &[]),
            field("condition", &told("good"), "one of good, faulty", &["good", "faulty"]),
            field("note", "", "a text", &[]),
        ],
    }
}

pub(super) fn kit(fill: Fill) -> Kit {
    let row = |n: usize, kind, code: &str, name: &str, sort: &str, home: &str, state: &str| KitRow {
        kind,
        id: id(n),
        code: code.into(),
        name: name.into(),
        sort: sort.into(),
        home: home.into(),
        state: state.into(),
    };
    let mut rows = vec![
        row(0, KitKind::Piece, "P-031", "bridge arch 2", "arch", "tote T-11", "faulty"),
        row(1, KitKind::Piece, "P-032", "bridge arch 3", "arch", "tote T-11", "good"),
        row(2, KitKind::Piece, "P-050", "roof star 1", "star", "tote T-02", "good"),
        row(3, KitKind::Piece, "P-071", "icicle curtain 4", "curtain", "tote T-03", "lost"),
        row(4, KitKind::Stock, "S-004", "ties, UV, 200 mm", "ties", "drawer 4", "140 on hand"),
        row(5, KitKind::Place, "eaves", "front eaves", "extension ladder", "house", ""),
        row(6, KitKind::Container, "T-03", "tote, long", "tote", "shelf 1, garage", ""),
        row(7, KitKind::Person, "ansel", "Ansel", "roof, soldering", "", ""),
    ];
    let more = if fill == Fill::Overfull { 3_000 } else { 20 };
    for n in 0..more {
        rows.push(row(
            100 + n,
            KitKind::Piece,
            &format!("P-{:03}", 100 + n),
            &format!("cone mini {n}"),
            "mini tree",
            "tote T-09",
            "good",
        ));
    }
    Kit { rows }
}
