//! A host with a made-up yard, for tests of the screens without facts, plans or files.

use std::collections::BTreeMap;

use ladderday::app::view::{
    Alarm, Basket, BasketLine, Buy, ConnectLine, FaultRow, Faults, FetchLine, Field, Finding, Frame,
    GuideStep, HeldRow, Kit, KitKind, KitRow, Level, NeedRow, OrderRow, Plan, PlanGoal, PlanSession,
    PlanStep, Power, PowerNode, ReadyPlace, RecordBar, ScreenId, SeasonRow, Seasons, StepState,
    StringVoltage, Symptom, Today, ToteRow, Totes, UnplacedRow, Walk, WalkPlace, WalkStep, YardMap,
    YardPlace,
};
use ladderday::app::{Ask, Page, Problem, ProblemKind};
use ladderday::domain::TickKind;
use ladderday::tui::{Background, Host, PageWant};
use uuid::Uuid;

/// How much the yard holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fill {
    Empty,
    Normal,
    /// More rows than fit, long names, and text that tries to break the screen.
    Overfull,
}

/// A host that keeps states of steps in memory and remembers what was asked.
pub(super) struct Fake {
    pub(super) fill: Fill,
    pub(super) asked: Vec<Ask>,
    /// Refuses the next deed with this.
    pub(super) refuse: Option<Problem>,
    pub(super) work: Option<Background>,
    pub(super) pauses: Vec<ladderday::app::view::PauseRow>,
    pub(super) opened: Vec<(String, usize)>,
    states: BTreeMap<String, (StepState, i64, String)>,
    before: Vec<BTreeMap<String, (StepState, i64, String)>>,
    last: Option<String>,
}

impl Fake {
    pub(super) fn new(fill: Fill) -> Self {
        Self {
            fill,
            asked: Vec::new(),
            refuse: None,
            work: None,
            pauses: Vec::new(),
            opened: Vec::new(),
            states: BTreeMap::new(),
            before: Vec::new(),
            last: None,
        }
    }

    /// The state of a step by its key.
    pub(super) fn state(&self, key: &str) -> StepState {
        self.states.get(key).map_or(StepState::Open, |(state, ..)| *state)
    }

    fn set(&mut self, key: &str, state: StepState, count: i64, why: Option<&String>) {
        self.states.insert(key.to_owned(), (state, count, why.cloned().unwrap_or_default()));
    }
}

impl Host for Fake {
    fn frame(&self) -> Frame {
        Frame {
            season: if self.fill == Fill::Empty { String::new() } else { "Midwinter Harbor 2026".to_owned() },
            now: "Sat 17 Oct 2026 09:40".to_owned(),
            demo_clock: self.fill == Fill::Normal,
            read_only: None,
            last_deed: self.last.clone(),
            empty: self.fill == Fill::Empty,
        }
    }

    fn page(&mut self, screen: ScreenId, want: &PageWant) -> Result<Page, Problem> {
        let empty = self.fill == Fill::Empty;
        Ok(match screen {
            ScreenId::Today => Page::Today(if empty { Today::default() } else { today(self.fill) }),
            ScreenId::Walk => Page::Walk(self.walk(want.walk_session)),
            ScreenId::Yard => Page::Yard(if empty { YardMap::default() } else { yard(self.fill) }),
            ScreenId::Plan => Page::Plan(if empty { Plan::default() } else { plan(self.fill) }),
            ScreenId::Kit => Page::Kit(if empty { Kit::default() } else { kit(self.fill) }),
            ScreenId::Power => Page::Power(if empty { Power::default() } else { power(self.fill) }),
            ScreenId::Faults => Page::Faults(if empty { Faults::default() } else { faults(self.fill) }),
            ScreenId::Totes => Page::Totes(if empty { Totes::default() } else { totes(self.fill) }),
            ScreenId::Buy => Page::Buy(if empty { Buy::default() } else { buy(self.fill) }),
            ScreenId::Seasons => Page::Seasons(if empty { Seasons::default() } else { seasons(self.fill) }),
        })
    }

    fn perform(&mut self, ask: &Ask) -> Result<String, Problem> {
        if let Some(problem) = self.refuse.take() {
            return Err(problem);
        }
        self.asked.push(ask.clone());
        let said = match ask {
            Ask::Undo => match self.before.pop() {
                Some(states) => {
                    self.states = states;
                    "taken back".to_owned()
                }
                None => {
                    return Err(Problem::new(
                        ProblemKind::Data,
                        "nothing-to-undo",
                        "there is no deed to take back",
                    ));
                }
            },
            other => {
                self.before.push(self.states.clone());
                match other {
                    Ask::Tick { key, kind, count, why } => {
                        let state = match kind {
                            TickKind::Start | TickKind::Count => StepState::Doing,
                            TickKind::Done => StepState::Done,
                            TickKind::Hold => StepState::Held,
                            TickKind::Skip => StepState::Skipped,
                            TickKind::Reopen | TickKind::Note => StepState::Open,
                        };
                        self.set(key, state, count.unwrap_or(0), why.as_ref());
                        format!("{}: {key}", state.word())
                    }
                    Ask::TickAll { keys } => {
                        for key in keys {
                            self.set(key, StepState::Done, 0, None);
                        }
                        format!("{} steps done", keys.len())
                    }
                    Ask::DoneDifferently { key, text, .. } => {
                        self.set(key, StepState::Done, 0, Some(text));
                        format!("done differently: {key}")
                    }
                    _ => "kept".to_owned(),
                }
            }
        };
        self.last = Some(format!("09:40 {said}"));
        Ok(said)
    }

