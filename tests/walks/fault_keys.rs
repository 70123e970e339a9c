//! A fault in the dark: at most six key presses, time, weather and place filled in.

use ladderday::app::{App, Choices};
use ladderday::domain::RepairDeed;

use super::terminal::{Home, Terminal};

/// Presses keys one by one, each after its text shows; gives how many were pressed.
fn press(screen: &mut Terminal, keys: &[(&str, &str)]) -> usize {
    for (key, then) in keys {
        assert_eq!(key.chars().count(), 1, "one key press at a time");
        screen.keys(key).shows(&[then]);
    }
    keys.len()
}

fn open(home: &Home) -> App {
    let choices = Choices { now: Some("2026-10-15T18:20".to_owned()), ..Choices::default() };
    App::open(&home.yard(), &choices).unwrap()
}

/// Walk at the first step of a prop: this is where one stands.
fn at_the_tree(home: &Home) -> Terminal {
    let mut walk = Terminal::start(
        home,
        &["demo", "--season", "harbor-2026", "--now", "2026-10-15T18:05", "--seed=1"],
        100,
        30,
    );
    walk.shows(&["Today", "Midwinter Harbor"]).keys("2").shows(&["Bring ", "here 0 of"]);
    // Look-overs and duties come first.
    for _ in 0..8 {
        let before = walk.screen();
        if before.contains("Cone tree, 24, ") {
            break;
        }
        walk.keys("\x1b[B");
        super::terminal::wait_for(|| (walk.screen() != before).then_some(()));
    }
    walk.shows(&["Cone tree, 24, "]);
    walk
}

#[test]
fn from_walk_a_fault_with_its_pixel_takes_at_most_six_keys() {
    let home = Home::new();
    let mut walk = at_the_tree(&home);
    let before = open(&home).yard().faults.len();
    let n = press(
        &mut walk,
        &[("f", "what is seen?"), ("1", "From which pixel on?"), ("1", "1"), ("2", "12"), ("p", "Logged F-")],
    );
    assert!(n <= 6, "{n} keys");
    walk.keys("\x1b").keys("q");
    assert_eq!(walk.ends(), 0);
    let app = open(&home);
    assert_eq!(app.yard().faults.len(), before + 1);
    let fault = app.yard().faults.iter().max_by_key(|f| f.found_ms).unwrap();
    assert!(fault.at_pixel == Some(12) && fault.placement_id.is_some(), "{fault:?}");
    let session =
        app.yard().sessions.iter().find(|s| s.starts.to_string().starts_with("2026-10-15")).unwrap();
    let told = session.rain.is_some() || session.gust_mms.is_some() || session.low_mc.is_some();
    assert_eq!(!fault.weather.is_empty(), told, "the session's weather: {:?}", fault.weather);
    let entry = app.yard().repair_entries.iter().find(|e| e.fault_id == fault.id).unwrap();
    assert_eq!(entry.deed, RepairDeed::Patched);
}

#[test]
fn from_faults_a_prop_found_by_letters_takes_six_keys() {
    let home = Home::new();
    let mut night = Terminal::start(&home, &["demo", "--now", "2026-12-14T21:05", "--seed=1"], 100, 30);
    night.shows(&["Today"]).keys("7").shows(&["Faults"]);
    let n = press(
        &mut night,
        &[
            ("n", "What has the fault"),
            ("g", "g"),
            ("\r", "what is seen?"),
            ("1", "From which pixel on?"),
            ("7", "7"),
            ("o", "Logged F-"),
        ],
    );
    assert!(n <= 6, "{n} keys");
    night.keys("\x1b").keys("q");
    assert_eq!(night.ends(), 0);
}

/// A pixel of three digits, where one stands by the last tick: the place needs no letter at all.
#[test]
fn where_one_stood_last_is_offered_first_and_a_long_number_fits() {
    let home = Home::new();
    let mut walk = at_the_tree(&home);
    let three = [
        ("f", "what is seen?"),
        ("1", "From which pixel on?"),
        ("1", "1"),
        ("0", "10"),
        ("0", "100"),
        ("p", "Logged F-"),
    ];
    let n = press(&mut walk, &three);
    assert!(n <= 6, "{n} keys");
    walk.shows(&["Which one?"]).keys("\r").keys(" ").shows(&["here 1 of"]).keys("7").shows(&["Faults"]);
    let two = [
        ("n", "Cone tree"),
        ("\r", "Cone tree: what is seen?"),
        ("1", "From which pixel on?"),
        ("9", "9"),
        ("7", "97"),
        ("p", "Logged F-"),
    ];
    let n = press(&mut walk, &two);
    assert!(n <= 6, "{n} keys");
    walk.keys("\x1b").keys("q");
    assert_eq!(walk.ends(), 0);
    let found: Vec<_> = open(&home).yard().faults.iter().filter_map(|f| f.at_pixel).collect();
    assert!(found.contains(&97) && found.contains(&100), "{found:?}");
}

/// Three letters that stand in one name alone take it without Enter.
#[test]
fn a_prop_of_a_longer_name_is_taken_as_soon_as_it_is_the_only_one() {
    let home = Home::new();
    let mut night = Terminal::start(&home, &["demo", "--now", "2026-12-14T21:05", "--seed=1"], 100, 30);
    night.shows(&["Today"]).keys("7").shows(&["Faults"]);
    let names = ladderday::answers::faults::faults_page(&open(&home).outlook(), None).targets;
    let only = |letters: &str| {
        let hit =
            |(code, name): &&(String, String)| format!("{code}  {name}").to_lowercase().contains(letters);
        names.iter().filter(hit).count() == 1
    };
    // The roofline's name is "Roofline 1 to 4"; the sign's is a longer one.
    let (code, name) = names.iter().find(|(_, name)| name.contains("board")).unwrap().clone();
    let low = name.to_lowercase();
    let letters: Vec<char> = low.chars().collect();
    let best = letters
        .windows(3)
        .find(|w| only(&w.iter().collect::<String>()) && !only(&w[..2].iter().collect::<String>()));
    let best: String =
        best.unwrap_or_else(|| panic!("{name} has no three letters of its own")).iter().collect();
    let typed: Vec<String> = best.chars().map(|c| c.to_string()).collect();
    let n = press(
        &mut night,
        &[
            ("n", "What has the fault"),
            (&typed[0], &typed[0]),
            (&typed[1], &best[..2]),
            (&typed[2], "what is seen?"),
            ("5", "And tonight?"),
            ("4", "Logged F-"),
        ],
    );
    assert!(n <= 6, "{n} keys");
    night.keys("\x1b").keys("q");
    assert_eq!(night.ends(), 0);
    let app = open(&home);
    let fault = app.yard().faults.iter().max_by_key(|f| f.found_ms).unwrap();
    assert!(
        ladderday::answers::faults::faults_page(&app.outlook(), None)
            .rows
            .iter()
            .any(|r| r.code == fault.code && r.target.contains(&name[..5])),
        "{code}"
    );
}
