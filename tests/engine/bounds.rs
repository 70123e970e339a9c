//! What no schedule can better, worked out by hand: sessions by waits, by a skill and by minutes; visits by one person.

use ladderday::planner::engine::{
    Activity, Control, Edge, Fixed, Limits, Problem, Session, SetUp, Solution, Window, Worker, solve,
};

/// Sessions of `minutes`, one a day, at which these people are.
fn days(minutes: i32, skills: &[u64], setup: SetUp) -> Problem {
    let mut p = Problem { setup, ..Problem::default() };
    p.sessions = (0..6).map(|d| Session { from: d * 1440, to: d * 1440 + minutes }).collect();
    let window = |(k, s): (usize, &Session)| Window { from: s.from, to: s.to, session: k as u32 };
    p.calendars.push(p.sessions.iter().enumerate().map(window).collect());
    let present: Vec<(i32, i32)> = p.sessions.iter().map(|s| (s.from, s.to)).collect();
    let worker = |s: &u64| Worker { skills: *s, present: present.clone(), ..Worker::default() };
    p.workers = skills.iter().map(worker).collect();
    p
}

fn work(duration: i32) -> Activity {
    Activity { duration, calendar: Some(0), hands: 1, work: true, ..Activity::default() }
}

fn run(p: &Problem) -> Solution {
    solve(p, &Limits { schedules: 500, seed: 1 }, &Control::default()).unwrap()
}

const SESSIONS: SetUp =
    SetUp { place_minutes: 0, tool_minutes: 0, session_minutes: 30, waiting: false, inside_breaks: false };

#[test]
fn each_wait_longer_than_a_session_asks_for_another_one() {
    let mut p = days(240, &[0], SESSIONS);
    p.activities = vec![work(60); 3];
    p.edges = vec![Edge::after(0, 1, 600), Edge::after(1, 2, 600)];
    let s = run(&p);
    assert_eq!((s.goals.given.value, s.goals.given.bound), (90, 90));
    assert!(s.goals.proven(), "{:?}", s.goals);
    // A wait that one session has room for asks for none.
    p.edges[1] = Edge::after(1, 2, 60);
    assert_eq!(run(&p).goals.given.bound, 60);
}

#[test]
fn work_for_one_skill_asks_for_the_sessions_of_those_who_have_it() {
    let mut p = days(240, &[1, 0], SESSIONS);
    p.activities = vec![Activity { skills: 1, ..work(120) }; 4];
    let s = run(&p);
    assert_eq!((s.goals.given.value, s.goals.given.bound), (60, 60));
    // Two who have it need one.
    p.workers[1].skills = 1;
    assert_eq!(run(&p).goals.given.bound, 30);
}

#[test]
fn a_place_with_more_work_than_one_person_has_minutes_is_gone_to_twice() {
    let setup = SetUp { place_minutes: 5, ..SESSIONS };
    let mut p = days(250, &[0, 0], setup);
    p.activities = vec![Activity { place: Some(1), ..work(120) }; 4];
    let s = run(&p);
    assert_eq!((s.goals.given.value, s.goals.given.bound), (40, 40));
    // Who is there already comes no second time.
    let fixed = Fixed { start: 0, end: 10, session: Some(0), workers: vec![0, 1], ..Fixed::default() };
    p.activities.push(Activity { place: Some(1), hands: 2, fixed: Some(fixed), ..work(10) });
    let s = run(&p);
    assert_eq!((s.goals.given.value, s.goals.given.bound), (0, 0));
}

/// People who are there all day do not make a problem lean where going to a place, a session or waiting costs minutes.
#[test]
fn what_people_give_is_counted_where_all_else_is_lean() {
    let lean = SetUp { session_minutes: 0, ..SESSIONS };
    let one = |setup: SetUp, place: Option<u32>| {
        let mut p = days(240, &[0], setup);
        p.sessions.truncate(1);
        p.calendars[0].truncate(1);
        p.workers[0].present = vec![(0, 240)];
        p.activities = vec![Activity { place, ..work(60) }; 2];
        run(&p).goals.given.value
    };
    assert_eq!(one(lean, None), 0);
    assert_eq!(one(SESSIONS, None), 30);
    assert_eq!(one(SetUp { place_minutes: 5, ..lean }, Some(1)), 5);
}
