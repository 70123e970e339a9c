//! Plans of generated yards hold.

use chrono::{DateTime, Duration, Utc};
use fastrand::Rng;
use ladderday::domain::{Access, Condition, Moment, Phase, PlacementId, Role, TickKind};
use ladderday::planner::Plan;
use ladderday::steps::State;
use ladderday::units::{Speed, Temperature};

use super::yard::{Build, breaches, derived, plan, utc};

const METHODS: [&str; 6] = ["stake", "hooks", "roof_strap", "mast", "flood", "cable"];

/// A yard of 5 to 40 placements with what an owner may have told, and what may have happened until `now`.
pub(super) fn generated(seed: u64) -> (Build, DateTime<Utc>) {
    let mut rng = Rng::with_seed(seed);
    let mut b = Build::new();
    let now = utc("2026-10-20T08:00:00-04:00") + Duration::minutes(rng.i64(0..34 * 24 * 60));
    facts(&mut b, &mut rng);
    people_and_tools(&mut b, &mut rng);
    sessions(&mut b, &mut rng);
    (b, now)
}

fn facts(b: &mut Build, rng: &mut Rng) {
    let access = [Access::Ground, Access::StepLadder, Access::ExtensionLadder, Access::Roof];
    let places: Vec<_> =
        (0..rng.usize(2..7)).map(|i| b.place(&format!("P{i}"), *pick(rng, &access))).collect();
    for pair in places.windows(2) {
        if rng.f32() < 0.4 {
            b.above(pair[0], pair[1]);
        }
    }
    let boxes: Vec<_> =
        (0..rng.usize(0..3)).map(|i| b.boxed(&format!("BX{i}"), *pick(rng, &places)).0).collect();
    let mut props: Vec<PlacementId> = Vec::new();
    let most = if rng.f32() < 0.2 { 41 } else { 14 };
    let n = rng.usize(5..most);
    for i in 0..n {
        let method = *pick(rng, &METHODS);
        let place = *pick(rng, &places);
        let (piece, id) = b.pieced(&format!("prop {i}"), place, method);
        let carrier = (!props.is_empty() && rng.f32() < 0.25).then(|| *pick(rng, &props));
        let (count, permanent, worth) = (rng.i64(1..9), rng.f32() < 0.1, rng.i64(1..6));
        let held = rng.f32() < 0.04;
        let p = b.placement(id);
        p.count = count;
        p.permanent = permanent && method == "hooks";
        p.worth = worth;
        p.carried_by_id = carrier;
        p.held_why = held.then(|| "a part is missing".to_owned());
        if !boxes.is_empty() && rng.f32() < 0.8 {
            b.feeds(*pick(rng, &boxes), id);
        }
        if rng.f32() < 0.1 {
            b.fault(piece);
        }
        props.push(id);
    }
    if rng.bool() {
        b.buried_lines();
    }
    b.desk("songs", rng.i64(10..200), None);
    b.desk("re-align", rng.i64(10..60), Some(*pick(rng, &props)));
    if rng.bool() {
        b.yard.sites[0].drying_slots = Some(rng.i64(1..4));
    }
    // Figures of its own: the yards stay what they are but for this.
    let mut own = rng.clone();
    if own.f32() < 0.7 {
        b.tests_run();
        b.yard.sites[0].bench_tests = own.bool().then(|| own.i64(1..5));
    }
    if rng.f32() < 0.2 {
        b.yard.sites[0].latitude_udeg = None;
    }
}

fn people_and_tools(b: &mut Build, rng: &mut Rng) {
    for name in ["Ada", "Ben", "Cal", "Dee"].iter().take(rng.usize(0..5)) {
        b.person(name, if rng.f32() < 0.6 { "roof solder" } else { "" });
    }
    for (word, most) in [("step_ladder", 2), ("extension_ladder", 3)] {
        for i in 0..rng.usize(0..most) {
            b.own(&format!("LD-{word}{i}"), Role::Ladder, word);
        }
    }
    if rng.bool() {
        let tool = b.own("DRV", Role::Tool, "post_driver");
        if rng.f32() < 0.1 {
            b.yard.pieces.iter_mut().find(|p| p.id == tool).unwrap().condition = Condition::Lent;
        }
    }
}

