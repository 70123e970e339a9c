//! Stretches, climbs, hands and given minutes over generated yards, read from the solution alone.

use super::{check, yards};
use fastrand::Rng;
use ladderday::planner::engine::{
    Activity, Control, Edge, Hold, Limits, Mode, Placed, Problem, Resource, Run, SetUp, Solution, Stretch,
    Wait, Worker, solve,
};

/// A generated yard in which every off and on of one chain is a stretch, what is done by ladder is up, and each first
/// test comes before somebody goes up at the place.
fn yard(seed: u64) -> Problem {
    let mut rng = Rng::with_seed(seed);
    let mut p = yards::yard(&mut rng, 64);
    p.setup = SetUp { session_minutes: 30, waiting: true, inside_breaks: true, ..p.setup };
    for at in (0..p.activities.len() - 3).step_by(4) {
        let on = p.activities[at + 3].modes[0].0;
        p.activities[at + 2].modes = vec![(on, Mode::Off)];
        p.stretches.push(Stretch { activities: vec![at + 2, at + 3], off: Some(on) });
        let up = !p.activities[at + 1].tools.is_empty();
        p.activities[at + 1].up = up;
        let place = p.activities[at + 1].place;
        if up {
            p.activities[at] = Activity { place, before_up: true, ..p.activities[at].clone() };
        }
        if rng.bool() && p.activities[at + 1].hands == 2 {
            p.activities[at + 1].needs = vec![1, 2];
            p.activities[at + 1].skills = 3;
        }
    }
    p
}

fn run(p: &Problem, schedules: u64) -> Solution {
    solve(p, &Limits { schedules, seed: 5 }, &Control::default()).unwrap()
}

fn placed(s: &Solution, i: usize) -> Option<&Placed> {
    s.placed[i].as_ref()
}

#[test]
fn a_stretch_lies_in_one_session_and_nothing_breaks_it() {
    let mut many = 0;
    for seed in 0..12 {
        let p = yard(seed);
        let s = run(&p, 40);
        assert_eq!(check::faults(&p, &s), Vec::<String>::new(), "seed {seed}");
        for stretch in &p.stretches {
            let [first, last] = stretch.activities[..] else { panic!("two") };
            let (Some(a), Some(z)) = (placed(&s, first), placed(&s, last)) else {
                assert!(placed(&s, first).is_none() && placed(&s, last).is_none(), "all of it or nothing");
                continue;
            };
            assert_eq!(a.session, z.session, "seed {seed}");
            let on = |i: &usize| p.activities[*i].modes.contains(&(stretch.off.unwrap(), Mode::On));
            for i in (0..p.activities.len()).filter(|i| *i != last).filter(on) {
                let between = placed(&s, i).is_some_and(|x| x.start < z.start && x.end > a.start);
                assert!(!between, "seed {seed}: {i} is on between {first} and {last}");
            }
            many += 1;
        }
    }
    assert!(many > 60, "{many}");
}

#[test]
fn who_came_down_does_not_go_up_there_again_and_all_before_it_is_over() {
    let mut climbs = 0;
    for seed in 0..12 {
        let p = yard(seed);
        let s = run(&p, 40);
        for w in 0..p.workers.len() {
            let mut row: Vec<(usize, &Placed)> =
                (0..p.activities.len()).filter_map(|i| Some((i, placed(&s, i)?))).collect();
            row.retain(|(_, x)| x.workers.contains(&w));
            row.sort_by_key(|(_, x)| (x.start, x.end));
            let mut been = Vec::new();
            let mut at = None;
            for (i, x) in row {
                let a = &p.activities[i];
                let here = (x.session, a.place);
                if a.up && at != Some(here) {
                    assert!(!been.contains(&here), "seed {seed}: worker {w} goes up twice for {i}");
                    been.push(here);
                    climbs += 1;
                }
                at = a.up.then_some(here);
            }
        }
        for (i, a) in p.activities.iter().enumerate().filter(|(_, a)| a.before_up) {
            let Some(x) = placed(&s, i) else { continue };
            let ups = p.activities.iter().enumerate().filter(|(_, u)| u.up && u.place == a.place);
            for y in ups.filter_map(|(u, _)| placed(&s, u)).filter(|y| y.session == x.session) {
                assert!(x.end <= y.start, "seed {seed}: {i} after the climb");
            }
        }
    }
    assert!(climbs > 20, "{climbs}");
}

