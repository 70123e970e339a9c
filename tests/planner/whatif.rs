//! What-if: a change made on a copy, weighed beside the plan as it is; no fact is touched.

use ladderday::app::{App, Change, Choices, Form, QUICK, THOROUGH};
use ladderday::domain::Phase;
use ladderday::planner::Difference;

fn demo(dir: &std::path::Path) -> App {
    let now = Some("2026-09-01T08:00".to_owned());
    App::demo(&dir.join("demo.ladderday"), false, &Choices { now, ..Choices::default() }).unwrap()
}

/// What a change brings, and how many steps there are without it and with it.
fn change(app: &mut App, text: &str) -> (Difference, usize, usize) {
    let (before, after) = app.what_if(Phase::Up, &[Change::parse(text).unwrap()], QUICK).unwrap();
    app.judge(&before.0).unwrap();
    let d = Difference::between(before.1.as_ref().unwrap(), after.1.as_ref().unwrap());
    println!("{text}: {d:?}");
    (d, before.0.steps.len(), after.0.steps.len())
}

#[test]
fn a_spare_evening_makes_it_surer_and_no_fact_changes() {
    let dir = tempfile::tempdir().unwrap();
    let mut app = demo(dir.path());
    let facts = app.yard().clone();
    let (d, ..) = change(&mut app, "session 2026-10-05T15:00 21:30");
    assert!(d.by > 0.05 && d.is_real(), "{d:?}");
    assert_eq!(app.yard(), &facts);
}

#[test]
fn a_prop_left_out_takes_its_steps_along() {
    let dir = tempfile::tempdir().unwrap();
    let mut app = demo(dir.path());
    let season = app.outlook().season_for(Phase::Up).unwrap().id;
    let code = app.yard().placements.iter().find(|p| p.season_id == season).unwrap().code.clone();
    let (d, steps, fewer) = change(&mut app, &format!("hold {code}"));
    assert!(fewer < steps && (d.by >= 0.0 || !d.is_real()), "{d:?}");
}

#[test]
fn helpers_and_ladders_can_be_tried() {
    let dir = tempfile::tempdir().unwrap();
    let mut app = demo(dir.path());
    for text in ["helper Ollie in S26-0913", "helper Someone new in S26-0903E", "ladder step ladder"] {
        let (d, ..) = change(&mut app, text);
        assert!(d.by >= 0.0 || !d.is_real(), "{text}: {d:?}");
    }
    let lines = app.what_if_answer(Phase::Up, &["ladder step_ladder".to_owned()], QUICK, Form::Text).unwrap();
    assert!(lines.contains("as it is:") && lines.contains("in time"), "{lines}");
}

#[test]
fn what_makes_no_sense_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let mut app = demo(dir.path());
    for text in ["", "nix", "session tomorrow", "session 2026-10-05T15:00 14:00", "helper Ann", "fly me"] {
        assert_eq!(Change::parse(text).unwrap_err().code, "bad-what-if", "{text}");
    }
    for (text, code) in [
        ("hold no-such", "no-such"),
        ("ladder crane", "no-such"),
        ("helper Ollie in nowhere", "no-such"),
        ("helper Wren in S26-0913", "bad-what-if"),
        ("session 2026-10-05T15:00 21:30 with Nobody", "no-such"),
    ] {
        let asked = [Change::parse(text).unwrap()];
        assert_eq!(app.what_if(Phase::Up, &asked, QUICK).unwrap_err().code, code, "{text}");
    }
}

