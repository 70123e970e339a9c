//! The checklist of three sessions.

use super::*;

const SESSIONS: [&str; 3] =
    ["Sat 17 Oct 09:00 to 16:30", "Sun 18 Oct 10:00 to 15:00", "Tue 20 Oct 17:30 to 20:00"];

impl Fake {
    pub(super) fn walk(&self, session: Option<usize>) -> Walk {
        if self.fill == Fill::Empty {
            let hint = "Nothing is told yet, so there is nothing to walk. Import a line a prop: name, how many, where, how \
                        mounted.";
            return Walk { phase: "up".to_owned(), empty_hint: Some(hint.to_owned()), ..Walk::default() };
        }
        let at = session.unwrap_or(0);
        let mut places = if at == 0 { first_session() } else { later_session(at) };
        if self.fill == Fill::Overfull {
            for n in 0..40 {
                places.push(WalkPlace {
                    place: format!(
                        "a place with a name that is far too long to fit into any column, number {n}"
                    ),
                    steps: (0..5).map(|s| long_step(n, s)).collect(),
                });
            }
        }
        let mut done = 0;
        let mut total = 0;
        for step in places.iter_mut().flat_map(|p| p.steps.iter_mut()) {
            if let Some((state, count, why)) = self.states.get(&step.key) {
                step.state = *state;
                step.why = (!why.is_empty()).then(|| why.clone());
                if let (Some((n, _)), true) = (&mut step.count, *count > 0) {
                    *n = *count;
                }
            }
            total += 1;
            done += usize::from(step.state == StepState::Done);
        }
        Walk {
            phase: "up".to_owned(),
            session: SESSIONS.get(at).copied().unwrap_or("order without dates").to_owned(),
            places,
            fetch: if at == 0 { fetch() } else { Vec::new() },
            phase_done: 120 + done,
            phase_total: 394 + total,
            sessions: SESSIONS.iter().map(|s| (*s).to_owned()).collect(),
            session_at: at,
            since: Some("09:00".to_owned()),
            leads: (30..60).map(|n| (format!("L-{n:03}"), "12 ft, extension".to_owned())).collect(),
            all_places: ["path-left", "eaves", "porch"].map(|p| (p.to_owned(), p.replace('-', " "))).into(),
            empty_hint: None,
            pauses: self.pauses.clone(),
        }
    }
}

fn step(key: &str, title: &str, prop: &str, place: &str, minutes: i64, from: &str) -> WalkStep {
    WalkStep {
        unlabelled: None,
        labels: Vec::new(),
        comes_home: false,
        counts: true,
        key: key.to_owned(),
        deed: ladderday::answers::short::short_deed(ladderday::domain::StepDeed::Other, title),
        title: title.to_owned(),
        prop: prop.to_owned(),
        placement: Some(prop.split(',').next().unwrap_or(prop).replace(' ', "-")),
        place: place.to_owned(),
        state: StepState::Open,
        count: None,
        minutes,
        from: Some(from.to_owned()),
        people: words(&["Ansel", "Birgit"]),
        tools: Vec::new(),
        light: "day",
        cautions: Vec::new(),
        connects: Vec::new(),
        question: None,
        home: None,
        why: None,
        waits: Vec::new(),
        ready: true,
        after: Vec::new(),
        early: None,
        critical: false,
        timer: None,
        wind: None,
        notes: Vec::new(),
        readings: Vec::new(),
    }
}