#[test]
fn every_hand_is_filled_and_given_minutes_are_what_they_are() {
    for seed in 0..8 {
        let p = yard(seed);
        let s = run(&p, 40);
        for (i, a) in p.activities.iter().enumerate().filter(|(_, a)| !a.needs.is_empty()) {
            let Some(x) = placed(&s, i) else { continue };
            let can = |w: usize, need: u64| need & !p.workers[w].skills == 0;
            let [v, w] = x.workers[..] else { panic!("two hands") };
            assert!(
                can(v, 1) && can(w, 2) || can(v, 2) && can(w, 1),
                "seed {seed}: {i} by {:?}: {a:?}",
                x.workers
            );
        }
        // That the minutes given are those of the plan is among what the checker looks at.
        assert_eq!(check::faults(&p, &s), Vec::<String>::new(), "seed {seed}");
        let given = s.goals.given.value;
        assert!(given > i64::from(s.placed.iter().flatten().map(|x| x.setup).sum::<i32>()));
        assert!(s.goals.given.bound <= given);
    }
}

/// What keeps a resource off for a stretch leaves room for another before and after it, however the list stands.
#[test]
fn two_stretches_of_one_resource_follow_each_other() {
    let mut p = Problem { mode_resources: 1, ..Problem::default() };
    p.sessions.push(ladderday::planner::engine::Session { from: 0, to: 60 });
    p.calendars.push(vec![ladderday::planner::engine::Window { from: 0, to: 60, session: 0 }]);
    p.workers.push(Worker { present: vec![(0, 60)], ..Worker::default() });
    for mode in [Mode::Off, Mode::On, Mode::Off, Mode::On] {
        p.activities.push(Activity {
            hands: 1,
            duration: 10,
            calendar: Some(0),
            modes: vec![(0, mode)],
            work: true,
            ..Activity::default()
        });
    }
    p.edges = vec![Edge::after(0, 1, 0), Edge::after(2, 3, 0)];
    p.stretches = vec![
        Stretch { activities: vec![0, 1], off: Some(0) },
        Stretch { activities: vec![2, 3], off: Some(0) },
    ];
    let s = run(&p, 20);
    assert_eq!(s.goals.finish.value, 40);
    let start = |i: usize| placed(&s, i).unwrap().start;
    assert!(start(1) <= start(2) || start(3) <= start(0), "one after the other");
    // A minute less, and one of them is left out, all of it.
    p.sessions[0].to = 39;
    p.calendars[0][0].to = 39;
    let s = run(&p, 20);
    let out: Vec<usize> = s.unplaced.iter().map(|u| u.activity).collect();
    assert!(out == [0, 1] || out == [2, 3], "{out:?}");
}

/// Tests that run by themselves: two steps of one session with a wait, watched, and room for two at once.
fn with_runs(seed: u64) -> Problem {
    let mut rng = Rng::with_seed(seed ^ 0x7e57);
    let mut p = yard(seed);
    p.resources.push(Resource { capacity: 2, ..Resource::default() });
    let takes = p.resources.len() - 1;
    for _ in 0..16 {
        let from = p.activities.len();
        let (runs, look) = (rng.i32(20..=60), rng.i32(2..=6));
        let base = Activity { hands: 1, calendar: Some(0), work: true, ..Activity::default() };
        let wait = Wait::fixed(runs + look);
        let hold = Hold { resource: takes, amount: 1, from_start: true, wait };
        p.activities.push(Activity { duration: 3, holds: vec![hold], ..base.clone() });
        p.activities.push(Activity { duration: look, run: Some(Run { from, takes }), ..base });
        p.edges.push(Edge::after(from, from + 1, runs));
        p.stretches.push(Stretch { activities: vec![from, from + 1], off: None });
    }
    p
}

#[test]
fn what_runs_by_itself_is_watched_and_has_room() {
    let mut beside = 0;
    for seed in 0..12 {
        let p = with_runs(seed);
        let s = run(&p, 40);
        assert_eq!(check::faults(&p, &s), Vec::<String>::new(), "seed {seed}");
        let spans: Vec<(i32, i32)> = (p.activities.iter().enumerate())
            .filter_map(|(i, a)| Some((placed(&s, a.run?.from)?.start, placed(&s, i)?.end)))
            .collect();
        assert!(spans.len() > 8, "seed {seed}: {} of 16 placed", spans.len());
        beside += spans.iter().filter(|x| spans.iter().any(|y| y.0 < x.0 && x.0 < y.1)).count();
    }
    assert!(beside > 12, "only {beside} run side by side");
}

#[test]
fn a_run_that_nobody_could_watch_is_left_out() {
    let mut p = with_runs(3);
    // Everybody goes home for a while in the middle of each session, before any of these could be over.
    for w in &mut p.workers {
        let parts = w.present.iter().flat_map(|(a, b)| [(*a, a + 15), (a + 30, a + 40), (b - 5, *b)]);
        w.present = parts.collect();
    }
    let s = run(&p, 20);
    assert_eq!(check::faults(&p, &s), Vec::<String>::new());
    assert!(
        (0..p.activities.len()).filter(|i| p.activities[*i].run.is_some()).all(|i| s.placed[i].is_none())
    );
}
