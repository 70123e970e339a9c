//! Odds by many runs: the same for the same seed, sure where all is sure, never worse for one session more.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};
use ladderday::domain::{Access, Phase, Role, SeasonId, Yard};
use ladderday::planner::{
    Chances, Difference, Effort, Expected, Guess, Odds, OddsRequest, Plan, Request, make_plan, odds,
};
use ladderday::steps::{Facts, Role as StepRole};

use super::generated::generated;
use super::yard::{Build, breaches, derived, plan, utc};

const NOW: &str = "2026-10-23T08:00:00-04:00";

/// The plan of a yard, checked, and its odds.
pub fn odds_of(
    yard: &Yard,
    season: SeasonId,
    now: DateTime<Utc>,
    seed: u64,
    (chances, runs): (&Chances, u32),
) -> (Plan, Odds) {
    let made = plan(yard, season, Phase::Up, now, seed);
    assert_eq!(breaches(yard, season, &made), Vec::<String>::new());
    let answer = with(yard, season, &made, seed, |request| {
        odds(&OddsRequest { request, plan: &made, followed: &made, chances, runs, without: &BTreeSet::new() })
            .unwrap()
    });
    (made, answer)
}

/// What a plan of this yard was made from.
pub fn with<T>(yard: &Yard, season: SeasonId, plan: &Plan, seed: u64, f: impl FnOnce(&Request) -> T) -> T {
    let facts = Facts::new(yard);
    let derived = derived(yard, season, plan.phase);
    let season = facts.season(season).unwrap();
    let request = Request {
        facts: &facts,
        derived: &derived,
        season,
        phase: plan.phase,
        now: plan.now,
        seed,
        kept: &[],
    };
    f(&request)
}

/// Two people, two ladders, a lawn and an eave, weekends until lights on.
pub fn small() -> Build {
    let mut b = Build::new();
    let (lawn, eave) = (b.place("lawn", Access::Ground), b.place("eave", Access::StepLadder));
    for n in 0..6 {
        b.prop(&format!("tree-{n}"), lawn, "stake");
        b.prop(&format!("bulbs-{n}"), eave, "hooks");
    }
    b.own("LD-1", Role::Ladder, "step_ladder");
    let who = [b.person("Ann", ""), b.person("Bo", "")];
    b.weekends(&who);
    b
}

/// Everything takes what is planned and no session is lost.
pub fn certain() -> Chances {
    Chances { spread: |_| 0.0, lost: [0.0; 12], ..Chances::common() }
}

#[test]
fn the_same_seed_gives_the_same_odds_whatever_the_threads() {
    let b = small();
    let chances = Chances::common();
    let one = |threads: usize, seed: u64| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| odds_of(&b.yard, b.winter(), utc(NOW), seed, (&chances, 300)).1)
    };
    let first = one(1, 3);
    assert_eq!(first, one(2, 3));
    assert_eq!(first, one(5, 3));
    assert_ne!(first.p50.zip(first.p80), one(2, 4).p50.zip(one(2, 4).p80), "another seed, other runs");
    assert!(first.p50 <= first.p80 && first.p80 <= first.p95);
}

/// Nothing can go otherwise: every run is the plan, so the odds are 1 or 0, and one date holds for all.
#[test]
fn what_is_certain_is_in_time_always_or_never() {
    let certain = certain();
    let b = small();
    let (made, sure) = odds_of(&b.yard, b.winter(), utc(NOW), 1, (&certain, 50));
    assert_eq!(made.unplaced, vec![]);
    assert!((sure.in_time - 1.0).abs() < f64::EPSILON && sure.never.abs() < f64::EPSILON);
    assert!(sure.p50.is_some() && sure.p50 == sure.p95 && sure.risks.is_empty());
    assert!(sure.p50 <= made.rehearsal, "as the plan is");
    // Three days before lights on not even the rehearsal can be held.
    let (_, late) = odds_of(&b.yard, b.winter(), utc("2026-11-25T08:00:00-05:00"), 1, (&certain, 50));
    assert!(late.in_time.abs() < f64::EPSILON);
    for seed in 400..412 {
        let (b, now) = generated(seed);
        if b.yard.sessions.is_empty() {
            continue;
        }
        let (_, o) = odds_of(&b.yard, b.winter(), now, 1, (&certain, 8));
        assert!(o.in_time.abs() < f64::EPSILON || (o.in_time - 1.0).abs() < f64::EPSILON, "seed {seed}");
    }
}

