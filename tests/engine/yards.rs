//! Generated problems with people, tools, set-up, windows, waits and modes.

use fastrand::Rng;
use ladderday::planner::engine::{
    Activity, Edge, Group, Hold, Lag, Mode, Problem, Resource, Run, Session, SetUp, Stretch, Wait, Window,
    Worker,
};

/// Times of a small problem are a few units of 60 minutes, so that an exact search can try them all.
const UNIT: i32 = 60;

/// A small problem of `n` activities, some with a skill for each hand; with `later` also latest times, holds and a test that
/// runs by itself, where later can be better.
pub(super) fn small(rng: &mut Rng, n: usize, later: bool) -> Problem {
    let days = rng.i32(2..=3);
    let mut p = Problem {
        setup: SetUp {
            place_minutes: UNIT,
            tool_minutes: UNIT * rng.i32(1..=2),
            session_minutes: UNIT * rng.i32(0..=2),
            ..SetUp::default()
        },
        ..Problem::default()
    };
    for d in 0..days {
        let from = d * 1440 + UNIT * rng.i32(8..=10);
        p.sessions.push(Session { from, to: from + UNIT * rng.i32(4..=9) });
    }
    for k in 0..2 {
        let cut = |s: &Session| if k == 0 { s.to } else { s.to - UNIT * 2 };
        let windows = p.sessions.iter().enumerate();
        p.calendars
            .push(windows.map(|(i, s)| Window { from: s.from, to: cut(s), session: i as u32 }).collect());
    }
    for _ in 0..rng.usize(1..=3) {
        let present = p.sessions.iter().filter(|_| rng.u8(..10) < 8).map(|s| (s.from, s.to)).collect();
        p.workers.push(Worker { skills: u64::from(rng.u8(..4)), present, ..Worker::default() });
    }
    p.workers[0].skills = 3;
    p.units = rng.usize(..=2);
    p.resources.push(Resource { capacity: 2, dips: vec![(0, 1440, 1)], with_setup: false });
    p.mode_resources = 1;
    p.wait_tables.push((0..days).map(|d| UNIT * (d % 2)).collect());
    p.groups = (0..2).map(|_| Group { worth: rng.i64(1..=5) }).collect();
    p.due = Some((days - 1) * 1440 + UNIT * 14);
    p.comfort = Some((days - 2) * 1440 + 1439);
    for _ in 0..n {
        let tools = if p.units > 0 && rng.u8(..10) < 3 { vec![(0..p.units).collect()] } else { Vec::new() };
        p.activities.push(Activity {
            duration: UNIT * rng.i32(1..=3),
            calendar: Some(usize::from(rng.u8(..3) == 0)),
            hands: if p.workers.len() > 1 && rng.u8(..6) == 0 { 2 } else { 1 },
            skills: [0, 0, 1, 2][rng.usize(..4)],
            not_alone: p.workers.len() > 1 && rng.u8(..8) == 0,
            tools,
            place: (rng.u8(..8) > 0).then(|| rng.u32(..3)),
            group: (rng.u8(..3) > 0).then(|| rng.usize(..2)),
            demands: if rng.u8(..4) == 0 { vec![(0, 1)] } else { Vec::new() },
            modes: if rng.u8(..4) == 0 {
                vec![(0, if rng.bool() { Mode::Off } else { Mode::On })]
            } else {
                Vec::new()
            },
            holds: if later && rng.u8(..3) == 0 {
                vec![Hold { resource: 0, amount: 1, from_start: false, wait: Wait::fixed(UNIT * 2) }]
            } else {
                Vec::new()
            },
            work: true,
            ..Activity::default()
        });
    }
    for a in p.activities.iter_mut().filter(|a| a.hands == 2) {
        a.needs.clone_from(&[vec![], vec![1], vec![1, 2], vec![2, 3]][rng.usize(..4)]);
    }
    if later && n > 1 && rng.bool() {
        p.resources.push(Resource { capacity: 1, ..Resource::default() });
        let takes = p.resources.len() - 1;
        let wait = Wait::fixed(UNIT * 2);
        p.activities[0].holds = vec![Hold { resource: takes, amount: 1, from_start: true, wait }];
        for a in &mut p.activities[..2] {
            (a.duration, a.group) = (UNIT, None);
        }
        p.activities[1].run = Some(Run { from: 0, takes });
        p.edges.push(Edge::after(0, 1, UNIT));
        p.stretches.push(Stretch { activities: vec![0, 1], off: None });
    }
    for succ in 1..n {
        if rng.u8(..2) == 0 {
            let wait = match rng.u8(..4) {
                0 => Wait::fixed(UNIT * 2),
                1 => Wait { minutes: 0, table: Some(0) },
                _ => Wait::fixed(0),
            };
            let within = (later && rng.u8(..3) == 0).then_some(UNIT * 3);
            let same_day = rng.u8(..8) == 0;
            let lag = Lag::FinishStart { wait, within, same_day };
            p.edges.push(Edge { pred: rng.usize(..succ), succ, lag });
        }
    }
    p
}