fn sessions(b: &mut Build, rng: &mut Rng) {
    let people: Vec<_> = b.yard.people.iter().map(|p| p.id).collect();
    if rng.f32() < 0.1 {
        return;
    }
    let mut date = super::yard::day("2026-10-18") + Duration::days(rng.i64(0..6));
    while date < super::yard::day("2026-12-01") {
        let who: Vec<_> = people.iter().copied().filter(|_| rng.f32() < 0.7).collect();
        let (from, to) = match rng.u8(0..4) {
            0 => ("18:00", "22:00"),
            1 => ("09:00", "12:30"),
            2 => ("12:00", "22:00"),
            _ => ("08:00", "17:00"),
        };
        b.session(&format!("{date}T{from}"), &format!("{date}T{to}"), &who);
        let lights = rng.bool();
        let s = b.yard.sessions.last_mut().unwrap();
        s.work_lights = lights;
        s.lost = rng.f32() < 0.05;
        if rng.f32() < 0.3 {
            s.rain = Some(rng.bool());
            s.frozen = Some(rng.f32() < 0.2);
            s.gust_mms = Some(Speed::from_mms(rng.i64(0..15_000)));
            s.low_mc = Some(Temperature::from_mc(rng.i64(-18_000..20_000)));
        }
        if let Some(row) = b.yard.session_people.last_mut()
            && rng.f32() < 0.3
        {
            row.comes = Some(date.and_hms_opt(10, 0, 0).unwrap());
        }
        date += Duration::days(rng.i64(1..5));
    }
}

/// Ticks of some steps before `now`, mostly in their order, some without a time.
pub(super) fn happened(b: &mut Build, phase: Phase, now: DateTime<Utc>, seed: u64) {
    let mut rng = Rng::with_seed(seed ^ 0x5eed);
    let steps = b.steps(phase);
    let share = rng.f32() * 0.6;
    let mut at = now - Duration::days(6);
    for step in steps.iter().take((steps.len() as f32 * share) as usize) {
        if rng.f32() < 0.3 {
            continue;
        }
        at = (at + Duration::minutes(rng.i64(0..40))).min(now);
        let kind = match rng.u8(0..20) {
            0 => TickKind::Hold,
            1 | 2 => TickKind::Skip,
            3 if step.of.is_some() => TickKind::Count,
            4 if rng.f32() < 0.3 => TickKind::Start,
            _ => TickKind::Done,
        };
        let person = b.yard.people.first().map(|p| p.id);
        let (minutes, known) = (step.minutes(), rng.f32() < 0.9);
        let tick = b.tick(&step.key, kind, None);
        tick.at_ms = known.then(|| Moment(at.timestamp_millis()));
        tick.began_ms = (known && kind == TickKind::Done && minutes > 0)
            .then(|| Moment((at - Duration::minutes(minutes)).timestamp_millis()));
        tick.person_id = person;
        tick.of_count = step.of;
        tick.done_count = step.of.map(|of| of / 2);
        "so it was".clone_into(&mut tick.why);
    }
}

fn pick<'a, T>(rng: &mut Rng, list: &'a [T]) -> &'a T {
    &list[rng.usize(0..list.len())]
}

struct Tally {
    plans: usize,
    steps: usize,
    placed: usize,
    bad: Vec<String>,
}

fn judge(tally: &mut Tally, seed: u64, b: &Build, made: &Plan) {
    let winter = b.winter();
    tally.plans += 1;
    tally.steps += made.steps.len();
    tally.placed += made.steps.iter().filter(|p| p.state == State::Open && p.from.is_some()).count();
    tally.bad.extend(made.faults.iter().map(|f| format!("seed {seed}: {f}")));
    tally.bad.extend(breaches(&b.yard, winter, made).into_iter().map(|l| format!("seed {seed}: {l}")));
}

fn run(seeds: std::ops::Range<u64>, phase: Phase, shift: Duration) {
    let mut tally = Tally { plans: 0, steps: 0, placed: 0, bad: Vec::new() };
    for seed in seeds {
        let (mut b, mut now) = generated(seed);
        if phase == Phase::Down {
            for s in &mut b.yard.sessions {
                s.starts += shift;
                s.ends += shift;
            }
            for row in &mut b.yard.session_people {
                row.comes = row.comes.map(|t| t + shift);
            }
            now += shift;
        }
        happened(&mut b, phase, now, seed);
        let made = plan(&b.yard, b.winter(), phase, now, seed);
        judge(&mut tally, seed, &b, &made);
    }
    println!("{} plans, {} steps, {} placed", tally.plans, tally.steps, tally.placed);
    assert!(
        tally.placed > tally.steps / 8,
        "{} of {} placed: too few to judge by",
        tally.placed,
        tally.steps
    );
    assert!(
        tally.bad.is_empty(),
        "{} breaches\n{}",
        tally.bad.len(),
        tally.bad[..tally.bad.len().min(25)].join("\n")
    );
}

#[test]
fn plans_up_hold() {
    run(0..60, Phase::Up, Duration::zero());
}

#[test]
fn plans_up_of_other_yards_hold() {
    run(60..120, Phase::Up, Duration::zero());
}

#[test]
fn plans_down_hold() {
    run(200..250, Phase::Down, Duration::days(70));
}

#[test]
fn derived_orders_know_their_yard() {
    let (b, _) = generated(3);
    assert!(derived(&b.yard, b.winter(), Phase::Up).steps.len() > 20);
}