    fn open_photo(&mut self, fault: &str, number: usize) -> Result<String, Problem> {
        self.opened.push((fault.to_owned(), number));
        Ok("opened".to_owned())
    }

    fn background(&mut self) -> Option<Background> {
        self.work.clone()
    }

    fn poll(&mut self) -> Vec<ScreenId> {
        Vec::new()
    }

    fn stop(&mut self) {
        self.work = None;
    }
}

const SESSIONS: [&str; 3] =
    ["Sat 17 Oct 09:00 to 16:30", "Sun 18 Oct 10:00 to 15:00", "Tue 20 Oct 17:30 to 20:00"];

impl Fake {
    fn walk(&self, session: Option<usize>) -> Walk {
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
            empty_hint: None,
            pauses: self.pauses.clone(),
        }
    }
}

fn words(list: &[&str]) -> Vec<String> {
    list.iter().map(|w| (*w).to_owned()).collect()
}

fn step(key: &str, title: &str, prop: &str, place: &str, minutes: i64, from: &str) -> WalkStep {
    WalkStep {
        key: key.to_owned(),
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
        critical: false,
        notes: Vec::new(),
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

fn today(fill: Fill) -> Today {
    let alarm = |level, what: &str, remedy: &str, screen| Alarm {
        level,
        what: what.into(),
        remedy: remedy.into(),
        screen,
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
        next_session: Some("Sat 17 Oct 09:00 to 16:30, three people".into()),
        ready: vec![
            ReadyPlace {
                place: "path left".into(),
                steps: 3,
                minutes: 50,
                first: words(&["mark spots", "drive stakes"]),
            },
            ReadyPlace {
                place: "front eaves".into(),
                steps: 2,
                minutes: 44,
                first: words(&["light on the ground", "hang"]),
            },
            ReadyPlace {
                place: "bench".into(),
                steps: 5,
                minutes: 110,
                first: words(&["test set of six arches"]),
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

fn id(n: usize) -> Uuid {
    Uuid::from_u128(n as u128 + 1)
}

fn kit(fill: Fill) -> Kit {
    let row = |n: usize, kind, code: &str, name: &str, sort: &str, home: &str, state: &str| KitRow {
        kind,
        id: id(n),
        code: code.into(),
        name: name.into(),
        sort: sort.into(),
        home: home.into(),
        state: state.into(),
        page: vec![
            ("kind".into(), sort.into()),
            ("home".into(), home.into()),
            ("pixels".into(), "100 at 5 V, 60 mA each".into()),
            ("ends".into(), "in: 3-pin male, out: 3-pin female".into()),
            ("history".into(), "2024 bought; 2025 dark from pixel 37 on, mended".into()),
        ],
        fields: vec![
            Field { column: "name", text: name.into(), takes: "any text".into() },
            Field { column: "length_mm", text: "7'6\"".into(), takes: "length like 7'6\" or 2.3 m".into() },
            Field {
                column: "condition",
                text: state.into(),
                takes: "one of good, faulty, scrapped, lost".into(),
            },
        ],
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

fn faults(fill: Fill) -> Faults {
    let row = |n: usize, target: &str, symptom: &str, state: &'static str, bench: bool| FaultRow {
        id: id(n),
        code: format!("F-{n:03}"),
        target: target.into(),
        symptom: symptom.into(),
        found: "Sun 14 Dec 2025 21:05".into(),
        state,
        ended: matches!(state, "ended" | "scrapped"),
        bench,
        next: if bench {
            "mend on the bench: cut out pixel 36 and 37".into()
        } else {
            "look at the plug first".into()
        },
        entries: words(&[
            "14 Dec 2025 patched: bridged over pixel 37",
            "20 Feb 2026 looked: water in the sleeve",
        ]),
        cautions: words(&["Supply off before anything is unplugged."]),
        guide: [
            ("first_dark", "The first dark pixel or the one before it: move the plug one pixel on."),
            ("dry", "Look for water and green copper at the cut."),
        ]
        .map(|(code, what)| GuideStep {
            code: code.into(),
            what: what.into(),
            results: vec![
                ["lights", "It lights", "that pixel had failed"].map(str::to_owned),
                ["same", "Nothing changes", "it is the one before"].map(str::to_owned),
            ],
            answer: None,
        })
        .to_vec(),
        photos: Vec::new(),
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
    }
}

fn buy(fill: Fill) -> Buy {
    let need =
        |title: &str, quantity, order_by: Option<&str>, vendor: Option<&str>, reasons: &[&str]| NeedRow {
            title: title.into(),
            quantity,
            need_by: "12 Oct 2026".into(),
            order_by: order_by.map(str::to_owned),
            vendor: vendor.map(str::to_owned),
            reasons: words(reasons),
        };
    let mut needs = vec![
        need(
            "strip 60/m, coated, 5 m",
            3,
            Some("3 Aug 2026"),
            Some("Harbor Parts"),
            &["scrapped: bridge arch 2", "one spare"],
        ),
        need("lead 12 ft, 3-pin", 3, Some("21 Sep 2026"), Some("Quay Wire"), &["plan needs 31, 28 usable"]),
        need("ties, UV, 200 mm", 400, Some("28 Sep 2026"), Some("Quay Wire"), &["last year's use: 380"]),
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
                order_by: "Mon 3 Aug 2026".into(),
                late: false,
                lines: vec![BasketLine {
                    item: "strip 60/m, coated, 5 m".into(),
                    packs: 3,
                    pack: 1,
                    price: "$21.40".into(),
                }],
                goods: "$64.20".into(),
                shipping: "$18.00".into(),
                total: "$82.20".into(),
            },
            Basket {
                vendor: "Quay Wire".into(),
                order_by: "Mon 21 Sep 2026".into(),
                late: true,
                lines: vec![
                    BasketLine {
                        item: "lead 12 ft, 3-pin".into(),
                        packs: 1,
                        pack: 5,
                        price: "$19.90".into(),
                    },
                    BasketLine {
                        item: "ties, UV, 200 mm".into(),
                        packs: 4,
                        pack: 100,
                        price: "$6.10".into(),
                    },
                ],
                goods: "$44.30".into(),
                shipping: "$6.50".into(),
                total: "$50.80".into(),
            },
        ],
        total: "$133.00".into(),
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
        ..Buy::default()
    }
}

fn plan(fill: Fill) -> Plan {
    let step =
        |key: &str, title: &str, prop: &str, from: i64, to: i64, who: &[&str], state, critical| PlanStep {
            key: key.into(),
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
            why: words(&[
                "after 'light on the ground' of the same day",
                "needs daylight, and the ladder is free from 10:20",
                "two people are there from 09:00",
            ]),
        };
    let session = |n: usize, day: &str, from: i64, to: i64, steps: Vec<PlanStep>| PlanSession {
        code: format!("s-{n}"),
        day: day.into(),
        from_min: from,
        to_min: to,
        people: words(&["Ansel", "Birgit", "Caspar"]),
        work_lights: n % 2 == 1,
        sunrise_min: Some(415),
        sunset_min: Some(1_075),
        dawn_min: Some(386),
        dusk_min: Some(1_104),
        forecast: (n == 0).then(|| "rain, gust 25 mph, low 31 °F".to_owned()),
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
    }
}

fn yard(fill: Fill) -> YardMap {
    let place = |n: usize, name: &str, x: i64, y: i64, done, total, ready, faults| YardPlace {
        code: format!("Y{n:02}"),
        name: name.into(),
        x_mm: x * 1000,
        y_mm: y * 1000,
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
    YardMap { places, laid_out: fill == Fill::Overfull }
}

fn power(fill: Fill) -> Power {
    let node = |depth, kind, code: &str, name: &str, load: &str, share| PowerNode {
        depth,
        code: code.into(),
        name: name.into(),
        kind,
        load: load.into(),
        share,
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
            },
        ],
        not_told: words(&["wire length of 31 leads: drop not checked"]),
        strings: vec![
            StringVoltage {
                name: "bridge arch 2".into(),
                millivolts: drop(100),
                limit_mv: Some(4_300),
                feeds: vec![0],
            },
            StringVoltage {
                name: "tide board row 1".into(),
                millivolts: drop(40),
                limit_mv: Some(4_300),
                feeds: vec![0, 60],
            },
            StringVoltage {
                name: "roofline".into(),
                millivolts: Vec::new(),
                limit_mv: None,
                feeds: Vec::new(),
            },
        ],
        level: "level 40 %, set in software only".into(),
    }
}

fn totes(fill: Fill) -> Totes {
    let row = |n: usize, name: &str, more: usize| ToteRow {
        code: format!("T-{n:02}"),
        name: name.into(),
        kind: "tote".into(),
        stands: format!("shelf {}, garage", n % 4 + 1),
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
    Totes { rows, homeless: words(&["P-090 mast supply 2", "P-101 cone mini 1"]) }
}

fn seasons(fill: Fill) -> Seasons {
    let row = |code: &str, name: &str, lit: &str, taken, state: &str| SeasonRow {
        code: code.into(),
        name: name.into(),
        lit: lit.into(),
        placements: 58,
        steps_done: 391,
        planned_min: 4_020,
        taken_min: taken,
        faults: 17,
        state: state.into(),
        differences: if code == "tide-2026" { words(&["Porch: port 7 instead of 6"]) } else { Vec::new() },
    };
    let mut rows = vec![
        row("tide-2025", "Lantern Tide 2025", "10 to 31 Oct", 1_260, "closed"),
        row("harbor-2025", "Midwinter Harbor 2025", "28 Nov to 3 Jan", 4_420, "closed"),
        row("tide-2026", "Lantern Tide 2026", "10 to 31 Oct", 600, "now"),
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
        }],
    }
}