/// Where the plan places all in time, the runs of that very plan do too.
#[test]
fn runs_of_a_whole_plan_are_whole() {
    let (mut whole, mut same, mut later) = (0, 0, Vec::new());
    for seed in 420..540 {
        let (b, now) = generated(seed);
        if b.yard.sessions.is_empty() {
            continue;
        }
        let (made, o) = odds_of(&b.yard, b.winter(), now, 1, (&certain(), 1));
        let held =
            |p: &ladderday::planner::PlannedStep| p.step.role != StepRole::Rehearsal || p.to < made.lights_on;
        if made.unplaced.is_empty() && made.steps.iter().all(|p| !p.late && held(p)) {
            whole += 1;
            same += usize::from((o.in_time - 1.0).abs() < f64::EPSILON);
            // People who decide as they go end no later than an hour after the plan; now and then one choice costs them a
            // session.
            if o.p50 > made.finish.map(|f| f + chrono::Duration::hours(1)) {
                later.push((seed, o.p50, made.finish));
            }
        }
    }
    assert!(whole >= 3, "{whole} plans are whole");
    assert!(whole - same <= later.len() && later.len() <= 1, "{same} of {whole}: {later:?}");
}

/// A session the more, with the same random figures, never makes the date less sure.
#[test]
fn one_more_session_never_lowers_the_odds() {
    let chances = Chances { lost: [0.4; 12], ..Chances::common() };
    for days in [2_usize, 4, 6] {
        let mut b = small();
        // Only the last days before the rehearsal are left.
        let keep: Vec<_> = b.yard.sessions[10 - days..].to_vec();
        b.yard.session_people.retain(|p| keep.iter().any(|s| s.id == p.session_id));
        b.yard.sessions = keep.into();
        let (_, before) = odds_of(&b.yard, b.winter(), utc(NOW), 1, (&chances, 400));
        let mut more = b.clone();
        let who: Vec<_> = more.yard.people.iter().map(|p| p.id).collect();
        more.session("2026-11-18T09:00", "2026-11-18T16:30", &who);
        more.session("2026-11-25T12:00", "2026-11-25T22:00", &who);
        let (_, after) = odds_of(&more.yard, more.winter(), utc(NOW), 1, (&chances, 400));
        // Greedy decisions may turn out worse in a run; a hundredth is noise.
        assert!(after.in_time >= before.in_time - 0.01, "{days}: {} then {}", before.in_time, after.in_time);
        assert!(after.in_time > before.in_time || before.in_time > 0.98, "{days}: no use of it at all");
    }
}

#[test]
fn a_lost_rehearsal_is_named_as_the_risk() {
    let b = small();
    let chances = Chances { lost: [0.3; 12], ..certain() };
    let (_, o) = odds_of(&b.yard, b.winter(), utc(NOW), 1, (&chances, 1000));
    // Ten weekend days are plenty; the one evening of the rehearsal is lost in three runs of ten.
    assert!((o.in_time - 0.7).abs() < 0.05, "{}", o.in_time);
    assert_eq!(o.risks[0].session.as_deref(), Some("S2026-11-23T12:00"), "{:?}", o.risks);
    assert!(o.risks[0].words.contains("in time 0 % of the runs with it lost, 100 % with it held"));
}

#[test]
fn a_long_step_is_named_as_the_risk() {
    let mut b = Build::new();
    let lawn = b.place("lawn", Access::Ground);
    b.prop("tree", lawn, "stake");
    b.prop("flood", lawn, "flood");
    let who = [b.person("Ann", ""), b.person("Bo", "")];
    b.session("2026-11-22T09:00", "2026-11-22T12:30", &who);
    b.session("2026-11-23T12:00", "2026-11-23T22:00", &who);
    let steps = b.steps(Phase::Up);
    let drive = steps.iter().find(|s| s.key.as_str().contains("stake.drive")).unwrap();
    let mut chances = certain();
    chances.durations.insert(drive.key.clone(), Guess { factor: 6.0, spread: 1.0 });
    let (_, o) = odds_of(&b.yard, b.winter(), utc(NOW), 1, (&chances, 500));
    assert_eq!(o.risks.len(), 1, "{:?}", o.risks);
    assert_eq!(o.risks[0].step.as_ref(), Some(&drive.key));
}