/// Changes by chance, of each kind, and which way they can go: 1 never less sure, -1 never surer, 0 neither.
fn by_chance(app: &App, rng: &mut fastrand::Rng, many: usize) -> Vec<(String, i32)> {
    let yard = app.yard();
    let season = app.outlook().season_for(Phase::Up).unwrap().clone();
    let (now, on) =
        (chrono::NaiveDate::from_ymd_opt(2026, 10, 15).unwrap(), season.lights_on.unwrap().date());
    let ahead = |s: &&ladderday::domain::Session| now < s.starts.date() && s.starts.date() < on;
    let sessions: Vec<&str> = yard.sessions.iter().filter(ahead).map(|s| s.code.as_str()).collect();
    let of_season = |p: &&ladderday::domain::Placement| p.season_id == season.id && p.ended_at.is_none();
    let props: Vec<&str> = yard.placements.iter().filter(of_season).map(|p| p.code.as_str()).collect();
    let taken: Vec<chrono::NaiveDate> = yard.sessions.iter().map(|s| s.starts.date()).collect();
    let day = |rng: &mut fastrand::Rng, from: i64, to: i64| loop {
        let d = now + chrono::Duration::days(rng.i64(from..to));
        if !taken.contains(&d) {
            break d;
        }
    };
    let until = (on - now).num_days();
    let one = |k: usize, rng: &mut fastrand::Rng| match k % 6 {
        0 => (format!("session {}T18:00 21:00", day(rng, 1, until)), 1),
        1 => (format!("session {}T09:00 16:00", day(rng, until + 1, until + 30)), 0),
        2 => (format!("helper Somebody in {}", sessions[rng.usize(..sessions.len())]), 1),
        3 => (format!("without {}", sessions[rng.usize(..sessions.len())]), -1),
        4 => (format!("hold {}", props[rng.usize(..props.len())]), 1),
        _ => ("ladder step_ladder".to_owned(), 1),
    };
    (0..many).map(|k| one(k, rng)).collect()
}

/// What comes of a change under one seed and as far as the search of the plan as it is went.
type Found = (String, i32, Difference);

fn found(app: &mut App, changes: &[(String, i32)], schedules: u64) -> Vec<Found> {
    let one = |(text, way): &(String, i32)| {
        let (before, after) = app.what_if(Phase::Up, &[Change::parse(text).unwrap()], schedules).unwrap();
        let (Some(b), Some(a)) = (&before.1, &after.1) else { panic!("{text}: no odds") };
        let d = Difference::between(b, a);
        println!("{schedules} schedules: {text}: {:.3} to {:.3}, {d:?}", b.in_time, a.in_time);
        (text.clone(), *way, d)
    };
    changes.iter().map(one).collect()
}

/// Of a quick plan and of a thorough one; `WHAT_IFS=40 SEEDS=3` for the long one.
#[test]
fn what_ifs_by_chance_never_go_the_way_that_they_cannot() {
    #[expect(clippy::disallowed_methods, reason = "how many are tried is told from outside")]
    let told = |name: &str, or: u64| std::env::var(name).ok().and_then(|n| n.parse().ok()).unwrap_or(or);
    let (many, seeds) = (told("WHAT_IFS", 4) as usize, told("SEEDS", 1));
    let dir = tempfile::tempdir().unwrap();
    let mut by_seed: Vec<Vec<Found>> = Vec::new();
    for seed in 1..=seeds {
        let now = Some("2026-10-15T08:00".to_owned());
        let season = Some("harbor-2026".to_owned());
        let choices = Choices { now, season, seed: Some(seed) };
        let mut app = App::demo(&dir.path().join(format!("{seed}.ladderday")), false, &choices).unwrap();
        let changes = by_chance(&app, &mut fastrand::Rng::with_seed(7), many);
        println!("seed {seed}");
        // The quick ones first: the thorough plan stands in for a quick one once it is there.
        by_seed.push([QUICK, THOROUGH].into_iter().flat_map(|s| found(&mut app, &changes, s)).collect());
    }
    let impossible = |f: &&Found| {
        let wrong = match f.1 {
            1 => f.2.by < 0.0,
            -1 => f.2.by > 0.0,
            _ => true,
        };
        wrong && f.2.is_real()
    };
    let wrong: Vec<&Found> = by_seed.iter().flatten().filter(impossible).collect();
    assert!(wrong.is_empty(), "{wrong:?}");
    // What changes nothing under either seed says nothing of the errors.
    let (mut pairs, mut apart) = (0, Vec::new());
    for (n, one) in by_seed.iter().enumerate() {
        let others = by_seed.iter().skip(n + 1).flat_map(|other| one.iter().zip(other));
        for ((text, _, a), (_, _, b)) in others.filter(|(a, b)| a.2.by != 0.0 || b.2.by != 0.0) {
            pairs += 1;
            let error = (a.standard_error.powi(2) + b.standard_error.powi(2)).sqrt();
            if (a.by - b.by).abs() > 2.0 * error {
                apart.push((text, a, b));
            }
        }
    }
    println!(
        "{} of {pairs} differ from seed to seed beyond twice their standard error: {apart:#?}",
        apart.len()
    );
    // One in twenty does by chance alone.
    assert!(20 * apart.len() <= pairs, "{} of {pairs}", apart.len());
}