fn first_session() -> Vec<WalkPlace> {
    let left = "path left";
    let mut drive = step("boats/stakes", "drive stakes", "boat cut-outs, 8", left, 24, "09:20");
    drive.count = Some((0, 8));
    drive.light = "twilight";
    drive.tools = words(&["club hammer", "stake cap"]);
    drive.cautions = words(&[
        "Buried lines must be marked and the marks still valid before any stake goes in.",
        "Eye protection: stake heads splinter.",
    ]);
    drive.waits = words(&["after 'mark spots'"]);
    drive.critical = true;
    let mut sleeve = step("boats/sleeve", "sleeve over and tie", "boat cut-outs, 8", left, 16, "09:44");
    sleeve.count = Some((0, 8));
    sleeve.home = Some("tote T-07, shelf 2".to_owned());
    sleeve.notes = words(&["first stake 1.20 m from the gate post, then every 0.90 m"]);
    let eaves = "front eaves";
    let mut lit = step("icicles/lit", "light on the ground", "icicle curtains, 4", eaves, 12, "10:10");
    lit.light = "lamp";
    lit.home = Some("tote T-03, shelf 1".to_owned());
    let mut hang = step("icicles/hang", "hang", "icicle curtains, 4", eaves, 32, "10:22");
    hang.tools = words(&["extension ladder 7 m"]);
    hang.cautions = words(&[
        "Ladder: firm footing, one out for every four up, tied or held by a second person.",
        "Keep the ladder and everything you carry well clear of the service drop.",
        "Nobody stands below while something is carried up.",
    ]);
    hang.critical = true;
    let mut connect = step("porch/connect", "connect", "porch box: 4 leads", eaves, 20, "10:54");
    connect.light = "lamp";
    connect.question =
        Some("Supply off? Voltage on the tag the same? Polarity metered if the lead is new?".to_owned());
    connect.connects = vec![
        ConnectLine {
            link: "L-031".into(),
            port: "port 5".into(),
            to: "icicle curtain 1, end in".into(),
            lead: "L-031, 12 ft, 18 AWG".into(),
            check: "tag 5 V".into(),
        },
        ConnectLine {
            link: "L-032".into(),
            port: "port 6".into(),
            to: "icicle curtain 2, end in".into(),
            lead: "L-032, 12 ft, 18 AWG".into(),
            check: "tag 12 V: do not plug".into(),
        },
        ConnectLine {
            link: "L-033".into(),
            port: "port 7".into(),
            to: "icicle curtain 3, end in".into(),
            lead: "L-033, 20 ft, 16 AWG".into(),
            check: "tag 5 V".into(),
        },
    ];
    let test = step("porch/test", "light-test the group", "porch box", eaves, 6, "11:14");
    vec![
        WalkPlace {
            place: left.to_owned(),
            steps: vec![
                step("boats/mark", "mark spots", "boat cut-outs, 8", left, 10, "09:10"),
                drive,
                sleeve,
            ],
        },
        WalkPlace { place: eaves.to_owned(), steps: vec![lit, hang, connect, test] },
        WalkPlace {
            place: "porch posts".to_owned(),
            steps: vec![step("wraps/wrap", "wrap at pitch", "post wraps, 4", "porch posts", 40, "11:30")],
        },
    ]
}

fn later_session(at: usize) -> Vec<WalkPlace> {
    let name = "drive edge";
    let steps = vec![
        step(&format!("arches/lay-{at}"), "lay and level bases", "bridge arches, 6", name, 45, "10:10"),
        step(&format!("arches/seat-{at}"), "seat tubes", "bridge arches, 6", name, 30, "10:55"),
    ];
    vec![WalkPlace { place: name.to_owned(), steps }]
}

fn long_step(n: usize, s: usize) -> WalkStep {
    let place = format!("a place with a name that is far too long to fit into any column, number {n}");
    let mut step = step(
        &format!("long/{n}/{s}"),
        "do something whose title goes on and on until no column can hold it any more at all",
        "a prop \u{1b}[31mwith\u{202e} hostile\u{200b} letters, 漢字 and é",
        &place,
        600,
        "23:59",
    );
    step.cautions = vec!["A caution that is long. ".repeat(20); 6];
    step.notes = vec!["A note that is long. ".repeat(20); 6];
    step
}

fn fetch() -> Vec<FetchLine> {
    let line =
        |what, name: &str, from: &str| FetchLine { what, name: name.to_owned(), from: from.to_owned() };
    vec![
        line("ladder", "extension ladder 7 m", "garage wall"),
        line("tool", "club hammer, stake cap", "tool chest"),
        line("tote", "T-07 boat cut-outs", "shelf 2, garage"),
        line("tote", "T-03 icicle curtains", "shelf 1, garage"),
        line("lead", "L-031, L-032, L-033", "lead board"),
        line("stock", "40 ties, UV", "drawer 4"),
    ]
}