/// Months with a record of their own are drawn towards it, the others keep what is common.
#[test]
fn lost_sessions_are_learned_by_month() {
    let mut b = Build::new();
    for day in 1..=20 {
        b.session(&format!("2025-11-{day:02}T09:00"), &format!("2025-11-{day:02}T16:00"), &[]);
    }
    for s in b.yard.sessions.iter_mut().take(15) {
        s.lost = true;
    }
    b.session("2025-12-01T09:00", "2025-12-01T16:00", &[]);
    b.yard.sessions.last_mut().unwrap().lost = true;
    let mut c = Chances::common();
    let before = c.lost;
    c.learn_lost(b.yard.sessions.iter(), utc(NOW));
    assert!((c.lost[10] - (0.2 * 10.0 + 15.0) / 30.0).abs() < 1e-12, "{}", c.lost[10]);
    assert!((c.lost[11] - before[11]).abs() < 1e-12, "one session says nothing yet");
    assert!(c.basis.iter().any(|b| b.contains("20 past sessions")));
}

/// What is held back is not counted, and keeps nothing else from being in time.
#[test]
fn held_work_is_not_counted() {
    let mut b = small();
    let id = b.yard.placements[0].id;
    b.placement(id).held_why = Some("waits for a part".to_owned());
    let made = plan(&b.yard, b.winter(), Phase::Up, utc(NOW), 1);
    let o = with(&b.yard, b.winter(), &made, 1, |request| {
        let (chances, without) = (certain(), BTreeSet::new());
        odds(&OddsRequest {
            request,
            plan: &made,
            followed: &made,
            chances: &chances,
            runs: 3,
            without: &without,
        })
        .unwrap()
    });
    assert!(o.not_counted > 0 && (o.in_time - 1.0).abs() < f64::EPSILON);
}

/// Four hundred stakes, 801 minutes, where the longest session has 600: the runs set them over two days, and what
/// follows waits for all of them.
#[test]
fn a_step_done_in_parts_takes_the_days_it_takes() {
    let certain = certain();
    let finish = |stakes: i64| {
        let mut b = Build::new();
        let lawn = b.place("lawn", Access::Ground);
        let id = b.prop("field", lawn, "stake");
        b.placement(id).count = stakes;
        b.person("Ada", "");
        b.person("Ben", "");
        b.weekends(&[]);
        let (made, o) = odds_of(&b.yard, b.winter(), utc(NOW), 1, (&certain, 4));
        assert_eq!(o.not_counted, 0, "{stakes}");
        (made.steps.iter().any(|p| p.part.is_some()), o)
    };
    let (parted, few) = finish(40);
    assert!(!parted && (few.in_time - 1.0).abs() < f64::EPSILON);
    let (parted, many) = finish(400);
    assert!(parted && (many.in_time - 1.0).abs() < f64::EPSILON, "{many:?}");
    let day = |o: &Odds| o.p50.unwrap().date_naive();
    assert!(day(&many) > day(&few), "{:?} {:?}", many.p50, few.p50);
    // More than all sessions have room for is never done.
    let (_, never) = finish(20_000);
    assert!((never.never - 1.0).abs() < f64::EPSILON && never.in_time.abs() < f64::EPSILON);
}

/// The odds of a yard that is planned from another plan, as a what-if is.
fn from_plan(yard: &Yard, season: SeasonId, base: &Plan, seed: u64, chances: &Chances, runs: u32) -> Odds {
    let facts = Facts::new(yard);
    let derived = derived(yard, season, base.phase);
    let season = facts.season(season).unwrap();
    let kept: Vec<_> = base.steps.iter().map(|p| p.step.key.clone()).collect();
    let spot = |p: &ladderday::planner::PlannedStep| {
        let from = p.from.filter(|_| p.state == ladderday::steps::State::Open)?;
        Some(Expected { key: p.step.key.clone(), from, people: p.people.clone() })
    };
    let expected: Vec<Expected> = base.steps.iter().filter_map(spot).collect();
    let (phase, now) = (base.phase, base.now);
    let request = Request { facts: &facts, derived: &derived, season, phase, now, seed, kept: &kept };
    let made = make_plan(&request, &[], &expected, Effort::of(60));
    let without = &BTreeSet::new();
    odds(&OddsRequest { request: &request, plan: &made, followed: base, chances, runs, without }).unwrap()
}