/// A yard of about `n` activities: props at places, each a chain of a bench test, mounting on a ladder, wiring, testing.
pub(super) fn yard(rng: &mut Rng, n: usize) -> Problem {
    let places = (n / 16).max(2) as u32;
    let days = (n / 8).max(8) as i32;
    let mut p = Problem {
        setup: SetUp { place_minutes: 5, tool_minutes: 10, ..SetUp::default() },
        units: 3,
        ..Problem::default()
    };
    for d in 0..days {
        let (from, to) = if d % 7 >= 5 { (9 * 60, 17 * 60) } else { (17 * 60, 21 * 60) };
        p.sessions.push(Session { from: d * 1440 + from, to: d * 1440 + to });
    }
    let windows = |from: i32, to: i32| {
        let cut = |(i, s): (usize, &Session)| {
            let day = s.from.div_euclid(1440) * 1440;
            Window { from: s.from.max(day + from), to: s.to.min(day + to), session: i as u32 }
        };
        p.sessions.iter().enumerate().map(cut).filter(|w| w.from < w.to).collect::<Vec<_>>()
    };
    p.calendars = vec![windows(0, 1440), windows(7 * 60, 18 * 60)];
    for w in 0..3 {
        let present =
            p.sessions.iter().enumerate().filter(|(i, _)| w < 2 || i % 3 == 0).map(|(_, s)| (s.from, s.to));
        p.workers.push(Worker { skills: [3, 1, 2][w], present: present.collect(), ..Worker::default() });
    }
    p.mode_resources = 2;
    p.resources.push(Resource { capacity: 4, ..Resource::default() });
    p.due = Some((days - 4) * 1440);
    p.comfort = Some((days - 8) * 1440);
    while p.activities.len() + 4 <= n {
        let (place, group) = (rng.u32(..places), p.groups.len());
        p.groups.push(Group { worth: rng.i64(1..=5) });
        let ladder = rng.u8(..2) == 0;
        let at = p.activities.len();
        let base =
            Activity { hands: 1, calendar: Some(0), group: Some(group), work: true, ..Activity::default() };
        p.activities.push(Activity { duration: 10, ..base.clone() });
        p.activities.push(Activity {
            duration: rng.i32(10..=40),
            place: Some(place),
            calendar: Some(usize::from(rng.u8(..4) == 0)),
            hands: 1 + u32::from(ladder),
            skills: 1,
            not_alone: ladder,
            tools: if ladder { vec![vec![0, 1]] } else { Vec::new() },
            ..base.clone()
        });
        let off = vec![(rng.usize(..2), Mode::Off)];
        p.activities.push(Activity {
            duration: 8,
            place: Some(place),
            skills: 2,
            modes: off,
            ..base.clone()
        });
        let on = vec![(rng.usize(..2), Mode::On)];
        p.activities.push(Activity {
            duration: 5,
            place: Some(place),
            modes: on,
            demands: vec![(0, 1)],
            ..base
        });
        let cure = if rng.u8(..6) == 0 { 24 * 60 } else { 0 };
        p.edges.extend([
            Edge::after(at, at + 1, 0),
            Edge::after(at + 1, at + 2, cure),
            Edge::after(at + 2, at + 3, 0),
        ]);
    }
    p
}
