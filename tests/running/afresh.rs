//! The law, on yards that are not the demo: whatever sequence of deeds, undos, redos, other programs' deeds and times of
//! day, each of the ten screens is what a program opened afresh shows.

use ladderday::app::{App, Ask, NewFault, Tonight};
use ladderday::domain::{Phase, TickKind};

use super::{Yard, assert_same};

/// Numbers that repeat for a seed.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        // Knuth's MMIX generator (The Art of Computer Programming 2, 3.3.4).
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % sides
    }
}

/// Some deed that may make sense in the yard as it is.
fn deed(app: &App, dice: &mut Dice, n: usize) -> Ask {
    let yard = app.yard();
    let step = |dice: &mut Dice| {
        let phase = [Phase::Up, Phase::Up, Phase::Bench, Phase::Down][dice.roll(4)];
        let steps = app.steps(phase).map(|d| d.steps.clone()).unwrap_or_default();
        (!steps.is_empty()).then(|| steps[dice.roll(steps.len())].key.to_string())
    };
    let session = |dice: &mut Dice| {
        (!yard.sessions.is_empty()).then(|| yard.sessions[dice.roll(yard.sessions.len())].code.clone())
    };
    let placement = |dice: &mut Dice| {
        (!yard.placements.is_empty()).then(|| yard.placements[dice.roll(yard.placements.len())].code.clone())
    };
    let tick = |key: Option<String>, kind, why: Option<&str>| {
        key.map(|key| Ask::Tick { key, kind, count: None, why: why.map(str::to_owned) })
    };
    let made = match dice.roll(13) {
        0 | 1 => tick(step(dice), TickKind::Done, None),
        2 => tick(step(dice), TickKind::Start, None),
        3 => tick(step(dice), TickKind::Hold, Some("rain")),
        4 => tick(step(dice), TickKind::Reopen, None),
        5 => Some(Ask::AddProp { line: format!("lamp {n}, {}, hedge, stakes", 1 + dice.roll(4)) }),
        6 => placement(dice).map(|code| Ask::HoldPlacement {
            code,
            why: [Some("not this year".to_owned()), None][dice.roll(2)].clone(),
        }),
        7 => session(dice).map(|session| Ask::Forecast {
            session,
            text: ["rain", "gust 25 mph, low 31F", "frozen"][dice.roll(3)].to_owned(),
        }),
        8 => session(dice).map(|session| Ask::DropSession { session }),
        9 => placement(dice).map(|target| {
            Ask::LogFault(NewFault {
                target,
                symptom: "dark_from".to_owned(),
                at: None,
                tonight: Tonight::Nothing,
                note: String::new(),
            })
        }),
        10 => Some(Ask::KeepPlan { phase: Phase::Up }),
        11 => Some(Ask::Redo),
        _ => None,
    };
    made.unwrap_or(Ask::Undo)
}

const TIMES: [&str; 5] =
    ["2026-09-20T12:00", "2026-10-12T10:00", "2026-10-12T11:30", "2026-10-13T08:00", "2026-12-05T18:00"];

/// Plays `deeds` deeds in two programs and looks at the running one after every second.
fn play(yard: &Yard, seed: u64, deeds: usize) {
    let mut dice = Dice(seed);
    let mut now = TIMES[0];
    let mut running = yard.open(now);
    let mut done = Vec::new();
    // Looked at before, so that something is remembered.
    super::ten_screens(&mut running);
    for n in 0..deeds {
        if dice.roll(5) == 0 {
            now = TIMES[dice.roll(TIMES.len())];
            running.set_now(yard.open(now).now());
            done.push(format!("it is {now}"));
        }
        let other = dice.roll(4) == 0;
        let said = if other {
            let mut beside = yard.open(now);
            let ask = deed(&beside, &mut dice, n);
            format!("beside {ask:?}: {:?}", beside.perform(&ask).map(|d| d.said).map_err(|p| p.code))
        } else {
            let ask = deed(&running, &mut dice, n);
            format!("{ask:?}: {:?}", running.perform(&ask).map(|d| d.said).map_err(|p| p.code))
        };
        done.push(said);
        assert_same(&mut running, &mut yard.open(now), &format!("seed {seed}:\n{}\n", done.join("\n")));
    }
}

#[test]
fn a_yard_without_sessions_shows_what_its_file_says() {
    for seed in 0..3 {
        play(&Yard::handful(0), seed, 12);
    }
}

#[test]
fn a_yard_with_sessions_shows_what_its_file_says() {
    for seed in 100..100 + 2 {
        play(&Yard::handful(2), seed, 8);
    }
}

#[test]
fn the_demo_shows_what_its_file_says() {
    play(&Yard::demo(), 200, 3);
}

/// A prop that was taken back is not walked any more, in a yard without sessions too.
#[test]
fn the_steps_of_a_prop_taken_back_are_gone() {
    let yard = Yard::handful(0);
    let now = "2026-10-12T10:00";
    let mut app = yard.open(now);
    super::ten_screens(&mut app);
    app.perform(&Ask::AddProp { line: "reindeer, 3, lawn, stakes".to_owned() }).unwrap();
    let walk = |app: &mut App| format!("{:?}", super::ten_screens(app));
    assert!(walk(&mut app).contains("reindeer"));
    app.perform(&Ask::Undo).unwrap();
    assert!(!walk(&mut app).contains("lawn"), "the prop is gone from the file");
    assert_same(&mut app, &mut yard.open(now), "an undo");
}

/// Between two sessions nothing moves, however late it gets.
#[test]
fn nothing_moves_while_nobody_works() {
    let yard = Yard::demo();
    let mut app = yard.open("2026-10-19T09:00");
    let steps = |app: &mut App| app.plan(Phase::Up, ladderday::app::QUICK).unwrap().steps.clone();
    let before = steps(&mut app);
    app.set_now(yard.open("2026-10-19T11:17").now());
    assert_eq!(before, steps(&mut app));
    assert_eq!(before, steps(&mut yard.open("2026-10-19T12:40")));
}