/// Common random numbers: what can't matter changes nothing at all, more room costs nothing beyond chance, less room
/// brings nothing, and two seeds agree within their errors.
#[test]
fn a_difference_means_something() {
    let chances = Chances { lost: [0.3; 12], ..Chances::common() };
    let mut b = small();
    let who: Vec<_> = b.yard.people.iter().map(|p| p.id).collect();
    let keep: Vec<_> = b.yard.sessions[6..].to_vec();
    b.yard.session_people.retain(|p| keep.iter().any(|s| s.id == p.session_id));
    b.yard.sessions = keep.into();
    let with = |from: &str, to: &str| {
        let mut more = b.clone();
        more.session(from, to, &who);
        more.yard
    };
    let mut less = b.clone();
    let gone = less.yard.sessions[0].id;
    less.yard.sessions.retain(|s| s.id != gone);
    less.yard.session_people.retain(|p| p.session_id != gone);
    let cases = [
        ("after lights on", with("2026-11-29T09:00", "2026-11-29T17:00")),
        ("an evening more", with("2026-11-18T09:00", "2026-11-18T16:30")),
        ("a spare rehearsal", with("2026-11-24T12:00", "2026-11-24T22:00")),
        ("a day less", less.yard),
    ];
    let mut by_seed: Vec<Vec<Difference>> = Vec::new();
    for seed in 1..=3 {
        let (base, before) = odds_of(&b.yard, b.winter(), utc(NOW), seed, (&chances, 400));
        let again = from_plan(&b.yard, b.winter(), &base, seed, &chances, 400);
        assert_eq!(again.runs_in_time, before.runs_in_time, "the same plan, the same runs");
        let p = before.in_time;
        assert!((before.standard_error - (p * (1.0 - p) / 400.0).sqrt()).abs() < 0.005);
        let of = |(_, yard): &(&str, Yard)| {
            Difference::between(&before, &from_plan(yard, b.winter(), &base, seed, &chances, 400))
        };
        by_seed.push(cases.iter().map(of).collect());
    }
    for found in &by_seed {
        assert!(found[0].by.abs() < f64::EPSILON, "after lights on: {:?}", found[0]);
        assert!(found[1].by >= -2.0 * found[1].standard_error, "{:?}", found[1]);
        assert!(found[2].is_real() && found[2].by > 0.1, "the rehearsal is the weak point: {:?}", found[2]);
        assert!(found[3].by <= 2.0 * found[3].standard_error, "{:?}", found[3]);
    }
    for (k, (name, _)) in cases.iter().enumerate() {
        let (a, b) = (by_seed[0][k], by_seed[1][k]);
        let error = (a.standard_error.powi(2) + b.standard_error.powi(2)).sqrt();
        assert!((a.by - b.by).abs() <= 3.0 * error, "{name}: {a:?} and {b:?}");
    }
}

/// A round of a box is not begun where its session has no room for all of it, and never parted: before the first long session
/// no run is done, as no plan is.
#[test]
fn a_round_is_not_parted_in_any_run() {
    let mut b = Build::new();
    let lawn = b.place("lawn", Access::Ground);
    let (bx, _) = b.boxed("BX-1", lawn);
    for name in ["trees", "gnomes", "owls"] {
        let (_, id) = b.pieced(name, lawn, "stake");
        b.feeds(bx, id);
    }
    let mut rounds: std::collections::BTreeMap<_, i64> = std::collections::BTreeMap::new();
    let steps = b.steps(Phase::Up);
    for s in steps.iter().filter(|s| s.box_mode.is_some() && s.stretch.is_some()) {
        *rounds.entry(s.stretch.clone()).or_default() += s.minutes();
    }
    let longest = rounds.values().copied().max().unwrap();
    let who = [b.person("Ann", ""), b.person("Bo", "")];
    for day in 1..=14 {
        let to = chrono::NaiveTime::from_hms_opt(10, 0, 0).unwrap() + chrono::Duration::minutes(longest - 2);
        b.session(
            &format!("2026-11-{day:02}T10:00"),
            &format!("2026-11-{day:02}T{}", to.format("%H:%M")),
            &who,
        );
    }
    b.session("2026-11-22T09:00", "2026-11-22T16:30", &who);
    b.session("2026-11-23T12:00", "2026-11-23T22:00", &who);
    let (made, o) = odds_of(&b.yard, b.winter(), utc(NOW), 1, (&certain(), 1));
    // The switching on itself wants its own evening.
    let left: Vec<_> = made.unplaced.iter().filter(|r| !r.key.as_str().contains("/lights_on/")).collect();
    assert!(left.is_empty(), "{left:?}");
    let long = utc("2026-11-22T09:00:00-05:00");
    assert!(made.finish.unwrap() > long && o.p50.unwrap() > long, "{:?} {:?}", made.finish, o.p50);
}
